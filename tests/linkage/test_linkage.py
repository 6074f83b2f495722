"""Numbers lead to one hull or to none."""

from __future__ import annotations

from tests.support.records import Row, build_of
from tracegraph.linkage import link_records
from tracegraph.store import Build


def hull(serial: str, **more: object) -> Row:
    return {"hull_serial": serial, "model": "S18", **more}


def claim(no: str, hull_serial: str, **more: object) -> Row:
    return {
        "claim_no": no,
        "hull_serial": hull_serial,
        "opened_on": "2025-06-01",
        "symptom": "blister",
        **more,
    }


def linked(**tables: list[Row]) -> Build:
    build = build_of(**tables)
    link_records(build)
    return build


def test_claim_reaches_its_hull_by_serial_or_hin_however_written() -> None:
    build = linked(
        hulls=[hull("BT-1", hin="QZX00042C525"), hull("BT-2", hin="QZX00043C525")],
        claims=[
            claim("C1", "BT-1"),
            claim("C2", "US-QZX00043C525"),
            claim("C3", "qzx 00043-c525"),
            claim("C4", "QZX00099C525"),
        ],
    )
    found = build.rows("SELECT claim_no, hull_id, reached_by FROM claim_index ORDER BY claim_no")
    assert found == [("C1", 1, "serial"), ("C2", 2, "hin"), ("C3", 2, "hin"), ("C4", None, None)]


def test_number_shared_by_two_hulls_reaches_neither() -> None:
    build = linked(
        hulls=[hull("BT-1", job_no="J1"), hull("BT-2", job_no="J1"), hull("BT-3", job_no="J3")],
        parts=[
            {"part_serial": "P1", "part": "deck", "job_no": "J1"},
            {"part_serial": "P3", "part": "deck", "job_no": "J3"},
        ],
    )
    assert build.rows("SELECT part_serial, hull_id FROM part_index ORDER BY part_serial") == [
        ("P1", None),
        ("P3", 3),
    ]


def test_claims_on_a_serial_given_twice_are_placed_by_their_day() -> None:
    build = linked(
        hulls=[
            hull("BT-7", completed_on="2018-05-04"),
            hull("BT-7", completed_on="2026-05-04"),
            hull("BT-8", completed_on="2018-05-04"),
            hull("BT-8"),
        ],
        claims=[
            claim("C1", "BT-7", opened_on="2018-05-03"),
            claim("C2", "BT-7", opened_on="2018-05-04"),
            claim("C3", "BT-7", opened_on="2026-06-01", failed_on="2026-05-03"),
            claim("C4", "BT-7", opened_on="2026-05-04"),
            claim("C5", "BT-8", opened_on="2026-05-04"),
        ],
    )
    found = build.rows("SELECT claim_no, hull_id, reached_by FROM claim_index ORDER BY claim_no")
    by_day = "serial and day"
    assert found == [
        ("C1", None, None),
        ("C2", 1, by_day),
        ("C3", 1, by_day),
        ("C4", 2, by_day),
        ("C5", None, None),
    ]


def test_operation_takes_the_hull_of_its_part_else_its_own() -> None:
    started = "2025-01-02 08:00"
    build = linked(
        hulls=[hull("BT-1", job_no="J1")],
        parts=[{"part_serial": "P1", "part": "deck", "hull_serial": "BT-1"}],
        operations=[
            {
                "operation_id": "A",
                "step": "gelcoat spray",
                "part_serial": "P1",
                "started_at": started,
            },
            {"operation_id": "B", "step": "rig", "job_no": "J1", "started_at": started},
            {"operation_id": "C", "step": "pull", "part_serial": "lost", "started_at": started},
        ],
    )
    found = build.rows("SELECT operation_id, hull_id, part FROM operation_index ORDER BY 1")
    assert found == [("A", 1, "deck"), ("B", 1, "hull"), ("C", None, None)]


def test_delivery_is_recorded_else_ship_day_plus_the_dealers_median_lag() -> None:
    sold = [
        hull(
            f"A{days}",
            dealer="D1",
            shipped_on="2025-01-01",
            in_service_on=f"2025-01-{1 + days:02d}",
        )
        for days in (4, 6, 8)
    ]
    build = linked(
        hulls=[
            *sold,
            hull("B1", dealer="D1", shipped_on="2025-02-01"),
            hull("B2", dealer="D9", shipped_on="2025-02-01"),
            hull("B3", dealer="D1", shipped_on="2025-02-01", place="dealer"),
            hull("B4"),
        ]
    )
    found = build.rows(
        "SELECT hull_serial, CAST(delivered_on AS VARCHAR), delivered_imputed, place "
        "FROM hull_index WHERE hull_serial >= 'B' ORDER BY 1"
    )
    assert found == [
        ("B1", "2025-02-07", True, "dealer"),
        ("B2", "2025-02-07", True, "dealer"),
        ("B3", None, False, "dealer"),
        ("B4", None, False, "plant"),
    ]


def test_built_day_is_completion_else_last_work_else_shipping() -> None:
    build = linked(
        hulls=[
            hull("H1", completed_on="2025-03-01", shipped_on="2025-03-09"),
            hull("H2", shipped_on="2025-03-09"),
            hull("H3", shipped_on="2025-03-09"),
        ],
        operations=[
            {
                "operation_id": "A",
                "step": "rig",
                "hull_serial": "H2",
                "started_at": "2025-03-02 08:00",
            }
        ],
    )
    days = build.rows("SELECT CAST(built_on AS VARCHAR) FROM hull_index ORDER BY hull_serial")
    assert days == [("2025-03-01",), ("2025-03-02",), ("2025-03-09",)]


def test_renamed_mold_keeps_its_history_under_the_last_number() -> None:
    build = linked(
        hulls=[hull("H1"), hull("H2")],
        parts=[
            {"part_serial": "P1", "part": "deck", "hull_serial": "H1", "mold_no": "M-3"},
            {"part_serial": "P2", "part": "deck", "hull_serial": "H2", "mold_no": "M-3C"},
        ],
        mold_events=[
            {"mold_no": "M-3", "at": "2025-01-01", "event": "renamed", "note": "M-3B"},
            {"mold_no": "M-3B", "at": "2025-06-01", "event": "renamed", "note": "M-3C"},
        ],
    )
    assert build.rows("SELECT DISTINCT mold_no FROM part_index") == [("M-3C",)]


def test_molds_renamed_in_a_ring_keep_their_numbers() -> None:
    build = linked(
        hulls=[hull("H1")],
        parts=[{"part_serial": "P1", "part": "deck", "hull_serial": "H1", "mold_no": "M-1"}],
        mold_events=[
            {"mold_no": "M-1", "at": "2025-01-01", "event": "renamed", "note": "M-2"},
            {"mold_no": "M-2", "at": "2025-06-01", "event": "renamed", "note": "M-1"},
        ],
    )
    assert build.rows("SELECT mold_no FROM part_index") == [("M-1",)]


def part(serial: str, mold_no: str, pulled_at: str | None) -> Row:
    return {"part_serial": serial, "part": "deck", "mold_no": mold_no, "pulled_at": pulled_at}


def test_two_molds_under_one_new_number_stay_apart() -> None:
    build = linked(
        hulls=[hull("H1")],
        parts=[
            part("P1", "M-1", "2025-01-05"),
            part("P2", "M-2", "2025-01-06"),
            part("P3", "M-9", "2025-06-05"),
        ],
        mold_events=[
            {"mold_no": "M-1", "at": "2025-06-01", "event": "renamed", "note": "M-9"},
            {"mold_no": "M-2", "at": "2025-06-01", "event": "renamed", "note": "M-9"},
        ],
    )
    found = build.rows("SELECT part_serial, mold_no FROM part_index ORDER BY part_serial")
    assert found == [("P1", "M-1"), ("P2", "M-2"), ("P3", "M-9")]


def test_a_number_given_to_a_new_mold_means_the_old_one_until_that_day() -> None:
    build = linked(
        hulls=[hull("H1")],
        parts=[
            part("P1", "M-3", "2025-01-05"),
            part("P2", "M-3", "2025-08-01"),
            part("P3", "M-3B", "2025-08-01"),
            part("P4", "M-3", None),
        ],
        mold_events=[
            {"mold_no": "M-3", "at": "2024-01-01", "event": "commissioned"},
            {"mold_no": "M-3", "at": "2025-06-01", "event": "renamed", "note": "M-3B"},
            {"mold_no": "M-3", "at": "2025-07-01", "event": "commissioned"},
        ],
    )
    found = build.rows("SELECT part_serial, mold_no FROM part_index ORDER BY part_serial")
    assert found == [("P1", "M-3B"), ("P2", "M-3"), ("P3", "M-3B"), ("P4", None)]


def test_blank_numbers_never_link() -> None:
    build = linked(
        hulls=[hull("H1"), hull("H2", hin=""), hull("H3", hin="-")],
        claims=[claim("C1", "-"), claim("C2", " ")],
        parts=[{"part_serial": "P1", "part": "deck"}],
    )
    assert build.rows("SELECT DISTINCT hull_id FROM claim_index") == [(None,)]
    assert build.rows("SELECT hull_id FROM part_index") == [(None,)]


def test_graph_names_every_step_once_in_both_directions() -> None:
    build = linked(
        hulls=[hull("H1")],
        parts=[{"part_serial": "P1", "part": "deck", "hull_serial": "H1", "mold_no": "M1"}],
        operations=[
            {
                "operation_id": "A",
                "step": "gelcoat spray",
                "part_serial": "P1",
                "operator": "07",
                "station": "B1",
                "equipment": "gun",
                "started_at": "2025-01-02 08:00",
            }
        ],
        usages=[{"operation_id": "A", "material": "gelcoat", "lot_no": "L1", "drum_no": "2"}] * 2,
        lots=[{"material": "gelcoat", "lot_no": "L1", "supplier": "SP1"}],
        blends=[
            {
                "material": "gelcoat",
                "lot_no": "L1",
                "parent_material": "base",
                "parent_lot_no": "B9",
                "share": 0.7,
            }
        ],
        claims=[claim("C1", "H1", line_no="1")],
        components=[
            {"hull_serial": "H1", "component": "bilge pump", "serial_no": "S1", "lot_no": "L7"}
        ],
    )
    up = build.rows(
        "SELECT a.kind, b.kind, b.key, relation, share FROM edges_up AS e "
        "JOIN nodes AS a USING (node_id) JOIN nodes AS b ON b.node_id = e.upstream_id "
        "ORDER BY a.kind, b.kind, b.key"
    )
    assert up == [
        ("claim", "hull", "H1", "wasDerivedFrom", None),
        ("component", "lot", "bilge pump|L7", "wasDerivedFrom", None),
        ("drum", "lot", "gelcoat|L1", "wasDerivedFrom", None),
        ("hull", "component", "S1", "hadMember", None),
        ("hull", "part", "P1", "hadMember", None),
        ("lot", "lot", "base|B9", "wasDerivedFrom", 0.7),
        ("lot", "supplier", "SP1", "wasAttributedTo", None),
        ("operation", "drum", "gelcoat|L1|2", "used", None),
        ("operation", "equipment", "gun", "used", None),
        ("operation", "operator", "07", "wasAssociatedWith", None),
        ("operation", "station", "B1", "used", None),
        ("part", "mold", "M1", "wasDerivedFrom", None),
        ("part", "operation", "A", "wasGeneratedBy", None),
    ]
    both = "SELECT node_id, upstream_id, relation, share FROM edges_{} ORDER BY ALL"
    assert build.rows(both.format("up")) == build.rows(both.format("down"))
