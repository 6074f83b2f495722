from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.analysis.small_plant import plant_records
from tests.support.records import build_of
from tracegraph.analysis.peers import KINDS, PeerReview, review
from tracegraph.domain.errors import UnknownHullError
from tracegraph.domain.limits import COMMON_PRACTICE, Limit
from tracegraph.linkage import link_records
from tracegraph.store import Store
from tracegraph.store.reader import as_store


def records() -> dict[str, list[dict[str, Any]]]:
    """The small plant with one hull, BT-1002, that is out of the ordinary in every way."""
    tables = plant_records()
    reading = {"operation_id": "OP-H-2", "quantity": "wet_film", "value": 280.0, "unit": "um"}
    tables["readings"].append(reading)
    lots = {row["lot_no"]: row for row in tables["lots"] if row["material"] == "gelcoat"}
    lots["G-1"]["expires_on"] = "2024-12-31"
    tables["operations"] += [
        {"operation_id": "SK-H-2", "step": "skin coat", "part_serial": "H-2",
         "started_at": "2025-01-03 09:00", "finished_at": "2025-01-03 10:00"},
        {"operation_id": "LM-H-2", "step": "laminate", "part_serial": "H-2",
         "started_at": "2025-01-03 09:30"},
        {"operation_id": "RIG-2", "step": "rig", "hull_serial": "BT-1002",
         "started_at": "2025-02-05 08:00"},
    ]  # fmt: skip
    tables["inspections"] += [
        {"inspection_id": "T-2-1", "hull_serial": "BT-1002", "checkpoint": "fuel test",
         "at": "2025-02-03 09:00", "result": "not done"},
        {"inspection_id": "T-2-2", "hull_serial": "BT-1002", "checkpoint": "water test",
         "at": "2025-02-12 09:00", "result": "fail", "defect": "weep"},
    ]  # fmt: skip
    return tables


@pytest.fixture(scope="module")
def found() -> Iterator[PeerReview]:
    build = build_of(**records())
    link_records(build)
    with as_store(build) as store:
        yield review(store, "BT-1002")


def texts(found: PeerReview, kind: str) -> list[str]:
    return found.findings.loc[found.findings["kind"] == kind, "text"].tolist()


def test_values_outside_the_limits_name_their_source(found: PeerReview) -> None:
    assert texts(found, "out of limits") == [
        "hull, gelcoat spray: wet_film 280 µm, where 305 to 610 µm is asked for.",
        "hull, skin coat: hours since gelcoat spray 25.83 h, where at most 24 h is asked for.",
    ]
    rows = found.findings[found.findings["kind"] == "out of limits"]
    assert rows["source"].tolist() == [
        "trade guides, which differ; the wider limit",
        "common practice",
    ]
    assert rows["value"].iloc[0] == 280.0


def test_material_used_after_its_last_day(found: PeerReview) -> None:
    # Deck and hull were sprayed on 2 January with lot G-1, whose last day was 31 December.
    assert texts(found, "expired material") == [
        "deck, gelcoat spray: gelcoat G-1 was used 2 days after its last day, 2024-12-31.",
        "hull, gelcoat spray: gelcoat G-1 was used 2 days after its last day, 2024-12-31.",
    ]


def test_checks_that_failed_were_left_out_or_passed_later(found: PeerReview) -> None:
    assert texts(found, "passed after a fail") == [
        "hull: barcol passed at try 2 after 1 fail (undercure)."
    ]
    assert texts(found, "failed") == [
        "assembly: water test failed (weep), and no later try passed."
    ]
    assert texts(found, "not done") == ["assembly: fuel test was not done."]


def test_work_that_began_before_the_step_before_had_ended(found: PeerReview) -> None:
    assert texts(found, "records overlap") == [
        "hull: laminate began 0.5 h before skin coat had ended, as written down."
    ]


def test_late_records(found: PeerReview) -> None:
    # Completed on 2 February, shipped on 9 February.
    assert texts(found, "late record") == [
        "assembly, rig: operation RIG-2 is dated 3 days after the hull was completed.",
        "assembly, water test: inspection T-2-2 is dated 3 days after the hull was shipped.",
    ]


def test_a_record_written_down_days_later_is_late() -> None:
    build = build_of(**records())
    build.execute(
        "INSERT INTO stamps SELECT 'operations', source_id, source_row, TIMESTAMP '2025-01-20' "
        "FROM operations WHERE operation_id = 'OP-D-2'"
    )
    link_records(build)
    with as_store(build) as store:
        late = texts(review(store, "BT-1002"), "late record")
        patient = texts(review(store, "BT-1002", late_days=30), "late record")
    said = "deck, gelcoat spray: operation OP-D-2 was written down 18 days after it was done."
    assert said in late
    assert said not in patient


def test_missing_records(found: PeerReview) -> None:
    build = build_of(**plant_records())
    link_records(build)
    with as_store(build) as store:
        other = review(store, "BT-1004")
    assert texts(other, "missing record") == ["hull, gelcoat spray: no record of gelcoat lot."]
    assert texts(found, "missing record") == []


def test_a_fuel_test_against_the_rule_is_told_by_its_last_try() -> None:
    tables = records()
    name = "fuel pressure test"
    tables["operations"].append(
        {
            "operation_id": "FT-2",
            "step": name,
            "hull_serial": "BT-1002",
            "attempt": 2,
            "started_at": "2025-02-04 09:00",
        }
    )
    tables["readings"] += [
        {"operation_id": "FT-2", "quantity": quantity, "value": value, "unit": unit}
        for quantity, value, unit in (
            ("start_pressure", 3.0, "psi"), ("end_pressure", 3.0, "psi"),
            ("hold_time", 5.0, "min"), ("tank_capacity", 61.0, "gal"),
        )
    ]  # fmt: skip
    tables["inspections"] += [
        {"inspection_id": f"FP-{n}", "hull_serial": "BT-1002", "checkpoint": name, "attempt": n,
         "at": f"2025-02-04 0{8 + n}:05", "result": result}
        for n, result in ((1, "fail"), (2, "pass"))
    ]  # fmt: skip
    build = build_of(**tables)
    link_records(build)
    with as_store(build) as store:
        found = review(store, "BT-1002")
    assert texts(found, "out of rule") == [
        "assembly: fuel pressure test, try 2, recorded as pass. Held for 5 min; 7 are required."
    ]
    row = found.findings[found.findings["kind"] == "out of rule"].iloc[0]
    assert row["source"] == "33 CFR 183.542 and 183.582"
    assert str(row["at"]) == "2025-02-04 09:00:00"
    assert [text for text in texts(found, "missing record") if name in text] == [
        f"assembly, {name}: no record of {thing}, so the rule is not shown to be met."
        for thing in ("height to the overflow", "whether the fittings were checked under pressure")
    ]


def test_a_plants_own_limits_take_the_place_of_the_defaults(found: PeerReview) -> None:
    build = build_of(**records())
    link_records(build)
    strict = Limit("ambient_temp", "degC", 25.0, None, (), COMMON_PRACTICE)
    with as_store(build) as store:
        own = review(store, "BT-1002", limits=[strict])
    assert texts(own, "out of limits") == [
        f"{part}, gelcoat spray: ambient_temp 21 °C, where at least 25 °C is asked for."
        for part in ("deck", "hull")
    ]
    assert own.limits == (strict,)


def test_findings_come_in_the_order_of_their_kinds_then_of_time(found: PeerReview) -> None:
    places = found.findings["kind"].map(KINDS.index)
    assert places.is_monotonic_increasing
    for _, group in found.findings.groupby("kind"):
        assert group["at"].dropna().is_monotonic_increasing


def test_readings_far_from_those_of_the_same_month_and_model_are_found() -> None:
    tables = plant_records()
    template = tables["operations"][0]
    for n in range(30):
        serial = f"BT-3{n:03d}"
        tables["hulls"].append({"hull_serial": serial, "model": "S22", "job_no": f"K-{n}"})
        tables["parts"].append({"part_serial": f"HK-{n}", "part": "hull", "job_no": f"K-{n}"})
        work = {
            "operation_id": f"OK-{n}",
            "part_serial": f"HK-{n}",
            "started_at": "2025-01-05 08:00",
        }
        tables["operations"].append(template | work | {"started_at": "2025-01-05 08:00"})
        tables["readings"].append(
            {"operation_id": f"OK-{n}", "quantity": "gel_time", "value": 14 + n % 3, "unit": "min"}
        )
    tables["readings"].append(
        {"operation_id": "OP-H-1", "quantity": "gel_time", "value": 40, "unit": "min"}
    )
    build = build_of(**tables)
    link_records(build)
    with as_store(build) as store:
        found = review(store, "BT-1001")
    assert texts(found, "far from peers") == [
        "hull, gelcoat spray: gel_time 40 min; of 30 peers 9 in 10 lie within 14 to 16."
    ]
    measure = found.history.measures.set_index("quantity").loc["gel_time"]
    assert measure["percentile"] == 100.0


def test_what_is_no_hull_is_refused(found: PeerReview) -> None:
    build = build_of(**records())
    link_records(build)
    store: Store = as_store(build)
    with store, pytest.raises(UnknownHullError):
        review(store, "G-1")
