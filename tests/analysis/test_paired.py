"""Pairs among the suspects: their plain tables, names and place in the order."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.counting import level_names
from tracegraph.analysis.matched.ranking import MatchedRanking, rank_matched
from tracegraph.analysis.paired import count_pairs, matched_pairs, pair_names
from tracegraph.analysis.ranking import Ranking, rank
from tracegraph.domain.definition import CaseDefinition
from tracegraph.report.pairs import pairs_sentences, pairs_table
from tracegraph.store import open_store

FADING = CaseDefinition(symptoms=("fading",))


@pytest.fixture(scope="module")
def matched(sample_store: Path) -> tuple[MatchedRanking, int]:
    with open_store(sample_store) as records, records.session() as session:
        cohort = draw_cohort(session, FADING)
        assert cohort.definition.landmark_months is not None
        found = rank_matched(records, session, cohort, resamples=9, rounds=1)
        return found, cohort.definition.landmark_months


@pytest.fixture(scope="module")
def ranking(sample_store: Path) -> Ranking:
    with open_store(sample_store) as records:
        return rank(records, FADING, resamples=9, rounds=1, pairs=True)


def test_the_planted_pump_in_a_cold_booth_is_found_as_a_pair(ranking: Ranking) -> None:
    # The sample's pump GC-3 delivers too little catalyst when its booth is cold.
    first = ranking.frame[ranking.frame["kind"] == "pair"].iloc[0]
    assert first["family"] == "deck: gelcoat spray: mold_temp × deck: gelcoat spray: equipment"
    assert first["level"] == "below 16.1 °C × GC-3"
    assert (first["part"], first["step"]) == ("deck", "gelcoat spray")
    assert first["affected_exposed"] / first["exposed"] > 10 * (
        first["affected_unexposed"] / first["unexposed"]
    )


def test_pairs_stand_by_their_score_and_nothing_else_moves(
    sample_store: Path, ranking: Ranking
) -> None:
    frame = ranking.frame
    assert frame["rank"].tolist() == list(range(1, len(frame) + 1))
    # A pair never stands before the leading level, whatever its score.
    assert frame["kind"].iloc[0] != "pair"
    capped = frame["score"].clip(upper=frame["score"].iloc[0])
    assert capped.dropna().round(6).is_monotonic_decreasing
    with open_store(sample_store) as records:
        plain = rank(records, FADING, resamples=9, rounds=1)
    single = frame[frame["kind"] != "pair"]
    assert single["level_id"].tolist() == plain.frame["level_id"].tolist()
    assert (ranking.families, ranking.levels) == (plain.families, plain.levels)
    pairs = frame[frame["kind"] == "pair"]
    assert 0 < len(pairs) <= 20
    # The strongest is as rare by chance as ten resamples can tell, and waits for the leader.
    first = pairs.iloc[0]
    assert (first["p_family"], first["evidence"]) == (0.1, 1)
    assert first["held_back_by"] == ("depends-on-leader",)
    assert first["window_margin"] > 1
    assert pairs["p_family"].is_monotonic_increasing
    assert pairs["q_bh"].isna().all()


def test_a_level_with_itself_has_the_levels_own_counts(
    matched: tuple[MatchedRanking, int], ranking: Ranking
) -> None:
    found, landmark = matched
    own = replace(matched_pairs(found)[0][0], second=matched_pairs(found)[0][0].first)
    counts = count_pairs(found, [own], landmark)
    level = int(found.exposure.level_id[own.first])
    row = ranking.frame.set_index("level_id").loc[level]
    assert counts.tables.exposed_cases[0] == row["affected_exposed"]
    assert counts.tables.exposed[0] == row["exposed"]
    assert counts.tables.unexposed_cases[0] == row["affected_unexposed"]
    assert counts.unknown[0] == row["unknown"]
    assert counts.unknown_affected[0] == row["unknown_affected"]


def test_pairs_of_nearly_the_same_hulls_share_a_row(matched: tuple[MatchedRanking, int]) -> None:
    found, _ = matched
    pairs = matched_pairs(found)
    carried = [
        found.exposure.carries(pair.first)
        & found.exposure.carries(pair.second)
        & found.population.at_risk
        for pair, _ in pairs
    ]
    for place, mine in enumerate(carried):
        for other in carried[:place]:
            assert (mine & other).sum() < 0.9 * (mine | other).sum()
    for _, others in pairs:
        assert all(0.9 <= share <= 1.0 for _, share in others)


def test_names_join_both_halves(sample_store: Path, matched: tuple[MatchedRanking, int]) -> None:
    found, _ = matched
    with open_store(sample_store) as records:
        names = level_names(records)
    pairs = [pair for pair, _ in matched_pairs(found)]
    named = pair_names(found, pairs, names)
    assert named["kind"].eq("pair").all()
    for pair, family in zip(pairs, named["family"], strict=True):
        halves = names.loc[found.exposure.level_id[[pair.first, pair.second]]]
        assert family == " × ".join(halves["family"])
        assert halves["stage"].max() in named["stage"].tolist()


def test_pairs_are_told_in_words_and_listed(ranking: Ranking) -> None:
    said = pairs_sentences(ranking.frame)
    assert said[0].startswith("9 of 24 hulls with deck: gelcoat spray: mold_temp × deck: gelcoat ")
    assert "evidence level 1" in said[0]
    table = pairs_table(ranking.frame)
    assert set(table.frame["kind"]) == {"pair"}
    even = ranking.frame.assign(evidence=0)
    assert "none is beyond chance. The strongest: " in pairs_sentences(even)[0]
    blank = ranking.frame.assign(evidence=pd.NA)
    assert "is not worked out" in pairs_sentences(blank)[0]
    alone = ranking.frame[ranking.frame["kind"] != "pair"]
    assert pairs_sentences(alone) == ("No two levels say more together than each does by itself.",)
