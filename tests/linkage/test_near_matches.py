"""Near matches are offered with their reason and never link by themselves."""

from __future__ import annotations

import pytest

from tests.linkage.test_linkage import claim, hull
from tests.support.records import Row, build_of
from tracegraph.domain.acts import CLAIM_TO_HULL, USE_TO_LOT, Meaning
from tracegraph.exposure import build_exposure
from tracegraph.linkage import link_records
from tracegraph.store import Build


def linked(meanings: tuple[Meaning, ...] = (), **tables: list[Row]) -> Build:
    build = build_of(**tables)
    link_records(build, meanings)
    return build


def offers(build: Build) -> list[tuple[str, str, str]]:
    return build.rows("SELECT written, near, reason FROM near_matches ORDER BY written, place")


@pytest.mark.parametrize(
    ("written", "near", "reason"),
    [
        ("BT-1OO4", "BT-1004", "look-alike letters and digits"),
        ("BT-IOO4", "BT-1004", "look-alike letters and digits"),
        ("BT-1005", "BT-1004", "one character differs"),
        ("BT-10004", "BT-1004", "one character differs"),
        ("BT-1040", "BT-1004", "one character differs"),
        ("1004", "BT-1004", "the last characters of it"),
    ],
)
def test_what_makes_a_number_near(written: str, near: str, reason: str) -> None:
    build = linked(hulls=[hull(near), hull("XX-7777")], claims=[claim("C1", written)])
    assert build.rows("SELECT hull_id FROM claim_index") == [(None,)]
    assert offers(build) == [(written, near, reason)]


def test_zeros_lost_by_a_spreadsheet_are_offered_back() -> None:
    build = linked(
        hulls=[hull("H1", job_no="00017")],
        parts=[{"part_serial": "P1", "part": "deck", "job_no": "17"}],
    )
    assert offers(build) == [("17", "00017", "zeros in front")]


def test_linked_and_exotic_numbers_get_no_offers() -> None:
    build = linked(
        hulls=[hull("BT-1004"), hull("BT-1005")],
        claims=[claim("C1", "BT-1004"), claim("C2", "engine 77")],
    )
    assert offers(build) == []


def test_lot_is_offered_within_its_material_only() -> None:
    tables = {
        "hulls": [hull("H1")],
        "operations": [
            {"operation_id": "A", "step": "rig", "hull_serial": "H1", "started_at": "2025-01-01"}
        ],
        "usages": [{"operation_id": "A", "material": "resin", "lot_no": "RL-5S"}],
        "lots": [
            {"material": "resin", "lot_no": "RL-55"},
            {"material": "gelcoat", "lot_no": "RL-5S5"},
        ],
    }
    assert offers(linked(**tables)) == [
        ("resin|RL-5S", "resin|RL-55", "look-alike letters and digits")
    ]


def test_accepted_meaning_links_and_the_record_keeps_what_was_written() -> None:
    meaning = Meaning(CLAIM_TO_HULL, "BT-1OO4", "BT-1004")
    build = linked((meaning,), hulls=[hull("BT-1004")], claims=[claim("C1", "BT-1OO4")])
    assert build.rows("SELECT hull_id, reached_by FROM claim_index") == [(1, "serial")]
    assert build.rows("SELECT hull_serial FROM claims") == [("BT-1OO4",)]
    assert offers(build) == []


def test_accepted_meaning_of_a_lot_reaches_the_exposure() -> None:
    build = linked(
        (Meaning(USE_TO_LOT, "gelcoat|L-1O", "gelcoat|L-10"),),
        hulls=[hull("H1")],
        operations=[
            {"operation_id": "A", "step": "rig", "hull_serial": "H1", "started_at": "2025-01-01"}
        ],
        usages=[{"operation_id": "A", "material": "gelcoat", "lot_no": "L-1O", "drum_no": "2"}],
        lots=[{"material": "gelcoat", "lot_no": "L-10", "supplier": "P"}],
    )
    build_exposure(build)
    levels = {level for (level,) in build.rows("SELECT level FROM levels")}
    assert {"L-10", "L-10/2", "P"} <= levels
    assert "L-1O" not in levels
