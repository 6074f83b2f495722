from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

import networkx as nx
import pytest

from tests.analysis.small_plant import plant_records, plant_store
from tests.genealogy.test_export import check_prov_json
from tests.support.records import build_of
from tracegraph.analysis.tracing import Trace, trace
from tracegraph.domain.errors import DefinitionError, UnknownHullError
from tracegraph.genealogy import (
    Loop,
    epcis_document,
    graphml_text,
    prov_json,
    shares,
    upstream,
)
from tracegraph.linkage import link_records
from tracegraph.store import Store
from tracegraph.store.reader import as_store


@pytest.fixture(scope="module")
def store() -> Iterator[Store]:
    with plant_store() as store:
        yield store


def kinds(found: Trace, column: str) -> dict[str, int]:
    counts = found.counts.set_index("kind")[column]
    return {str(kind): int(count) for kind, count in counts.items() if count}


def test_a_hull_leads_up_to_all_that_went_into_it_and_down_to_its_claims(store: Store) -> None:
    found = trace(store, "BT-1001")
    assert found.start == "hull:BT-1001"
    assert kinds(found, "upstream") == {
        "part": 2,
        "component": 1,
        "operation": 3,
        "inspection": 3,
        "condition": 2,
        "drum": 1,
        "lot": 2,
        "mold": 2,
        "equipment": 1,
        "station": 2,
        "supplier": 2,
        "operator": 2,
        "crew": 1,
    }
    assert kinds(found, "downstream") == {"claim": 2}
    assert found.graph.number_of_nodes() == found.counts[["upstream", "downstream"]].sum().sum() + 1
    assert found.loops == ()
    assert not found.cut_short


def test_edges_point_upstream_under_prov_names(store: Store) -> None:
    graph = trace(store, "C-2").graph
    way = [
        ("claim:C-2", "hull:BT-1003", "wasDerivedFrom"),
        ("hull:BT-1003", "part:H-3", "hadMember"),
        ("part:H-3", "operation:OP-H-3", "wasGeneratedBy"),
        ("part:H-3", "mold:M-1", "wasDerivedFrom"),
        ("part:H-3", "inspection:I-3-1", "wasGeneratedBy"),
        ("operation:OP-H-3", "condition:OP-H-3|ambient_temp", "used"),
        ("operation:OP-H-3", "operator:P-07", "wasAssociatedWith"),
        ("operation:OP-H-3", "drum:gelcoat|G-2|1", "used"),
        ("drum:gelcoat|G-2|1", "lot:gelcoat|G-2", "wasDerivedFrom"),
        ("lot:gelcoat|G-2", "lot:gelcoat|G-1", "wasDerivedFrom"),
        ("lot:gelcoat|G-1", "supplier:SUP-A", "wasAttributedTo"),
    ]
    for later, earlier, relation in way:
        assert graph.edges[later, earlier]["relation"] == relation
    assert graph.edges["lot:gelcoat|G-2", "lot:gelcoat|G-1"]["share"] == 0.4
    assert shares(graph, "drum:gelcoat|G-2|1")["lot:gelcoat|G-0"] == pytest.approx(0.6)


def test_nodes_carry_what_the_records_say(store: Store) -> None:
    graph = trace(store, "BT-1001").graph
    assert graph.nodes["claim:C-1/1"]["symptom"] == "blister"
    assert graph.nodes["hull:BT-1001"]["model"] == "S22"
    assert graph.nodes["part:D-1"]["pull_no"] == 1
    assert graph.nodes["operation:OP-H-1"]["started_at"].isoformat() == "2025-01-01T06:30:00"
    assert graph.nodes["condition:OP-H-1|ambient_temp"]["value"] == 20.5
    assert graph.nodes["lot:gelcoat|G-1"]["received_on"].isoformat()[:10] == "2024-12-01"
    assert "received_on" not in graph.nodes["lot:bilge pump|L-9"]


@pytest.mark.parametrize(
    ("value", "unit", "label"),
    [
        (20.555555, "degC", "20.56 °C"),
        (457.2, "um", "457.2 µm"),
        (-4.2, "degC", "-4.2 °C"),
        (1234567.0, "g", "1234567 g"),
        (0.01234, "bar", "0.0123 bar"),
        (0.0, "%", "0 %"),
    ],
)
def test_a_reading_is_labelled_in_short(value: float, unit: str, label: str) -> None:
    records = plant_records()
    records["readings"] = [
        {"operation_id": "OP-H-1", "quantity": "q", "value": value, "unit": unit},
        {"operation_id": "OP-H-1", "quantity": "q", "value": 7, "unit": unit},
    ]
    build = build_of(**records)
    link_records(build)
    with as_store(build) as store:
        graph = trace(store, "H-1", direction="up").graph
    assert graph.nodes["condition:OP-H-1|q"]["label"] == f"q {label}"
    assert graph.nodes["condition:OP-H-1|q"]["value"] == value
    assert graph.nodes["condition:OP-H-1|q|2"]["value"] == 7


def test_every_attempt_at_a_check_is_there(store: Store) -> None:
    graph = trace(store, "BT-1001").graph
    checks = [data for _, data in graph.nodes(data=True) if data["kind"] == "inspection"]
    assert [check["label"] for check in checks] == [
        "water test: pass",
        "barcol: fail, attempt 1, undercure",
        "barcol: pass, attempt 2",
    ]


def test_a_lot_leads_down_through_blends_to_hulls_and_claims(store: Store) -> None:
    found = trace(store, "G-0")
    assert kinds(found, "upstream") == {"supplier": 1}
    assert kinds(found, "downstream") == {
        "claim": 1, "hull": 2, "part": 2, "operation": 2, "drum": 1, "lot": 1,
    }  # fmt: skip
    assert "claim:C-2" in found.graph
    assert not [n for n, kind in found.graph.nodes(data="kind") if kind == "condition"]


def test_one_direction_leaves_the_other_out(store: Store) -> None:
    up = trace(store, "BT-1003", direction="up")
    down = trace(store, "BT-1003", direction="down")
    assert "claim:C-2" not in up.graph
    assert set(down.graph) == {"hull:BT-1003", "claim:C-2"}
    assert set(up.graph) == {"hull:BT-1003", *upstream(up.graph, "hull:BT-1003")}


def test_depth_limits_the_history_too(store: Store) -> None:
    one = trace(store, "BT-1001", depth=1)
    assert kinds(one, "upstream") == {"part": 2, "component": 1, "operation": 1, "inspection": 1}
    assert one.cut_short
    two = trace(store, "BT-1001", depth=2)
    assert kinds(two, "upstream")["inspection"] == 3
    assert "condition" not in kinds(two, "upstream")
    assert kinds(trace(store, "BT-1001", depth=3), "upstream")["condition"] == 2


def test_amounts_used_stand_on_the_edges() -> None:
    records = plant_records()
    for amount in (12.5, 8.0):
        records["usages"].append(
            {"operation_id": "OP-D-1", "material": "gelcoat", "lot_no": "G-1", "drum_no": "1",
             "quantity": amount, "unit": "kg"}
        )  # fmt: skip
    build = build_of(**records)
    link_records(build)
    with as_store(build) as store:
        graph = trace(store, "D-1", direction="up").graph
    edge = graph.edges["operation:OP-D-1", "drum:gelcoat|G-1|1"]
    assert (edge["quantity"], edge["unit"]) == (20.5, "kg")
    used = [entry for entry in prov_json(graph)["used"].values() if "tg:quantity" in entry]
    assert [(entry["tg:quantity"], entry["tg:unit"]) for entry in used] == [(20.5, "kg")]


def test_what_the_logger_saw_over_work_and_cure_is_attached() -> None:
    records = plant_records()
    records["ambient"] = [
        {"station": "ST-1", "at": f"2025-01-01 {hour}", "quantity": "ambient_temp",
         "value": value, "unit": "degC"}
        for hour, value in (
            # Work from 6:30 to 7:10, and gelcoat cures for one hour.
            ("06:00", 99.0), ("06:30", 20.0), ("07:00", 22.0), ("08:00", 24.0), ("08:30", 99.0),
        )
    ]  # fmt: skip
    build = build_of(**records)
    link_records(build)
    with as_store(build) as store:
        graph = trace(store, "H-1", direction="up").graph
        other = trace(store, "H-2", direction="up").graph
    logged = graph.nodes["condition:OP-H-1|ambient_temp|logged"]
    assert (logged["value"], logged["low"], logged["high"]) == (22.0, 20.0, 24.0)
    assert logged["label"] == "ambient_temp 22 °C (20 to 24), logged"
    assert graph.nodes["condition:OP-H-1|ambient_temp"]["value"] == 20.5  # as written stays
    assert "condition:OP-H-2|ambient_temp|logged" not in other  # a day later: no longer fresh
    reports = [
        report
        for event in epcis_document(graph, datetime(2026, 1, 1, tzinfo=UTC))["epcisBody"][
            "eventList"
        ]
        for element in event.get("sensorElementList", [])
        for report in element["sensorReport"]
    ]
    assert {"meanValue": 22.0, "minValue": 20.0, "maxValue": 24.0}.items() <= next(
        report for report in reports if "meanValue" in report
    ).items()


def test_the_edge_to_a_mold_tells_its_condition_at_that_pull() -> None:
    records = plant_records()
    # M-1 was called OLD when it was waxed after pull 2; repaired after pull 3, as counted.
    records["mold_events"] = [
        {"mold_no": "OLD", "at": "2025-01-02 18:00", "event": "waxed", "pull_no": 2},
        {"mold_no": "OLD", "at": "2025-01-02 19:00", "event": "renamed", "note": "M-1"},
        {"mold_no": "M-1", "at": "2025-01-03 18:00", "event": "repaired"},
    ]
    build = build_of(**records)
    link_records(build)
    with as_store(build) as store:
        graph = trace(store, "H-5", direction="up").graph
        before = trace(store, "H-1", direction="up").graph
        document = prov_json(graph)
    edge = graph.edges["part:H-5", "mold:M-1"]
    assert {name: edge[name] for name in edge if "since" in name} == {
        "pulls_since_waxed": 3, "days_since_waxed": 3,
        "pulls_since_repaired": 2, "days_since_repaired": 2,
    }  # fmt: skip
    assert not any("since" in name for name in before.edges["part:H-1", "mold:M-1"])
    told = [entry.get("tg:pulls_since_waxed") for entry in document["wasDerivedFrom"].values()]
    assert [value for value in told if value is not None] == [3.0]


def test_shares_are_multiplied_and_added_up_over_all_ways() -> None:
    records = plant_records()
    records["blends"] += [
        {"material": "gelcoat", "lot_no": "G-1", "parent_lot_no": "G-0", "share": 0.5}
    ]
    build = build_of(**records)
    link_records(build)
    with as_store(build) as store:
        told = trace(store, "BT-1003", direction="up").shares.set_index(["used", "holds"])["share"]
        lot = trace(store, "G-2", direction="up").shares
    # G-2 is 40 % G-1, of which half is G-0, and 60 % G-0.
    assert told["drum:gelcoat|G-2|1", "lot:gelcoat|G-0"] == pytest.approx(0.8)
    assert told["drum:gelcoat|G-2|1", "lot:gelcoat|G-1"] == pytest.approx(0.4)
    assert told["drum:gelcoat|G-1|1", "lot:gelcoat|G-0"] == pytest.approx(0.5)
    assert set(lot["used"]) == {"lot:gelcoat|G-2"}


def test_all_lines_of_a_claim_are_starts(store: Store) -> None:
    found = trace(store, "C-1")
    assert found.starts == ("claim:C-1/1", "claim:C-1/2")
    assert found.start == "claim:C-1/1"
    assert "hull:BT-1001" in found.graph


def test_a_claim_that_reached_no_hull_stands_alone(store: Store) -> None:
    assert list(trace(store, "C-3").graph) == ["claim:C-3"]


def test_blends_that_lead_back_to_themselves_are_shown_and_end() -> None:
    records = plant_records()
    records["blends"] += [
        {"material": "gelcoat", "lot_no": later, "parent_lot_no": earlier, "share": 0.1}
        for later, earlier in (("G-0", "G-2"), ("G-9", "G-9"))
    ]
    build = build_of(**records)
    link_records(build)
    with as_store(build) as looped:
        found = trace(looped, "BT-1003")
        assert found.loops == (
            Loop(
                ("lot:gelcoat|G-0", "lot:gelcoat|G-2"),
                ("lot:gelcoat|G-0", "lot:gelcoat|G-2", "lot:gelcoat|G-0"),
            ),
        )
        assert trace(looped, "G-9").loops[0].walk == ("lot:gelcoat|G-9", "lot:gelcoat|G-9")


def test_a_part_reached_twice_is_one_node() -> None:
    records = plant_records()
    records["usages"].append(
        {"operation_id": "OP-H-1", "material": "gelcoat", "lot_no": "G-2", "drum_no": "1"}
    )
    build = build_of(**records)
    link_records(build)
    with as_store(build) as store:
        graph = trace(store, "BT-1001", direction="up").graph
    assert len(list(nx.all_simple_paths(graph, "hull:BT-1001", "lot:gelcoat|G-1"))) == 3
    assert len([n for n in graph if n == "lot:gelcoat|G-1"]) == 1


def test_a_trace_can_be_opened_by_other_programs(store: Store) -> None:
    graph = trace(store, "C-1").graph
    again = nx.parse_graphml(graphml_text(graph))
    assert list(again) == list(graph)
    assert list(again.edges(data=True)) == list(graph.edges(data=True))
    assert dict(again.nodes(data="label")) == dict(graph.nodes(data="label"))
    document = prov_json(graph)
    check_prov_json(document)
    relations = {"used", "wasGeneratedBy", "wasDerivedFrom", "wasAssociatedWith", "wasAttributedTo"}
    assert relations | {"hadMember"} <= set(document)
    assert "wasInfluencedBy" not in document


def test_wrong_words_are_refused(store: Store) -> None:
    with pytest.raises(DefinitionError, match="direction must be up, down or both; got 'left'"):
        trace(store, "BT-1001", direction="left")  # type: ignore[arg-type]  # the point of the test
    with pytest.raises(DefinitionError, match="depth must be 1 or more"):
        trace(store, "BT-1001", depth=0)
    with pytest.raises(UnknownHullError, match=r"Near: .*BT-1001"):
        trace(store, "BT-1007")
