"""One hull's history, on six hulls small enough to check by eye."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tests.analysis.small_plant import plant_records, plant_store
from tests.support.records import build_of
from tracegraph.analysis.history import History, history, percentile
from tracegraph.domain.errors import AmbiguousNameError, UnknownHullError
from tracegraph.linkage import link_records
from tracegraph.store import Store
from tracegraph.store.reader import as_store


@pytest.fixture(scope="module")
def store() -> Store:
    return plant_store()


def _measure(
    found: History, quantity: str, step: str = "gelcoat spray", lane: str = "hull"
) -> pd.Series:
    rows = found.measures
    hit = rows[(rows["quantity"] == quantity) & (rows["step"] == step) & (rows["lane"] == lane)]
    assert len(hit) == 1
    return hit.iloc[0]


@pytest.mark.parametrize(
    "typed", ["BT-1001", "bt 1001", "US-QZX1001XA525", "C-1", "H-1", "OP-D-1", "BP-77", "J-1"]
)
def test_any_number_of_the_hull_leads_to_it(store: Store, typed: str) -> None:
    assert history(store, typed).hull.hull_serial == "BT-1001"


def test_header_parts_components_and_claims(store: Store) -> None:
    found = history(store, "BT-1001")
    assert (found.hull.model, found.hull.place, found.hull.claims) == ("S22", "owner", 2)
    assert str(found.hull.delivered_on) == "2025-04-01"
    assert found.parts["mold_no"].tolist() == ["M-2", "M-1"]
    assert found.components[["component", "lot_no"]].to_numpy().tolist() == [["bilge pump", "L-9"]]
    assert found.claims["symptom"].tolist() == ["blister", "leak"]
    # Delivered 2025-04-01, claimed 2026-03-15.
    assert found.claims["months_in_service"].tolist() == [11, 11]
    assert not found.claims["failed_known"].any()


def test_operations_stand_in_lanes_with_their_lots(store: Store) -> None:
    found = history(store, "BT-1001").operations
    assert found[["lane", "step"]].to_numpy().tolist() == [
        ["deck", "gelcoat spray"],
        ["hull", "gelcoat spray"],
        ["assembly", "rig"],
    ]
    assert found["lots"].tolist()[1] == "gelcoat G-1/1"


def test_times_are_on_the_sites_own_clock() -> None:
    build = build_of(**plant_records())
    link_records(build)
    build.execute("INSERT INTO meta VALUES ('time_zone', 'America/New_York')")
    operations = history(as_store(build), "BT-1001").operations
    # 06:30 UTC is 01:30 in New York in January.
    assert str(operations["started_at"].iloc[0]) == "2025-01-01 01:30:00"


def test_every_attempt_at_a_check_is_shown(store: Store) -> None:
    checks = history(store, "BT-1001").inspections
    assert checks[["checkpoint", "attempt", "result"]].to_numpy().tolist()[:2] == [
        ["barcol", 1, "fail"],
        ["barcol", 2, "pass"],
    ]
    # By job number, on the whole hull.
    assert checks.iloc[2]["checkpoint"] == "water test"
    assert checks.iloc[2]["lane"] == "assembly"


def test_a_lot_that_was_not_written_down_is_said_so(store: Store) -> None:
    found = history(store, "BT-1004")
    assert "gelcoat (lot not written down)" in found.operations["lots"].tolist()
    lots = found.missing[found.missing["record"] == "lot"]
    assert lots[["lane", "step", "thing"]].to_numpy().tolist() == [
        ["hull", "gelcoat spray", "gelcoat lot"]
    ]
    assert str(lots["at"].iloc[0]) == "2025-01-04 06:30:00"


def test_what_the_models_hulls_normally_have_is_missed() -> None:
    records = plant_records()
    gone = {"operations": "OP-D-2", "readings": "OP-H-3"}
    for table, operation in gone.items():
        records[table] = [row for row in records[table] if row["operation_id"] != operation]
    records["parts"] = [row for row in records["parts"] if row["part_serial"] != "D-4"]
    build = build_of(**records)
    link_records(build)
    store = as_store(build)

    second = history(store, "BT-1002").missing
    assert second[["record", "lane", "thing"]].to_numpy().tolist() == [
        ["operation", "deck", "gelcoat spray"]
    ]
    # The others of the model: decks sprayed 31 days less 17 h 30 before completion.
    assert str(second["at"].iloc[0]) == "2025-01-02 06:30:00"
    third = history(store, "BT-1003").missing
    assert ["reading", "ambient_temp"] in third[["record", "thing"]].to_numpy().tolist()
    fourth = history(store, "BT-1004").missing
    assert ["part", "deck"] in fourth[["record", "thing"]].to_numpy().tolist()
    # One of four hulls has a bilge pump: its absence elsewhere is no gap.
    assert "component" not in second["record"].tolist()


def test_a_check_that_the_models_hulls_normally_have_is_missed() -> None:
    records = plant_records()
    s22 = [row for row in records["hulls"] if row["model"] == "S22"]
    serials = [row["hull_serial"] for row in s22]
    records["inspections"] = [
        {"inspection_id": f"F-{serial}", "checkpoint": "fuel pressure test",
         "at": "2025-03-01 09:00", "hull_serial": serial,
         "result": "not done" if serial == serials[1] else "pass"}
        for serial in serials[1:]
    ]  # fmt: skip
    build = build_of(**records)
    link_records(build)
    with as_store(build) as store:
        first, second = (history(store, serial).missing for serial in serials[:2])
    assert ["check", "assembly", "fuel pressure test"] in first[
        ["record", "lane", "thing"]
    ].to_numpy().tolist()
    # Left out with a line that says so: that is on record, and told elsewhere.
    assert "check" not in second["record"].tolist()


def test_percentiles_are_taken_among_the_same_model_step_and_season() -> None:
    records = plant_records()
    store_hulls = len(records["hulls"])
    for n in range(7, 13):
        serial = f"BT-11{n:02d}"
        records["hulls"].append({"hull_serial": serial, "model": "S22", "job_no": f"J-{n}"})
        records["parts"].append({"part_serial": f"H-{n}", "part": "hull", "job_no": f"J-{n}"})
        far_away = "2025-06-01" if n == 12 else "2025-01-20"
        records["operations"].append(
            {
                "operation_id": f"OP-H-{n}",
                "step": "gelcoat spray",
                "part_serial": f"H-{n}",
                "started_at": f"{far_away} 06:30",
                "finished_at": f"{far_away} 07:10",
            }
        )
        records["readings"].append(
            {
                "operation_id": f"OP-H-{n}",
                "quantity": "ambient_temp",
                "value": 10.0 + n,
                "unit": "degC",
            }
        )
    assert store_hulls == 6
    build = build_of(**records)
    link_records(build)
    found = history(as_store(build), "BT-1001")
    measure = _measure(found, "ambient_temp")
    # Own 20.5; peers of model S22 within 45 days: 21, 21.5, 22 and 17, 18, 19, 20, 21.
    assert measure["value"] == 20.5
    assert measure["peers"] == 8
    assert measure["percentile"] == pytest.approx(100 * 4 / 8)
    assert not measure["far"]
    peers = found.peers[found.peers["own_no"] == measure["own_no"]]
    assert sorted(peers.loc[peers["quantity"] == "ambient_temp", "value"]) == [
        17.0,
        18.0,
        19.0,
        20.0,
        21.0,
        21.0,
        21.5,
        22.0,
    ]


def test_few_peers_give_no_percentile(store: Store) -> None:
    measure = _measure(history(store, "BT-2001"), "ambient_temp")
    assert measure["peers"] == 1
    assert np.isnan(measure["percentile"])


def test_a_hull_without_any_record_of_work_has_an_empty_history() -> None:
    records = plant_records()
    records["hulls"].append({"hull_serial": "BT-3001", "model": "S30"})
    build = build_of(**records)
    link_records(build)
    found = history(as_store(build), "BT-3001")
    assert found.operations.empty
    assert found.measures.empty
    assert found.measures["far"].dtype == "bool"
    assert found.missing.empty


def test_what_is_no_hulls_own_is_refused(store: Store) -> None:
    with pytest.raises(UnknownHullError, match=r"hull, claim or part 'lot:gelcoat\|G-1'"):
        history(store, "lot:gelcoat|G-1")
    with pytest.raises(UnknownHullError):
        history(store, "ZZ-1")
    with pytest.raises(AmbiguousNameError):
        history(store, "G-3")
    with pytest.raises(UnknownHullError, match="hull of claim 'C-3'"):
        history(store, "C-3")


def test_a_serial_used_twice_is_told_and_the_job_chooses() -> None:
    records = plant_records()
    records["hulls"].append(
        {"hull_serial": "BT-1001", "model": "S22", "job_no": "J-77", "completed_on": "2018-03-01"}
    )
    build = build_of(**records)
    link_records(build)
    store = as_store(build)
    latest = history(store, "BT-1001")
    assert str(latest.hull.built_on) == "2025-02-01"
    assert "2 hulls are recorded under BT-1001" in latest.remarks[0]
    assert str(history(store, "J-77").hull.built_on) == "2018-03-01"


def test_percentile_counts_ties_half() -> None:
    peers = np.array([1.0, 2.0, 2.0, 3.0])
    assert percentile(2.0, peers) == 50.0
    assert percentile(0.0, peers) == 0.0
    assert percentile(9.0, peers) == 100.0
