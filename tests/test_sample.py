"""The sample yard end to end: folder of records to ranked suspects, against its answer key."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import SAMPLE
from tracegraph.analysis.ranking import Ranking, rank
from tracegraph.domain.definition import CaseDefinition
from tracegraph.intake import load_folder
from tracegraph.store import Store, StoreDirectory, open_store

KEY: list[dict[str, Any]] = json.loads((SAMPLE / "answer_key.json").read_text(encoding="utf-8"))


def planted(kind: str) -> list[dict[str, Any]]:
    return [entry for entry in KEY if entry["role"] == kind]


def named_causes() -> list[tuple[str, str, str]]:
    """Symptom, family and level of the planted causes of single-cause symptoms."""
    return [
        (entry["symptom"], cause["family"], cause["level"])
        for entry in planted("planted")
        for cause in entry["causes"]
        if cause["level"] is not None and not cause["family"].endswith("equipment")
    ]


@pytest.fixture(scope="module")
def store(sample_store: Path) -> Iterator[Store]:
    with open_store(sample_store) as opened:
        yield opened


def ranked(store: Store, symptom: str) -> Ranking:
    return rank(store, CaseDefinition(symptoms=(symptom,)))


def test_key_names_a_lot_a_mold_and_a_component_lot() -> None:
    families = {family for _, family, _ in named_causes()}
    assert any(family.endswith("gelcoat lot") for family in families)
    assert any(family.endswith(": mold") for family in families)
    assert any("fuel hose" in family for family in families)


@pytest.mark.parametrize(("symptom", "family", "level"), named_causes())
def test_planted_lot_and_mold_come_out_first(
    store: Store, symptom: str, family: str, level: str
) -> None:
    first = ranked(store, symptom).frame.iloc[0]
    assert (first["family"], first["level"]) == (family, level)
    assert first["q_bh"] < 0.001
    assert first["direction"] == "harm"


@pytest.mark.parametrize(
    ("symptom", "family"),
    [
        (entry["symptom"], entry["causes"][0]["family"])
        for entry in planted("planted")
        if entry["causes"][0]["level"] is None
    ],
)
def test_planted_condition_is_among_the_first_that_stand_out(
    store: Store, symptom: str, family: str
) -> None:
    frame = ranked(store, symptom).frame
    found = frame[(frame["family"] == family) & (frame["direction"] == "harm")].iloc[0]
    assert found["rank"] <= 10
    assert found["q_bh"] < 0.01


@pytest.mark.parametrize("entry", planted("nothing"), ids=lambda entry: entry["symptom"])
def test_nothing_is_significant_where_nothing_was_planted(
    store: Store, entry: dict[str, Any]
) -> None:
    ranking = ranked(store, entry["symptom"])
    assert ranking.cohort.affected >= 10
    assert not (ranking.frame["q_bh"] < 0.05).any()


@pytest.mark.parametrize(("symptom", "family", "level"), named_causes())
def test_planted_causes_come_first_by_evidence_too(
    store: Store, symptom: str, family: str, level: str
) -> None:
    ranking = rank(store, CaseDefinition(symptoms=(symptom,)), order="evidence")
    first = ranking.frame.iloc[0]
    assert (first["family"], first["level"]) == (family, level)
    assert first["p_family"] <= 0.005
    assert first["rate_ratio_low"] > 2
    again = rank(store, CaseDefinition(symptoms=(symptom,)), order="evidence")
    assert again.frame.equals(ranking.frame)


def test_nothing_planted_is_nothing_by_evidence(store: Store) -> None:
    for entry in planted("nothing"):
        ranking = rank(store, CaseDefinition(symptoms=(entry["symptom"],)), order="evidence")
        assert ranking.frame["p_family"].min() > 0.05


def test_people_are_neither_shown_nor_tested_by_default(store: Store) -> None:
    for entry in planted("decoy"):
        assert "people" not in set(ranked(store, entry["symptom"]).frame["kind"])


def test_every_row_of_every_file_is_accounted_for(sample_store: Path) -> None:
    report = load_folder(SAMPLE, StoreDirectory(sample_store))
    assert not report.changed
    for file in report.files:
        assert file.seen == file.loaded + file.set_aside + file.repeats + file.furniture, file


def test_loading_again_changes_nothing(tmp_path: Path) -> None:
    directory = StoreDirectory(tmp_path)
    first = load_folder(SAMPLE, directory)
    build = directory.current()
    second = load_folder(SAMPLE, directory)
    assert first.changed
    assert not second.changed
    assert second.version == first.version
    assert directory.current() == build
