from __future__ import annotations

import json
from datetime import UTC, date, datetime
from typing import Any

import networkx as nx
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.genealogy.epcis_rules import check_document
from tracegraph.genealogy import epcis_document
from tracegraph.genealogy.sensor import identifier, sensor_report

NOW = datetime(2026, 5, 1, 12, 0, tzinfo=UTC)


def node(graph: nx.DiGraph[str], kind: str, key: str, **facts: Any) -> str:
    name = f"{kind}:{key}"
    graph.add_node(name, kind=kind, key=key, label=f"{kind} {key}", **facts)
    return name


@pytest.fixture
def graph() -> nx.DiGraph[str]:
    """One hull: a deck sprayed, laminated and pulled, a pump, a check, and a blend."""
    g: nx.DiGraph[str] = nx.DiGraph()
    hull = node(g, "hull", "BT 1", built_on=date(2025, 3, 1))
    deck = node(g, "part", "D-1")
    g.add_edge(hull, deck, relation="hadMember")
    spray = node(
        g, "operation", "OP-1", step="gelcoat spray", attempt=1,
        started_at=pd.Timestamp("2025-01-02 06:30"),
    )  # fmt: skip
    lay = node(g, "operation", "OP-2", step="laminate", started_at=pd.Timestamp("2025-01-03 06:30"))
    pull = node(g, "operation", "OP-3", step="pull", started_at=pd.Timestamp("2025-01-05 06:30"))
    rig = node(g, "operation", "OP-4", step="rig", started_at=pd.Timestamp("2025-02-01 06:30"))
    for operation in (spray, lay, pull):
        g.add_edge(deck, operation, relation="wasGeneratedBy")
    g.add_edge(hull, rig, relation="wasGeneratedBy")
    drum = node(g, "drum", "gelcoat|G-2|1")
    blend = node(g, "lot", "gelcoat|G-2")
    g.add_edge(spray, drum, relation="used", quantity=20.9, unit="kg")
    g.add_edge(drum, blend, relation="wasDerivedFrom")
    for parent, share in (("G-1", 0.4), ("G-0", 0.6)):
        g.add_edge(
            blend, node(g, "lot", f"gelcoat|{parent}"), relation="wasDerivedFrom", share=share
        )
    g.add_edge(lay, node(g, "lot", "resin|R-1"), relation="used")
    for operation in (spray, lay):
        g.add_edge(operation, node(g, "station", "ST-1"), relation="used")
    g.add_edge(spray, node(g, "equipment", "GUN-1"), relation="used")
    g.add_edge(spray, node(g, "operator", "P-07"), relation="wasAssociatedWith")
    for quantity, value, unit in (
        ("mold_temp", 21.5, "degC"),
        ("relative_humidity", 55.0, "%"),
        ("smell", 2.0, "noses"),
    ):
        reading = node(
            g, "condition", f"OP-1|{quantity}", quantity=quantity, value=value, unit=unit
        )
        g.add_edge(spray, reading, relation="used")
    check = node(
        g, "inspection", "I-1", checkpoint="barcol", result="fail", value=31.0, unit=None,
        defect="undercure", at=pd.Timestamp("2025-01-05 09:00"),
    )  # fmt: skip
    g.add_edge(deck, check, relation="wasGeneratedBy")
    pump = node(g, "component", "BP-7", fitted_at=pd.Timestamp("2025-02-02 10:00"))
    hose = node(g, "component", "no serial, 9")
    for part in (pump, hose):
        g.add_edge(hull, part, relation="hadMember")
    return g


def events(graph: nx.DiGraph[str]) -> list[dict[str, Any]]:
    document = epcis_document(graph, NOW)
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    return check_document(document)


def of_type(graph: nx.DiGraph[str], kind: str) -> list[dict[str, Any]]:
    return [event for event in events(graph) if event["type"] == kind]


def test_the_document_keeps_the_standards_rules_and_names_what_has_no_time(
    graph: nx.DiGraph[str],
) -> None:
    found = events(graph)
    times = [event["eventTime"] for event in found]
    assert times == sorted(times)
    assert epcis_document(graph, NOW)["tg:undated"] == ["component:no serial, 9"]
    assert epcis_document(graph, NOW) == epcis_document(graph, NOW)


def test_work_that_uses_lots_transforms_them_into_the_part(graph: nx.DiGraph[str]) -> None:
    blend, spray, lay = of_type(graph, "TransformationEvent")
    assert spray["inputQuantityList"] == [
        {"epcClass": "urn:tracegraph:drum:gelcoat%7CG-2%7C1", "quantity": 20.9, "uom": "KGM"}
    ]
    assert "outputEPCList" not in spray
    assert spray["transformationID"] == lay["transformationID"]
    # Without an amount the lot is named; the last work that used lots yields the part.
    assert lay["inputEPCList"] == ["urn:tracegraph:lot:resin%7CR-1"]
    assert lay["outputEPCList"] == ["urn:tracegraph:part:D-1"]
    assert spray["readPoint"] == {"id": "urn:tracegraph:station:ST-1"}
    assert spray["tg:equipment"] == ["urn:tracegraph:equipment:GUN-1"]
    assert spray["bizStep"] == "urn:tracegraph:step:gelcoat%20spray"
    assert spray["eventTime"] == "2025-01-02T06:30:00.000Z"
    assert blend["outputEPCList"] == ["urn:tracegraph:lot:gelcoat%7CG-2"]


def test_a_blend_without_a_day_was_made_by_its_first_use(graph: nx.DiGraph[str]) -> None:
    blend = of_type(graph, "TransformationEvent")[0]
    assert blend["tg:atTheLatest"]
    assert blend["eventTime"] == "2025-01-02T06:30:00.000Z"
    assert blend["tg:share"] == {
        "urn:tracegraph:lot:gelcoat%7CG-0": 0.6,
        "urn:tracegraph:lot:gelcoat%7CG-1": 0.4,
    }
    graph.nodes["lot:gelcoat|G-2"]["made_on"] = date(2024, 12, 30)
    dated = of_type(graph, "TransformationEvent")[0]
    assert dated["eventTime"] == "2024-12-30T00:00:00.000Z"
    assert "tg:atTheLatest" not in dated


def test_readings_are_sensor_reports(graph: nx.DiGraph[str]) -> None:
    spray = of_type(graph, "TransformationEvent")[1]
    (element,) = spray["sensorElementList"]
    by_name = {report.get("dataProcessingMethod", report["type"]): report
               for report in element["sensorReport"]}  # fmt: skip
    assert by_name["urn:tracegraph:quantity:mold_temp"] == {
        "type": "Temperature", "value": 21.5, "uom": "CEL",
        "dataProcessingMethod": "urn:tracegraph:quantity:mold_temp",
    }  # fmt: skip
    assert by_name["urn:tracegraph:quantity:relative_humidity"]["type"] == "RelativeHumidity"
    assert by_name["urn:tracegraph:quantity:smell"] == {
        "type": "urn:tracegraph:quantity:smell", "value": 2.0,
    }  # fmt: skip


def test_parts_are_aggregated_and_components_associated(graph: nx.DiGraph[str]) -> None:
    (parts,) = of_type(graph, "AggregationEvent")
    assert parts["parentID"] == "urn:tracegraph:hull:BT%201"
    assert parts["childEPCs"] == ["urn:tracegraph:part:D-1"]
    assert parts["eventTime"] == "2025-02-01T06:30:00.000Z"  # the first work on the hull
    (pump,) = of_type(graph, "AssociationEvent")
    assert pump["childEPCs"] == ["urn:tracegraph:component:BP-7"]
    assert (pump["action"], pump["bizStep"]) == ("ADD", "installing")
    graph.remove_node("operation:OP-4")
    assert of_type(graph, "AggregationEvent")[0]["eventTime"] == "2025-03-01T00:00:00.000Z"


def test_checks_and_work_without_lots_observe_the_thing(graph: nx.DiGraph[str]) -> None:
    pull, check, rig = of_type(graph, "ObjectEvent")
    assert pull["epcList"] == ["urn:tracegraph:part:D-1"]
    assert rig["epcList"] == ["urn:tracegraph:hull:BT%201"]
    assert check["disposition"] == "non_conformant"
    assert check["bizStep"] == "inspecting"
    assert (check["tg:checkpoint"], check["tg:defect"]) == ("barcol", "undercure")
    assert check["sensorElementList"][0]["sensorReport"][0]["value"] == 31.0


@pytest.mark.parametrize(
    ("result", "disposition"),
    [("pass", "conformant"), ("fail", "non_conformant"), ("not done", "unknown")],
)
def test_results_have_their_dispositions(
    graph: nx.DiGraph[str], result: str, disposition: str
) -> None:
    graph.nodes["inspection:I-1"]["result"] = result
    check = next(e for e in of_type(graph, "ObjectEvent") if e.get("bizStep") == "inspecting")
    assert check["disposition"] == disposition
    assert check["tg:result"] == result


def test_people_are_left_out(graph: nx.DiGraph[str]) -> None:
    assert "P-07" not in json.dumps(epcis_document(graph, NOW))


# Codes of UN/ECE Recommendation 20, revision 17 (common codes).
@pytest.mark.parametrize(
    ("unit", "kind", "code"),
    [
        ("degC", "Temperature", "CEL"),
        ("degF", "Temperature", "FAH"),
        ("um", "Length", "4H"),
        ("min", "Time", "MIN"),
        ("h", "Time", "HUR"),
        ("d", "Time", "DAY"),
        ("kPa", "Pressure", "KPA"),
        ("psi", "Pressure", "PS"),
        ("kg", "Mass", "KGM"),
        ("g", "Mass", "GRM"),
        ("lb", "Mass", "LBR"),
        ("L", "Volume", "LTR"),
        ("%", "Dimensionless", "P1"),
        ("pcs", "Count", "H87"),
    ],
)
def test_units_have_their_codes(unit: str, kind: str, code: str) -> None:
    report = sensor_report("q", 1.0, unit)
    assert (report["type"], report["uom"]) == (kind, code)


@given(st.text(min_size=1, max_size=12), st.text(min_size=1, max_size=12))
@settings(max_examples=80, deadline=None)
def test_any_number_gives_a_valid_document(key: str, step: str) -> None:
    g: nx.DiGraph[str] = nx.DiGraph()
    part = node(g, "part", key)
    work = node(g, "operation", key, step=step, started_at=pd.Timestamp("2025-01-02 06:30"))
    g.add_edge(part, work, relation="wasGeneratedBy")
    g.add_edge(work, node(g, "lot", key), relation="used")
    (event,) = events(g)
    assert event["outputEPCList"] == [identifier(part)]


def test_an_empty_graph_gives_an_empty_document() -> None:
    assert events(nx.DiGraph()) == []
