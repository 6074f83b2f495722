from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest

from tests.analysis.small_plant import linked_plant
from tests.genealogy.epcis_rules import check_document
from tracegraph.analysis.comparison import compare
from tracegraph.analysis.containment import contain
from tracegraph.analysis.peers import review
from tracegraph.analysis.tracing import trace
from tracegraph.domain.definition import CaseDefinition
from tracegraph.exposure import build_exposure
from tracegraph.report.genealogy_json import (
    compare_json,
    contain_json,
    epcis_json,
    review_json,
    trace_json,
)
from tracegraph.store import Store
from tracegraph.store.reader import as_store


@pytest.fixture(scope="module")
def store() -> Iterator[Store]:
    build = linked_plant()
    build_exposure(build)
    with as_store(build) as store:
        yield store


def through_json(document: dict[str, Any]) -> dict[str, Any]:
    again: dict[str, Any] = json.loads(json.dumps(document, allow_nan=False))
    assert again == document
    return again


def test_a_trace_names_start_nodes_and_edges(store: Store) -> None:
    document = through_json(trace_json(trace(store, "C-2")))
    assert document["start"] == "claim:C-2"
    ids = {node["id"] for node in document["nodes"]}
    assert document["start"] in ids
    assert all({"kind", "label"} <= set(node) for node in document["nodes"])
    assert all({edge["source"], edge["target"]} <= ids for edge in document["edges"])
    (claim,) = [node for node in document["nodes"] if node["kind"] == "claim"]
    assert claim == {
        "id": "claim:C-2", "kind": "claim", "key": "C-2", "label": "C-2 blister",
        "symptom": "blister", "opened_on": "2026-05-02", "failed_on": "2026-05-02",
        "certainty": "probable", "solicited": False,
    }  # fmt: skip
    told = {(row["used"], row["holds"]): row["share"] for row in document["shares"]}
    assert told == {
        ("drum:gelcoat|G-2|1", "lot:gelcoat|G-1"): 0.4,
        ("drum:gelcoat|G-2|1", "lot:gelcoat|G-0"): 0.6,
    }
    operation = next(node for node in document["nodes"] if node["id"] == "operation:OP-H-3")
    assert operation["started_at"] == "2025-01-03T06:30:00"


def test_a_comparison_gives_each_question_with_the_levels_of_each_hull(store: Store) -> None:
    document = through_json(compare_json(compare(store, ["BT-1001", "BT-1004"])))
    by_family = {row["family"]: row for row in document["families"]}
    assert by_family["hull: gelcoat spray: gelcoat lot"]["levels"] == {
        "BT-1001": "G-1",
        "BT-1004": "not written down",
    }
    assert all(row["carry"] <= row["applies"] for row in document["shared"])


def test_a_containment_counts_by_grade_and_place_and_says_null_for_unknown(store: Store) -> None:
    blister = CaseDefinition(symptoms=("blister",))
    found = contain(store, "hull: gelcoat spray: gelcoat drum", "G-1/2", definition=blister)
    document = through_json(contain_json(found))
    assert document["parent"] == {"family": "hull: gelcoat spray: gelcoat lot", "level": "G-1"}
    assert sum(row["total"] for row in document["counts"].values()) == 6
    assert document["counts"]["possible"]["plant"] == 1
    possible, recorded = document["hulls"]
    promised = "hull_serial grade probability place state months_in_service affected"
    assert set(promised.split()) <= set(recorded)
    assert (recorded["probability"], recorded["affected"]) == (1.0, False)
    # In the plant: drum G-1/2 was used once, and other drums before and after the blank.
    assert 0.01 <= possible["probability"] < 0.5
    assert (possible["reason"], possible["months_in_service"]) == (None, None)
    assert recorded["built_on"] == "2025-02-02"
    assert document["definition"]["symptoms"] == ["blister"]
    plain = contain_json(contain(store, "hull: mold", "M-1"))
    assert plain["hulls"][0]["affected"] is None
    assert plain["parent"] is None


def test_a_containment_tells_what_checks_it(store: Store) -> None:
    blister = CaseDefinition(symptoms=("blister",), reporting_days=0)
    lot = "hull: gelcoat spray: gelcoat lot"
    found = contain(
        store, lot, "G-1", also=[("hull: mold", "M-1")], definition=blister,
        states={"BT-1001": "corrected"},
    )  # fmt: skip
    document = through_json(contain_json(found))
    assert document["members"] == [
        {"family": lot, "level": "G-1"}, {"family": "hull: mold", "level": "M-1"},
    ]  # fmt: skip
    assert document["states"]["corrected"] == 1
    assert sum(document["states"].values()) == len(document["hulls"])
    assert document["report"]["may_contain"] == len(document["hulls"])
    assert document["effect"]["observed"] == 1  # the other hull is still at the dealer
    assert document["balance"]["reason"] == "the amount received was not written down"
    assert document["balance"]["closes"] is None
    assert document["forecast"]["claims"]["total"]["low"] >= 0
    assert [row["level"] for row in document["alternatives"]] == ["G-1", "M-1"]
    alone = through_json(contain_json(contain(store, lot, "G-1", definition=blister)))
    assert alone["bracket"]["unit"] == "lots"
    assert alone["bracket"]["rows"]


def test_a_review_gives_findings_and_limits(store: Store) -> None:
    document = through_json(review_json(review(store, "BT-1001")))
    assert document["hull_serial"] == "BT-1001"
    assert [row["kind"] for row in document["findings"]] == ["passed after a fail"]
    assert document["findings"][0]["at"].startswith("2025-01-01T")
    assert {row["quantity"] for row in document["measures"]} == {"ambient_temp"}
    assert all(row["source"] for row in document["limits"])


def test_a_hull_is_told_as_epcis_events(store: Store) -> None:
    found = trace(store, "BT-1001", direction="up")
    document = through_json(epcis_json(found, datetime(2026, 1, 1, tzinfo=UTC)))
    events = check_document(document)
    names = ("TransformationEvent", "AggregationEvent", "AssociationEvent", "ObjectEvent")
    kinds = {name: sum(event["type"] == name for event in events) for name in names}
    # Two sprays; one rigging and three checks; the pump has no time of fitting.
    assert kinds == {
        "TransformationEvent": 2, "AggregationEvent": 1, "AssociationEvent": 0, "ObjectEvent": 4,
    }  # fmt: skip
    assert document["tg:undated"] == ["component:BP-77"]
    assert check_document(epcis_json(found))
