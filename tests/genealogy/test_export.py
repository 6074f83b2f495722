from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import networkx as nx
import numpy as np
import pandas as pd
import prov
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from prov.model import ProvDocument

from tracegraph.genealogy import build_graph, graphml_text, node_link, prov_json

NODES = pd.DataFrame(
    [
        (1, "claim", "C-1/1", "C-1/1 blister", None, None),
        (2, "hull", "0042", "S22 0042", None, 22.5),
        (3, "part", "H-1", "hull H-1", None, None),
        (4, "operation", "OP 1", "gelcoat spray OP 1", pd.Timestamp("2025-03-04 06:30"), None),
        (5, "drum", "gelcoat|G-1|2", "gelcoat G-1/2", None, None),
        (6, "lot", "gelcoat|G-1", "gelcoat G-1", None, None),
        (7, "lot", "gelcoat|G-0", "gelcoat G-0", None, None),
        (8, "supplier", "SUP-1", "SUP-1", None, None),
        (9, "operator", "P-07", "person P-07", None, None),
        (10, "inspection", "I-1", "barcol I-1", pd.Timestamp("2025-03-05 08:00"), None),
    ],
    columns=["node_id", "kind", "key", "label", "started_at", "length_ft"],
)
EDGES = pd.DataFrame(
    [
        (1, 2, "wasDerivedFrom", np.nan),
        (2, 3, "hadMember", np.nan),
        (3, 4, "wasGeneratedBy", np.nan),
        (3, 10, "wasGeneratedBy", np.nan),
        (4, 5, "used", np.nan),
        (4, 9, "wasAssociatedWith", np.nan),
        (5, 6, "wasDerivedFrom", np.nan),
        (6, 7, "wasDerivedFrom", 0.4),
        (6, 8, "wasAttributedTo", np.nan),
    ],
    columns=["node_id", "upstream_id", "relation", "share"],
)


@pytest.fixture
def graph() -> nx.DiGraph[str]:
    return build_graph(NODES, EDGES)


def test_node_link_names_start_nodes_and_edges(graph: nx.DiGraph[str]) -> None:
    document = node_link(graph, "hull:0042")
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    assert document["start"] == "hull:0042"
    assert document["nodes"][1] == {
        "id": "hull:0042", "kind": "hull", "key": "0042", "label": "S22 0042", "length_ft": 22.5,
    }  # fmt: skip
    assert document["nodes"][3]["started_at"] == "2025-03-04T06:30:00"
    assert {"source": "lot:gelcoat|G-1", "target": "lot:gelcoat|G-0",
            "relation": "wasDerivedFrom", "share": 0.4} in document["edges"]  # fmt: skip


def reopened(graph: nx.DiGraph[str]) -> nx.DiGraph[str]:
    return nx.parse_graphml(graphml_text(graph))


def test_graphml_opens_again_with_the_same_nodes_and_attributes(graph: nx.DiGraph[str]) -> None:
    again = reopened(graph)
    assert again.is_directed()
    told = dict(graph.nodes(data=True))
    for data in told.values():
        if "started_at" in data:
            data["started_at"] = data["started_at"].isoformat()
    assert dict(again.nodes(data=True)) == told
    assert list(again.edges(data=True)) == list(graph.edges(data=True))


def test_graphml_spells_out_what_xml_cannot_hold() -> None:
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_edge("lot:a|1\x02", "lot:a|1\\u0002", relation="wasDerivedFrom", note="a\rb\x00")
    again = reopened(graph)
    assert list(again) == ["lot:a|1\\u0002", "lot:a|1\\u0002~2"]
    assert next(iter(again.edges(data="note")))[2] == "a\\u000db\\u0000"


@given(
    st.dictionaries(
        st.text(min_size=1), st.text(min_size=1) | st.integers(-(2**31), 2**31 - 1) | st.booleans(),
        min_size=1, max_size=4,
    )
)  # fmt: skip
@settings(max_examples=80, deadline=None)
def test_graphml_keeps_any_text(values: dict[str, Any]) -> None:
    graph: nx.DiGraph[str] = nx.DiGraph()
    for name, value in values.items():
        graph.add_node(name, label=value)
    again = reopened(graph)
    spelled = [
        re.sub("[\x00-\x08\x0b-\x1f\ufffe\uffff]", lambda hit: f"\\u{ord(hit.group()):04x}", name)
        for name in values
    ]
    if len(set(spelled)) == len(spelled):
        assert list(again) == spelled
    assert [
        label if not isinstance(label, str) else "text" for _, label in again.nodes(data="label")
    ] == [value if not isinstance(value, str) else "text" for value in values.values()]


# The shapes of the schema published with the PROV-JSON Member Submission (W3C, 24 April
# 2013): what each member of a document may hold, and what each relation must name.
# The schema itself comes with the package prov, unchanged (its tests/schemas/README.md).
PUBLISHED = jsonschema.Draft4Validator(
    json.loads(
        (Path(prov.__file__).parent / "tests" / "schemas" / "prov-json.schema.json").read_text()
    )
)
RELATIONS: dict[str, dict[str, str]] = {
    "wasGeneratedBy": {"prov:entity": "entity", "prov:activity": "activity"},
    "used": {"prov:entity": "entity", "prov:activity": "activity"},
    "wasDerivedFrom": {"prov:generatedEntity": "entity", "prov:usedEntity": "entity"},
    "wasAttributedTo": {"prov:entity": "entity", "prov:agent": "agent"},
    "wasAssociatedWith": {"prov:activity": "activity", "prov:agent": "agent"},
    "hadMember": {"prov:collection": "entity", "prov:entity": "entity"},
    "wasInfluencedBy": {"prov:influencee": "any", "prov:influencer": "any"},
}
QUALIFIED = re.compile(r"^[a-zA-Z0-9_\-]+:\S+$")
DATE_TIME = re.compile(r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)$")


def is_literal(value: Any) -> bool:
    if isinstance(value, dict):
        return (
            "$" in value
            and set(value) <= {"$", "type", "lang"}
            and all(isinstance(part, str) for part in value.values())
        )
    return isinstance(value, str | int | float | bool)


def check_prov_json(document: dict[str, Any]) -> None:
    PUBLISHED.validate(document)
    assert set(document) <= {"prefix", "entity", "activity", "agent", "bundle", *RELATIONS}
    for prefix, address in document["prefix"].items():
        assert re.fullmatch(r"[a-zA-Z0-9_\-]+", prefix)
        assert re.match(r"^[a-z]+:", address)
    for member in ("entity", "activity", "agent"):
        for name, attributes in document[member].items():
            assert QUALIFIED.match(name)
            assert name.split(":")[0] in document["prefix"]
            for key, value in attributes.items():
                assert QUALIFIED.match(key)
                values = value if isinstance(value, list) else [value]
                assert values
                assert all(is_literal(one) for one in values)
                if key in {"prov:startTime", "prov:endTime"}:
                    assert member == "activity"
                    assert DATE_TIME.match(value)
    names_of = {member: set(document[member]) for member in ("entity", "activity", "agent")}
    assert not names_of["entity"] & names_of["activity"]
    assert not names_of["entity"] & names_of["agent"]
    names_of["any"] = set().union(*names_of.values())
    for relation, ends in RELATIONS.items():
        for entry in document.get(relation, {}).values():
            assert set(ends) <= set(entry)
            assert all(entry[end] in names_of[member] for end, member in ends.items())
            assert all(is_literal(value) for value in entry.values())


def test_prov_json_has_the_published_shape(graph: nx.DiGraph[str]) -> None:
    document = prov_json(graph)
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    check_prov_json(document)
    assert len(document["entity"]) == 6
    assert set(document["activity"]) == {"tg:operation%3AOP%201", "tg:inspection%3AI-1"}
    assert set(document["agent"]) == {"tg:supplier%3ASUP-1", "tg:operator%3AP-07"}
    spray = document["activity"]["tg:operation%3AOP%201"]
    assert spray["prov:startTime"] == "2025-03-04T06:30:00Z"
    assert {name: len(document[name]) for name in RELATIONS if name in document} == {
        "wasGeneratedBy": 2, "used": 1, "wasDerivedFrom": 3, "wasAttributedTo": 1,
        "wasAssociatedWith": 1, "hadMember": 1,
    }  # fmt: skip
    assert {"prov:generatedEntity": "tg:lot%3Agelcoat%7CG-1",
            "prov:usedEntity": "tg:lot%3Agelcoat%7CG-0",
            "tg:share": 0.4} in document["wasDerivedFrom"].values()  # fmt: skip


def test_the_published_schema_refuses_what_is_no_prov_json(graph: nx.DiGraph[str]) -> None:
    document = prov_json(graph)
    for wrong in ({"entities": {}}, {"used": {"_:u1": {"prov:activity": 7}}}):
        assert not PUBLISHED.is_valid(document | wrong)


def test_prov_json_opens_in_a_library_of_others(graph: nx.DiGraph[str]) -> None:
    opened = ProvDocument.deserialize(content=json.dumps(prov_json(graph)), format="json")
    things = [record for record in opened.get_records() if record.is_element()]
    assert len(things) == graph.number_of_nodes()
    assert len(opened.get_records()) - len(things) == graph.number_of_edges()


def test_an_edge_that_prov_cannot_name_is_an_influence() -> None:
    nodes = NODES[NODES["node_id"].isin([3, 9])]
    edges = pd.DataFrame(
        [(3, 9, "used", None)], columns=["node_id", "upstream_id", "relation", "share"]
    )
    document = prov_json(build_graph(nodes, edges))
    check_prov_json(document)
    assert list(document["wasInfluencedBy"].values()) == [
        {"prov:influencee": "tg:part%3AH-1", "prov:influencer": "tg:operator%3AP-07"}
    ]


@given(st.text(min_size=1, max_size=12))
@settings(max_examples=60, deadline=None)
def test_any_key_gives_a_qualified_name(key: str) -> None:
    nodes = pd.DataFrame([(1, "lot", key, key)], columns=["node_id", "kind", "key", "label"])
    check_prov_json(prov_json(build_graph(nodes, EDGES.iloc[:0])))
