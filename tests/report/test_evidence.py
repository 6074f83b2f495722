"""Verdicts in words: what they rest on, what they cannot be told from, what would refute them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from tracegraph.analysis.confounding.gaps import Gap
from tracegraph.analysis.matched.effects import Estimate
from tracegraph.analysis.matched.evidence import Facts, judge
from tracegraph.analysis.ranking import Ranking, rank
from tracegraph.analysis.verdict import Alias, Finding, Name, RecordGap, Span
from tracegraph.domain.definition import CaseDefinition
from tracegraph.report.evidence import (
    definitions_words,
    evidence_answer,
    evidence_beside,
    evidence_table,
    folded,
)
from tracegraph.report.tables import ranking_as_json
from tracegraph.report.verdict_words import HELD_BACK, RESTS_ON, told_apart
from tracegraph.store import open_store


@pytest.fixture(scope="module")
def ranking(sample_store: Path) -> Ranking:
    with open_store(sample_store) as records:
        return rank(records, CaseDefinition(symptoms=("blister",)))


def changed(ranking: Ranking, **values: object) -> Ranking:
    assert ranking.verdict is not None
    first = replace(ranking.verdict.findings[0], **values)  # type: ignore[arg-type]  # any field
    return replace(ranking, verdict=replace(ranking.verdict, findings=(first,)))


def first_of(ranking: Ranking) -> Finding:
    assert ranking.verdict is not None
    return ranking.verdict.findings[0]


def test_the_answer_holds_counts_chance_aliases_and_refutation(ranking: Ranking) -> None:
    said = evidence_answer(ranking)
    text = " ".join(said.sentences)
    assert said.strength == "stands out"
    assert said.headline.startswith("26 of 30 affected hulls carry hull: gelcoat spray: gelcoat")
    assert "22 of 55 hulls with" in text
    assert "against 1 of 199 others" in text
    assert "levels searched: less than 1 in 200." in text
    assert "It cannot be told apart from any part: gelcoat lot GW-2147" in text
    assert "What would refute it:" in text
    assert "set aside nothing else stands out." in text
    assert "Trust neither" not in text


def test_every_code_of_the_rule_has_words() -> None:
    worst = judge(
        Facts(
            p_family=0.3,
            cases=2,
            window_margin=-3.0,
            people=True,
            shortlist=80,
            not_separable=(1,),
            refines_earlier=True,
            controls_clean=False,
            stable_if_confirmed=False,
            stable_if_missing=False,
        )
    )
    best = judge(
        Facts(
            p_family=0.01,
            cases=9,
            window_margin=3.0,
            not_separable=(),
            controls_clean=True,
            stable_if_confirmed=True,
            stable_if_missing=True,
            recorded=frozenset({"inspection", "removal effective"}),
        )
    )
    near = judge(Facts(p_family=0.01, cases=9, window_margin=0.0))
    same = judge(Facts(p_family=0.01, cases=9, window_margin=3.0, stretch_margin=-1.0))
    codes = {*worst.held_back_by, *near.held_back_by, *same.held_back_by}
    assert len(codes) == 12
    assert codes <= set(HELD_BACK)
    assert set(best.rests_on) <= set(RESTS_ON)
    assert best.level == 4


def test_level_one_says_what_holds_it_back(ranking: Ranking) -> None:
    weaker = changed(ranking, evidence=1, held_back_by=("window-explains-better",))
    said = evidence_answer(weaker)
    assert said.headline.startswith("May be chance or timing: 26 of 30")
    assert said.strength == "may be chance"
    assert "look for a change that was not recorded" in " ".join(said.sentences)
    assert "The stretch of days that rivals it: 2022-12-21 to 2023-03-21." in said.sentences


def test_the_days_that_look_most_like_a_suspect_are_said(ranking: Ranking) -> None:
    held = ("not-separable-from-own-days",)
    mixed = changed(ranking, evidence=1, held_back_by=held, stretch_jaccard=0.7)
    said = evidence_answer(mixed)
    stretch = first_of(ranking).stretch
    assert f"The days of building that look most like it: {stretch}." in said.sentences
    assert "explain the claims better" in " ".join(said.sentences)


def test_level_zero_says_what_could_have_been_seen(ranking: Ranking) -> None:
    quiet = changed(ranking, evidence=0, p_family=0.6, held_back_by=("could-be-chance",))
    said = evidence_answer(quiet)
    assert said.headline == "No shared factor stands out."
    assert "more often than not" in said.sentences[0]
    assert any("could" in text and "stood out" in text for text in said.sentences[2:])


def test_people_are_never_the_headline(ranking: Ranking) -> None:
    named = changed(ranking, kind="people", evidence=1, name=Name("hull: lay-up: operator", "P7"))
    said = evidence_answer(replace(named, people_reason="training records"), safety_class=1)
    assert "P7" not in said.headline
    assert said.cautions[0].startswith("Safety class 1")
    assert "Reason given: training records" in said.cautions[-1]


def test_one_stretch_of_building_is_said_to_be_one(ranking: Ranking) -> None:
    first = replace(
        first_of(ranking),
        stretch=Span(date(2024, 3, 1), date(2024, 4, 9)),
        stretch_jaccard=0.95,
        aliases=tuple(Alias(Name("f", str(n)), 1.0) for n in range(7)),
    )
    said = told_apart(first)
    assert said[0].startswith("It cannot be told apart from f 0, f 1, f 2, f 3 and 3 more")
    assert "nearly all those built from 2024-03-01 to 2024-04-09" in said[1]


def test_a_plain_table_that_says_otherwise_is_told(ranking: Ranking) -> None:
    text = " ".join(evidence_answer(changed(ranking, rate_ratio=0.5)).sentences)
    assert "The two disagree" in text


def test_missing_records_that_go_with_the_claims_are_told(ranking: Ranking) -> None:
    assert ranking.verdict is not None
    assert ranking.verdict.gaps == ()
    gap = RecordGap(
        "hull: pull: operator", Gap(0, 40, Estimate(12, 3.6, 8.0, 3.1, 22.0, 2e-5), 0.001)
    )
    gappy = replace(ranking, verdict=replace(ranking.verdict, gaps=(gap,)))
    text = " ".join(evidence_answer(gappy).sentences)
    assert "40 hulls at risk without a complete record of hull: pull: operator hold 12" in text
    assert ranking_as_json(gappy, 1)["verdict"]["missing_records"][0]["cases"] == 12


def test_few_affected_hulls_are_to_be_looked_at(ranking: Ranking) -> None:
    text = " ".join(evidence_answer(changed(ranking, cases=2)).sentences)
    assert "Only 2 affected hulls carry it" in text


def test_aliases_share_a_row(ranking: Ranking) -> None:
    rows = folded(ranking.frame)
    assert len(rows) < len(ranking.frame)
    assert rows["rank"].iloc[:2].tolist() == [1, 3]
    table = evidence_table(ranking.frame, 5)
    assert table.frame["cannot be told from"].iloc[0] == "any part: gelcoat lot GW-2147"
    assert "folded into another's row" in table.caption
    assert evidence_beside(rows, 5).frame["evidence"].iloc[0] == 2
    assert table.texts()["expected"].iloc[0] == "3.5"


def test_json_holds_the_verdict_and_reasons_for_what_is_missing(ranking: Ranking) -> None:
    value = ranking_as_json(ranking, None)
    first, last = value["suspects"][0], value["suspects"][-1]
    assert first["aliases"][0]["level"] == "GW-2147"
    assert first["aliases"][0]["jaccard"] == pytest.approx(1.0)
    assert first["round"] == 1
    assert last["score"] is None
    assert last["evidence"] is None
    assert "fewer than two cases share it" in last["reading"]
    scored = [one for one in value["suspects"] if one["score"] is not None]
    plain = [one for one in scored if one["expected"] is None]
    assert all("strongest suspects only" in one["reading"] for one in plain)
    finding = value["verdict"]["findings"][0]
    assert finding["evidence"] == 2
    assert {one["verdict"] for one in finding["nested"]} == {"level not decided", "parent"}


@pytest.mark.parametrize(
    ("tried", "p", "words"),
    [(None, 0.1, "not counted"), (1, 0.1, "symptoms: 1."), (4, 0.05, "times 4 is 0.2.")],
)
def test_definitions_tried_are_paid_for(tried: int | None, p: float, words: str) -> None:
    assert words in definitions_words(tried, p)


def test_only_a_ranking_by_evidence_has_a_verdict(ranking: Ranking) -> None:
    with pytest.raises(ValueError, match="not in the order of evidence"):
        evidence_answer(replace(ranking, verdict=None))
