"""Rates count only hulls followed long enough; every count can be made by hand."""

from __future__ import annotations

import pytest

from tests.support.records import Row, build_of
from tracegraph.analysis.overview import claim_rates, pareto, totals
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError
from tracegraph.exposure import build_exposure
from tracegraph.linkage import link_records
from tracegraph.store import Store
from tracegraph.store.reader import as_store


def _store(hulls: list[Row], claims: list[Row], **more: list[Row]) -> Store:
    build = build_of(hulls=hulls, claims=claims, **more)
    link_records(build)
    build_exposure(build)
    return as_store(build)


def _hull(serial: str, built: str | None, in_service: str | None, **more: str) -> Row:
    return {
        "hull_serial": serial,
        "model": "S18",
        "completed_on": built,
        "in_service_on": in_service,
        "place": "owner" if in_service else "dealer",
    } | more


def _claim(number: str, hull: str, day: str, **more: object) -> Row:
    return {
        "claim_no": number,
        "hull_serial": hull,
        "opened_on": day,
        "failed_on": day,
        "symptom": "blister",
    } | more


# Cut-off 2026-06-30 by the last claim; every claim opened on the day of failure, so the
# reporting allowance is 0 days.
HULLS = [
    _hull("A1", "2025-01-10", "2025-03-01"),
    _hull("A2", "2025-01-20", "2025-03-15"),
    _hull("A3", "2025-01-25", "2026-02-01"),
    _hull("A4", "2025-01-30", None),
    _hull("B1", "2026-01-10", "2026-02-15"),
    _hull("B2", "2026-01-12", "2026-05-20"),
    _hull("U1", None, "2025-05-01"),
]
CLAIMS = [
    _claim("C1", "A1", "2025-05-20", cost=100.0, safety_class=3),
    _claim("C2", "A1", "2025-12-20", cost=50.0),
    _claim("C3", "A3", "2026-04-15", symptom="fuel smell", safety_class=1),
    _claim("C4", "A2", "2026-02-20"),
    _claim("C5", "B1", "2026-06-30", symptom="fuel smell"),
    _claim("C6", "XX", "2026-01-01", symptom="fuel smell", cost=10.0),
]


def test_only_hulls_followed_to_the_mark_count() -> None:
    rates = claim_rates(_store(HULLS, CLAIMS), marks=(3, 12))
    frame = rates.frame.set_index([rates.frame["built_month"].dt.strftime("%Y-%m"), "mark"])
    january = frame.loc[("2025-01", 3)]
    # A1 failed in month 3, A3 in month 3, A2 in month 12; A4 is not delivered.
    assert january[["built", "delivered", "followed", "affected", "waiting"]].tolist() == [
        4,
        3,
        3,
        2,
        1,
    ]
    assert january["rate"] == pytest.approx(200 / 3)
    year = frame.loc[("2025-01", 12)]
    # A3 has been in service for 4 months only: neither above nor below the line.
    assert (year["followed"], year["affected"], year["waiting"]) == (2, 2, 2)
    assert not year["complete"]
    young = frame.loc[("2026-01", 3)]
    # B1 was followed for 4 months and failed in month 5; B2 not followed long enough.
    assert (young["followed"], young["affected"], young["waiting"]) == (1, 0, 1)
    assert rates.undated == 1
    assert rates.definition.reporting_days == 0


def test_a_month_is_complete_when_nearly_all_hulls_reached_the_mark() -> None:
    hulls = [_hull(f"H{i}", "2025-01-10", "2025-03-01") for i in range(19)]
    hulls += [_hull("L1", "2025-01-10", None)]
    claims = [_claim("C1", "H1", "2026-06-30")]
    frame = claim_rates(_store(hulls, claims), marks=(3,)).frame
    assert frame["complete"].tolist() == [True]
    hulls += [_hull(f"L{i}", "2025-01-10", None) for i in (2, 3, 4)]
    assert claim_rates(_store(hulls, claims), marks=(3,)).frame["complete"].tolist() == [False]


def test_a_month_without_followed_hulls_has_no_rate() -> None:
    frame = claim_rates(_store(HULLS, CLAIMS), marks=(24,)).frame
    assert frame["followed"].tolist() == [0, 0]
    assert frame["rate"].isna().all()
    assert not frame["complete"].any()


def test_a_definition_narrows_the_rates() -> None:
    store = _store(HULLS, CLAIMS)
    frame = claim_rates(store, CaseDefinition(symptoms=("fuel smell",)), (3,)).frame
    assert frame["affected"].tolist() == [1, 0]
    with pytest.raises(DefinitionError, match="marks must be months of 1 or more"):
        claim_rates(store, marks=(0, 3))


def test_pareto_counts_hulls_once_and_shows_claims_and_cost_beside() -> None:
    frame = pareto(_store(HULLS, CLAIMS)).set_index("symptom")
    assert frame.index.tolist() == ["blister", "fuel smell"]
    assert frame["hulls"].tolist() == [2, 2]
    assert frame["claims"].tolist() == [3, 3]
    assert frame["claims_without_hull"].tolist() == [0, 1]
    assert frame["cost"].tolist() == [150.0, 10.0]
    assert frame["claims_with_cost"].tolist() == [2, 1]
    assert frame["safety_class"].tolist() == [3, 1]
    assert frame["running_share"].tolist() == [0.5, 1.0]


def test_pareto_of_no_claims_is_empty() -> None:
    assert pareto(_store(HULLS, [])).empty


def test_totals() -> None:
    found = totals(_store(HULLS, CLAIMS))
    assert (found.hulls, found.delivered, found.claims, found.hulls_with_claims) == (7, 6, 6, 4)
    assert found.cost == 160.0
    assert str(found.last_opened_on) == "2026-06-30"
    assert totals(_store([], [])).cost is None
