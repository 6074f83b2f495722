"""Verdicts name what the rounds found, on the sample and on a plant without dates."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from tracegraph.analysis.ranking import Ranking, rank, rank_frames
from tracegraph.analysis.verdict import Finding, Verdict
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError
from tracegraph.store import open_store


def ranked(store: Path, symptom: str) -> tuple[Ranking, Verdict]:
    with open_store(store) as records:
        ranking = rank(records, CaseDefinition(symptoms=(symptom,)))
    assert ranking.verdict is not None
    return ranking, ranking.verdict


def leader(verdict: Verdict) -> Finding:
    return verdict.findings[0]


def test_a_planted_lot_is_named_with_all_that_belongs_to_it(sample_store: Path) -> None:
    ranking, verdict = ranked(sample_store, "blister")
    first = leader(verdict)
    assert str(first.name) == "hull: gelcoat spray: gelcoat lot GW-2147"
    assert first.evidence == 2
    assert first.cases > 5 * first.expected
    assert first.rate_ratio_low < first.rate_ratio < first.rate_ratio_high
    assert [str(each.name) for each in first.aliases] == ["any part: gelcoat lot GW-2147"]
    assert first.refuting is not None
    # The lot, not one drum of it; the supplier's other lots hold too few cases to decide.
    verdicts = {each.child.family.rpartition(" ")[2]: each.found.verdict for each in first.nested}
    assert verdicts == {"lot": "level not decided", "drum": "parent"}
    assert 0.5 < first.share_attributable < 1.0
    row = ranking.frame.iloc[0]
    assert row["aliases"] == tuple(
        (each.name.family, each.name.level, each.jaccard) for each in first.aliases
    )
    # Set aside, the second round names nothing.
    assert verdict.noticed == (first,)
    assert verdict.findings[1].set_aside == (first.name,)


def test_nothing_is_named_where_nothing_was_planted(sample_store: Path) -> None:
    _, verdict = ranked(sample_store, "steering stiffness")
    assert verdict.noticed == ()
    assert leader(verdict).refuting is None
    assert verdict.detectable is not None
    assert verdict.detectable.rate_ratio > 5


def test_rows_beyond_the_scored_ones_are_empty_but_typed(sample_store: Path) -> None:
    ranking, _ = ranked(sample_store, "steering stiffness")
    rest = ranking.frame[ranking.frame["score"].isna()]
    assert len(rest)
    assert rest["aliases"].map(len).eq(0).all()
    assert rest["evidence"].isna().all()
    assert not rest["shortlisted"].any()


def test_differences_and_resamples_are_checked(sample_store: Path) -> None:
    with open_store(sample_store) as records:
        definition = CaseDefinition(symptoms=("void",))
        with pytest.raises(DefinitionError, match="model, build period, dealer; got 'colour'"):
            rank(records, definition, allow_for=("colour",))
        with pytest.raises(DefinitionError, match="1 or more"):
            rank(records, definition, resamples=0)
        by_dealer = rank(records, definition, allow_for=("model", "dealer"), resamples=39)
    assert by_dealer.verdict is not None
    assert by_dealer.verdict.margins == ("model", "dealer")
    assert by_dealer.frame["level"].iloc[0] == "S22-H2"


def test_without_delivery_dates_the_plain_order_stands_in_and_says_so() -> None:
    hulls = pd.DataFrame(
        {
            "hull_serial": [f"B{n}" for n in range(40)],
            "model": "S18",
            "in_service_on": [pd.Timestamp("2024-01-05") if n < 8 else pd.NaT for n in range(40)],
        }
    )
    exposure = pd.DataFrame(
        {
            "hull_serial": hulls["hull_serial"],
            "family": "hull: gelcoat spray: gelcoat lot",
            "level": ["L1" if n % 2 else "L2" for n in range(40)],
        }
    )
    claims = pd.DataFrame(
        {
            "claim_no": ["C1", "C2", "C3"],
            "hull_serial": ["B1", "B3", "B5"],
            "opened_on": pd.Timestamp("2025-03-01"),
            "symptom": "blister",
        }
    )
    ranking = rank_frames(hulls, exposure, claims, CaseDefinition(symptoms=("blister",)))
    assert ranking.order == "fisher"
    assert ranking.verdict is None
    assert "only 8 of 40 hulls have a delivery date" in ranking.remarks[0]
