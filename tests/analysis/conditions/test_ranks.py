"""The rank test tells a condition from the season that brought it."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from tracegraph.analysis.conditions.ranks import MEANINGS, RankTests, classed, rank_tests
from tracegraph.analysis.conditions.season import Baselines, Calendar
from tracegraph.analysis.timing.followed import Followed
from tracegraph.stats.risk_sets import rank_score

HULLS = 1600


def yard(seed: int, effect: str) -> tuple[Followed, np.ndarray, Calendar]:
    """Four years of one hull a day; air warm in summer, with warm and cool days between.

    ``effect`` says what brings the claims: nothing, the heat of the day, the summer, or the
    mean heat of the week.
    """
    rng = np.random.default_rng(seed)
    day = np.arange(HULLS)
    date = pd.Timestamp("2021-01-04") + pd.to_timedelta(day, unit="D")
    summer = -np.cos(2 * np.pi * (date.day_of_year.to_numpy() - 20) / 365.25)
    week = day // 7
    weekly = rng.normal(0, 1.5, HULLS // 7 + 1)[week]
    heat = 20 + 5 * summer + weekly + rng.normal(0, 2.0, HULLS)
    rate = {
        "nothing": np.ones(HULLS),
        "heat": np.exp(0.35 * (heat - 20)),
        "summer": np.where(np.isin(date.month, [6, 7, 8]), 6.0, 1.0),
        "week": np.exp(1.0 * weekly),
    }[effect]
    follow = np.clip(60 - day // 30, 2, 36)
    chance = -np.expm1(-80 * rate * follow / (rate * follow).sum())
    month = np.where(rng.random(HULLS) < chance, rng.integers(1, follow + 1), -1)
    hulls = Followed.of(follow, month, {"model": np.zeros(HULLS, np.int64)})
    at = pd.Series(date)
    return hulls, heat, Calendar(date.month.to_numpy(np.int64), week, at)


def ranked(seed: int, effect: str) -> RankTests:
    hulls, heat, calendar = yard(seed, effect)
    return rank_tests(hulls, heat, calendar, Baselines.of(hulls, calendar))


def one_week(hulls: int) -> Calendar:
    same = np.ones(hulls, np.int64)
    return Calendar(same, same, pd.Series(pd.NaT, index=range(hulls)))


@pytest.mark.parametrize(
    ("effect", "reading"), [("heat", "holds"), ("summer", "season"), ("nothing", "none")]
)
def test_what_brings_the_claims_is_read(effect: str, reading: str) -> None:
    # A reading rests on tests at 5 %, so it is right in about 95 of 100 plants; nine in ten
    # is refused only where the count would be that small once in a thousand sets of plants.
    plants = 60
    found = Counter(
        test.reading(test.plain.two_sided)
        for test in (ranked(seed, effect) for seed in range(plants))
    )
    assert found[reading] >= binom.ppf(0.001, plants, 0.9), found
    assert set(found) <= set(MEANINGS)


def test_a_week_that_went_wrong_is_not_the_heat_of_its_days() -> None:
    found = [ranked(seed, "week") for seed in range(10)]
    assert sum(t.reading(t.season.two_sided) == "between weeks" for t in found) >= 6
    assert sum(t.week.two_sided <= 0.05 for t in found) <= 2


def test_no_effect_gives_even_p_values() -> None:
    found = [ranked(seed, "nothing") for seed in range(120)]
    for name in ("plain", "season", "week"):
        p = np.array([getattr(test, name).two_sided for test in found])
        assert np.mean(p <= 0.5) == pytest.approx(0.5, abs=0.14), name
        assert np.mean(p <= 0.05) <= 0.12, name


def test_plain_is_the_rank_score_of_the_risk_sets() -> None:
    """Three boats at risk; the one laid up in the dampest air fails: u = 1/3."""
    hulls = Followed.of(
        np.array([12, 12, 12, -1]), np.array([-1, -1, 7, -1]), {"model": np.zeros(4, np.int64)}
    )
    calendar = Calendar(
        np.ones(4, np.int64), np.ones(4, np.int64), pd.Series(pd.NaT, index=range(4))
    )
    values = np.array([60.0, 70.0, 90.0, 99.0])
    found = rank_tests(hulls, values, calendar, Baselines.of(hulls, calendar)).plain
    assert found == rank_score([60.0, 70.0, 90.0], [12, 12, 7], case=[2], case_age=[7])
    assert found.u == pytest.approx(1 / 3)


def test_a_condition_known_of_no_case_tests_nothing() -> None:
    hulls = Followed.of(np.array([9, 9]), np.array([3, -1]), {"model": np.zeros(2, np.int64)})
    calendar = one_week(2)
    values = np.array([np.nan, 5.0])
    found = rank_tests(hulls, values, calendar, Baselines.of(hulls, calendar))
    assert (found.plain.cases, found.plain.two_sided) == (0, 1.0)


@settings(max_examples=20)
@given(st.integers(0, 2**32 - 1), st.integers(1, 200))
def test_row_order_and_whole_months_change_nothing(seed: int, months: int) -> None:
    """Hulls renamed, and all dates moved by whole years and months of equal length."""
    hulls, heat, calendar = yard(seed % 7, "heat")
    one = rank_tests(hulls, heat, calendar, Baselines.of(hulls, calendar))
    order = np.random.default_rng(seed).permutation(HULLS)
    shuffled = Followed.of(
        hulls.follow[order], hulls.month[order], {"model": np.zeros(HULLS, np.int64)}
    )
    moved = Calendar(
        (calendar.month[order] + months - 1) % 12 + 1,
        calendar.week[order] + 4 * months,
        calendar.at,
    )
    other = rank_tests(shuffled, heat[order], moved, Baselines.of(shuffled, moved))
    for name in ("plain", "season", "week"):
        assert getattr(other, name).z == pytest.approx(getattr(one, name).z, abs=1e-9), name


@given(st.lists(st.integers(0, 60), min_size=1, max_size=80), st.integers(1, 12))
def test_classes_keep_the_order_and_never_exceed_their_number(values: list[int], most: int) -> None:
    given_values = np.array(values, np.float64)
    found = classed(given_values, most)
    assert len(np.unique(found)) <= most
    by_value = np.argsort(given_values, kind="stable")
    assert (np.diff(found[by_value]) >= 0).all()
    if len(np.unique(given_values)) <= most:
        assert found.tolist() == given_values.tolist()
