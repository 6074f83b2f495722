from __future__ import annotations

from datetime import date

import pytest

from tests.analysis.test_overview import _claim, _hull
from tests.support.records import Row, build_of
from tracegraph.analysis.cluster import build_strip, choices, cluster_cases
from tracegraph.analysis.ranking import rank
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError, UnknownNameError
from tracegraph.exposure import build_exposure
from tracegraph.linkage import link_records
from tracegraph.store import Store
from tracegraph.store.reader import as_store

BLISTER = CaseDefinition(symptoms=("Blister",), cut_off=date(2026, 6, 30))


def _store() -> Store:
    """Twelve hulls sprayed day after day; the first four with lot G-1, one lot unwritten."""
    serials = [f"H{i:02d}" for i in range(1, 13)]
    hulls = [_hull(s, "2025-02-10", "2025-03-01") for s in serials]
    parts: list[Row] = [
        {"part_serial": f"D-{s}", "part": "deck", "hull_serial": s} for s in serials
    ]
    operations: list[Row] = [
        {
            "operation_id": f"O-{s}",
            "step": "gelcoat spray",
            "part_serial": f"D-{s}",
            "operator": "SP-01",
            "started_at": f"2025-01-{n:02d} 10:00",
        }
        for n, s in enumerate(serials, 1)
    ]
    usages: list[Row] = [
        {
            "operation_id": f"O-{s}",
            "material": "gelcoat",
            "lot_no": None if n == 5 else "G-1" if n <= 4 else "G-2",
        }
        for n, s in enumerate(serials, 1)
    ]
    claims = [
        _claim("C1", "H01", "2025-09-01", cost=100.0, safety_class=2),
        _claim("C2", "H01", "2025-10-01", cost=40.0, safety_class=1),
        _claim("C3", "H02", "2025-09-01"),
        _claim("C4", "H03", "2025-09-01", solicited=True),
        _claim("C5", "H09", "2025-09-01", certainty="possible"),
        _claim("C6", "H10", "2026-06-30", symptom="leak", zone="bilge"),
    ]
    build = build_of(hulls=hulls, parts=parts, operations=operations, usages=usages, claims=claims)
    link_records(build)
    build_exposure(build)
    return as_store(build)


def test_cases_are_hulls_with_their_claims_that_count() -> None:
    cases = cluster_cases(_store(), BLISTER)
    assert cases.frame["hull_serial"].tolist() == ["H01", "H02"]
    first = cases.frame.iloc[0]
    assert (first["first_claim"], first["claims"], first["cost"]) == ("C1", 2, 140.0)
    assert first["case_month"] == 6
    assert cases.frame["counted"].tolist() == [True, True]
    assert cases.safety_class == 1


def test_a_case_after_the_landmark_is_listed_and_marked() -> None:
    cases = cluster_cases(_store(), CaseDefinition(symptoms=("blister", "leak"), landmark_months=6))
    assert cases.frame["counted"].tolist() == [True, True, False]


def test_no_claims_of_a_class_gives_no_class() -> None:
    cases = cluster_cases(_store(), CaseDefinition(symptoms=("leak",)))
    assert cases.safety_class is None


def test_the_strip_stands_in_the_order_of_the_step() -> None:
    strip = build_strip(_store(), BLISTER, "deck: gelcoat spray: gelcoat lot", "g-1")
    assert strip.suspect.level == "G-1"
    frame = strip.frame
    # H03 leaves when its claim is asked for, half a year in; the landmark keeps it.
    assert frame["state"].tolist() == ["exposed"] * 4 + ["not recorded"] + ["not exposed"] * 7
    assert frame.loc[frame["affected"], "hull_serial"].tolist() == ["H01", "H02"]
    assert frame["at"].is_monotonic_increasing


def test_the_strip_agrees_with_the_ranking() -> None:
    store = _store()
    ranking = rank(store, BLISTER)
    for row in ranking.frame.to_dict("records"):
        frame = build_strip(store, BLISTER, str(row["family"]), str(row["level"])).frame
        exposed, others = frame["state"] == "exposed", frame["state"] == "not exposed"
        assert (row["exposed"], row["unexposed"]) == (exposed.sum(), others.sum())
        assert row["affected_exposed"] == (exposed & frame["affected"]).sum()
        assert row["affected_unexposed"] == (others & frame["affected"]).sum()
        assert row["unknown"] == (frame["state"] == "not recorded").sum()


def test_people_are_shown_with_a_reason_only() -> None:
    store = _store()
    with pytest.raises(DefinitionError, match="only with a reason"):
        build_strip(store, BLISTER, "deck: gelcoat spray: operator", "SP-01")
    shown = build_strip(
        store, BLISTER, "deck: gelcoat spray: operator", "SP-01", people_reason="training"
    )
    assert (shown.frame["state"] == "exposed").all()
    with pytest.raises(UnknownNameError):
        build_strip(store, BLISTER, "deck: gelcoat spray: gelcoat lot", "G-9")


def test_choices_come_with_the_most_hulls_first() -> None:
    found = choices(_store())
    assert found["symptom"] == ["blister", "leak"]
    assert found["zone"] == ["bilge"]
    assert found["model"] == ["S18"]
    assert found["component"] == []
