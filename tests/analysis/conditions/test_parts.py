"""Bands and cuts in risk sets: by hand, by brute force, and under chance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.analysis.conditions.parts import (
    NO_CUT,
    best_cut_in_risk_sets,
    cut_values,
    parted,
    uneven,
)
from tracegraph.analysis.timing.followed import Followed
from tracegraph.stats.risk_sets import rank_score

ROWS = st.lists(
    st.tuples(st.integers(0, 5), st.integers(2, 9), st.booleans()), min_size=4, max_size=20
).filter(lambda rows: any(case for *_, case in rows))


def plant(rows: list[tuple[int, int, bool]]) -> tuple[Followed, np.ndarray]:
    """Value, follow-up, and whether the hull fails, two months before it is lost from sight."""
    value, follow, case = (np.array(column) for column in zip(*rows, strict=True))
    return Followed.of(follow, np.where(case, follow - 2, -1)), value.astype(np.float64)


def test_parts_by_hand() -> None:
    """Case at month 3 among four (two of them low), case at month 5 among two (one low)."""
    hulls = Followed.of(np.array([9, 9, 9, 4]), np.array([3, -1, 5, -1]))
    low = np.array([True, True, False, False])
    found = parted(hulls, np.array([low, ~low]), np.ones(4))
    assert found.hulls.tolist() == [2, 2]
    assert found.counts.observed.tolist() == [1, 1]
    assert found.counts.expected == pytest.approx([2 / 4 + 1 / 2, 2 / 4 + 1 / 2])


@given(ROWS)
def test_best_cut_against_brute_force(rows: list[tuple[int, int, bool]]) -> None:
    hulls, values = plant(rows)
    best = best_cut_in_risk_sets(hulls, values, np.ones(len(hulls)), resamples=1, seed=1)
    ways = {}
    for cut in np.unique(values):
        low = values <= cut
        if not 0.1 <= low.mean() <= 0.9:
            continue
        gap = variance = 0.0
        for case in hulls.cases:
            at_risk = hulls.follow >= hulls.month[case]
            share = (low & at_risk).sum() / at_risk.sum()
            gap += float(low[case]) - share
            variance += share * (1.0 - share)
        ways[float(cut)] = gap / variance**0.5 if variance > 0 else 0.0
    assert best.cuts == len(ways)
    if ways:
        assert abs(best.z) == pytest.approx(max(map(abs, ways.values())), abs=1e-9)
        assert best.z == pytest.approx(ways[best.cut], abs=1e-9)
        assert best.observed == (values[hulls.cases] <= best.cut).sum()
        assert best.hulls == (values <= best.cut).sum()


def even_plant(seed: int, hulls: int = 250) -> tuple[Followed, np.ndarray]:
    rng = np.random.default_rng(seed)
    follow = rng.integers(3, 30, hulls)
    case = rng.random(hulls) < 0.004 * follow
    month = np.where(case, rng.integers(1, follow + 1), -1)
    return Followed.of(follow, month), rng.normal(20, 3, hulls).round(1)


def test_searched_cut_is_small_as_often_as_it_says() -> None:
    """The p-value at the best cut alone would be small far more often."""
    honest, naive = [], []
    for seed in range(150):
        hulls, values = even_plant(seed)
        best = best_cut_in_risk_sets(hulls, values, np.ones(250), resamples=79, seed=seed)
        honest.append(best.p_value <= 0.05)
        naive.append(abs(best.z) >= 1.96)
    assert 0.01 <= np.mean(honest) <= 0.10
    assert np.mean(naive) > 0.25


def test_a_planted_threshold_is_found() -> None:
    hulls, values = even_plant(3, hulls=600)
    rng = np.random.default_rng(1)
    month = np.where((values > 22.4) & (rng.random(600) < 0.3), np.minimum(3, hulls.follow), -1)
    best = best_cut_in_risk_sets(
        Followed.of(hulls.follow, month), values, np.ones(600), resamples=199, seed=2
    )
    assert best.z < 0.0
    assert 22.0 <= best.cut <= 22.8
    assert best.p_value == pytest.approx(1 / 200)


def test_bands_see_both_ends() -> None:
    """Claims at both ends: the ranks cancel, the bands do not."""
    value = np.tile(np.arange(5.0), 60)
    rng = np.random.default_rng(4)
    month = np.where(np.isin(value, [0, 4]) & (rng.random(300) < 0.3), 3, -1)
    hulls = Followed.of(np.full(300, 12), month)
    ranks = rank_score(
        value, hulls.population.exit_month, hulls.cases, np.full(len(hulls.cases), 3)
    )
    assert ranks.two_sided > 0.1
    members = value == np.arange(5.0)[:, None]
    assert uneven(hulls, members, np.ones(300), resamples=199, seed=1) == pytest.approx(1 / 200)


def test_bands_under_chance() -> None:
    p = []
    for seed in range(120):
        hulls, values = even_plant(seed)
        edges = np.quantile(values, [0.2, 0.4, 0.6, 0.8])
        members = np.searchsorted(edges, values) == np.arange(5)[:, None]
        p.append(uneven(hulls, members, np.ones(250), resamples=39, seed=seed))
    assert np.mean(np.array(p) <= 0.05) <= 0.11
    assert np.mean(np.array(p) <= 0.5) == pytest.approx(0.5, abs=0.14)


def test_without_cases_or_cuts_nothing_is_claimed() -> None:
    hulls = Followed.of(np.full(6, 9), np.full(6, -1))
    ones = np.ones(6)
    assert best_cut_in_risk_sets(hulls, np.arange(6.0), ones, resamples=9, seed=1) == NO_CUT
    assert uneven(hulls, np.ones((1, 6), np.bool_), ones, resamples=9, seed=1) == 1.0
    failing = Followed.of(np.full(6, 9), np.array([3, -1, -1, -1, -1, -1]))
    assert best_cut_in_risk_sets(failing, np.full(6, 2.0), ones, resamples=9, seed=1) == NO_CUT


def test_many_values_are_cut_at_hundredths() -> None:
    values = np.random.default_rng(2).normal(size=5000)
    cuts = cut_values(values)
    assert len(cuts) == 81
    share = (values <= cuts[:, None]).mean(axis=1)
    assert share == pytest.approx(np.arange(10, 91) / 100, abs=1e-3)
