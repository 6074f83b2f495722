from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.analysis.small_plant import plant_records
from tests.support.records import build_of
from tracegraph.analysis.identifiers import find
from tracegraph.domain.errors import AmbiguousNameError, UnknownHullError
from tracegraph.linkage import link_records
from tracegraph.store import Build


@pytest.fixture(scope="module")
def build() -> Iterator[Build]:
    records = plant_records()
    records["hulls"] += [
        {"hull_serial": "7788", "model": "S30", "job_no": "0042"},
        {"hull_serial": "0042-B", "model": "S30", "hin": "QZX00777I526"},
    ]
    records["parts"].append({"part_serial": "7788", "part": "hatch", "job_no": "none"})
    build = build_of(**records)
    link_records(build)
    yield build
    build.close()


@pytest.mark.parametrize(
    ("typed", "kind", "key"),
    [
        ("BT-1001", "hull", "BT-1001"),
        ("  bt-1001 ", "hull", "BT-1001"),
        ("bt 1001", "hull", "BT-1001"),
        ("BT\u20111001\u200b", "hull", "BT-1001"),
        ("j-3", "hull", "BT-1003"),
        ("0042", "hull", "7788"),
        ("QZX1002XA525", "hull", "BT-1002"),
        ("us-qzx 1002x a5 25", "hull", "BT-1002"),
        ("NO-QZX1002XA525", "hull", "BT-1002"),
        ("77I526", "hull", "0042-B"),
        ("1005", "hull", "BT-1005"),
        ("d-2", "part", "D-2"),
        ("hull:7788", "hull", "7788"),
        ("part: 7788", "part", "7788"),
        ("C-2", "claim", "C-2"),
        ("c-1/2", "claim", "C-1/2"),
        ("G-1", "lot", "gelcoat|G-1"),
        ("Gelcoat|g-1", "lot", "gelcoat|G-1"),
        ("gelcoat G-1", "lot", "gelcoat|G-1"),
        ("G-1/2", "drum", "gelcoat|G-1|2"),
        ("gelcoat|G-1|2", "drum", "gelcoat|G-1|2"),
        ("drum:2", "drum", "gelcoat|G-1|2"),
        ("M-1", "mold", "M-1"),
        ("OP-H-1", "operation", "OP-H-1"),
        ("bp-77", "component", "BP-77"),
        ("SUP-A", "supplier", "SUP-A"),
    ],
)
def test_a_number_typed_anyhow_names_one_thing(
    build: Build, typed: str, kind: str, key: str
) -> None:
    (named,) = find(build, typed)
    assert (named.kind, named.key) == (kind, key)


def test_a_claim_number_names_all_its_lines(build: Build) -> None:
    assert [named.key for named in find(build, "c-1")] == ["C-1/1", "C-1/2"]


def test_a_lot_number_of_two_materials_asks_for_the_material(build: Build) -> None:
    with pytest.raises(AmbiguousNameError, match=r"gelcoat\|G-3, resin\|G-3") as caught:
        find(build, "G-3")
    assert find(build, caught.value.near[1])[0].key == "resin|G-3"


def test_a_number_of_two_kinds_asks_for_the_kind(build: Build) -> None:
    with pytest.raises(AmbiguousNameError, match="hull:7788, part:7788"):
        find(build, "7788")


def test_an_ending_shared_by_several_hulls_names_none(build: Build) -> None:
    with pytest.raises(AmbiguousNameError, match=r"names 6 things: BT-1001, .* and 1 more"):
        find(build, "XA525")


@pytest.mark.parametrize("typed", ["01", "", "   ", "?", "nothing like it", "'; DROP TABLE nodes"])
def test_what_names_nothing_says_so(build: Build, typed: str) -> None:
    with pytest.raises(UnknownHullError, match="There is no"):
        find(build, typed)
    assert find(build, "BT-1001")


def test_letters_taken_for_digits_are_offered_and_never_corrected(build: Build) -> None:
    with pytest.raises(UnknownHullError, match="Near: BT-1004"):
        find(build, "BT-1OO4")


def test_near_names_are_offered(build: Build) -> None:
    with pytest.raises(UnknownHullError) as caught:
        find(build, "BT-1011")
    assert "BT-1001" in caught.value.near


def test_a_person_is_no_way_to_start(build: Build) -> None:
    for typed in ("P-07", "operator:P-07", "CREW-2"):
        with pytest.raises(UnknownHullError):
            find(build, typed)
