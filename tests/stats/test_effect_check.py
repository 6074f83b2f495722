import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import poisson

from tracegraph.stats.effect_check import (
    EFFECTIVE,
    IMPROVED,
    NO_CHANGE,
    TOO_EARLY,
    EffectVerdict,
    highest_mean,
    judge_effect,
    ratio_spread,
)


@given(
    st.integers(0, 200),
    st.floats(0.01, 100.0),
    st.integers(0, 50),
    st.floats(0.0, 30.0),
    st.floats(0.0, 30.0),
    st.integers(1, 500),
)
def test_below_three_expected_it_is_always_too_early(
    before: int, expected: float, after: int, carrying: float, other: float, levels: int
) -> None:
    found = judge_effect(before, expected, after, carrying, other, levels=levels)
    if found.expected_if_unchanged < 3.0:
        assert found.verdict == TOO_EARLY


def known_ratio(unchanged: float, looks: int = 1) -> EffectVerdict:
    """No case where so many were expected; a million earlier ones leave no doubt of the ratio."""
    ratio = float(np.exp(0.5))
    before = round(1_000_000 * ratio)
    return judge_effect(before, 1_000_000.0, 0, unchanged / ratio, levels=12, looks=looks)


def test_no_case_is_unlikely_from_three_expected_on() -> None:
    # Rule of three, Hanley and Lippman-Hand 1983: exp(-3) = 0.0498 < 0.05.
    found = known_ratio(3.0001)
    assert found.p_unchanged == pytest.approx(0.0498, abs=1e-4)
    assert found.verdict == EFFECTIVE
    assert known_ratio(2.99).verdict == TOO_EARLY


def test_nothing_is_cured_where_chance_may_have_raised_the_suspect() -> None:
    # Five where three were to be expected, one level of twelve: no case among 8 says little.
    found = judge_effect(5, 3.0, 0, 8.0, levels=12)
    assert found.p_unchanged < 0.05
    assert found.verdict == TOO_EARLY


@pytest.mark.parametrize("observed", range(6))
def test_the_upper_limit_leaves_a_twentieth_beyond_by_mid_p(observed: int) -> None:
    limit = highest_mean(observed)
    fewer, equal = poisson.cdf(observed - 1, limit), poisson.pmf(observed, limit)
    assert fewer + 0.5 * equal == pytest.approx(0.05)
    found = judge_effect(5, 5.0, observed, 1.0, levels=12)
    assert found.ratio_after_high == pytest.approx(limit)


def test_no_case_limits_the_mean_to_the_logarithm_of_ten() -> None:
    # exp(-m) / 2 = 0.05.
    assert highest_mean(0) == pytest.approx(np.log(10.0))


def test_the_grid_of_verdicts() -> None:
    assert judge_effect(60, 10.0, 0, 2.5, levels=12).verdict == EFFECTIVE
    assert judge_effect(60, 10.0, 2, 2.5, levels=12).verdict == IMPROVED
    assert judge_effect(60, 10.0, 12, 2.5, levels=12).verdict == NO_CHANGE
    assert judge_effect(3, 2.0, 3, 3.0, levels=12).verdict == TOO_EARLY


def test_looks_share_the_chance_of_a_false_verdict() -> None:
    assert known_ratio(3.2).verdict == EFFECTIVE
    assert known_ratio(3.2, looks=2).verdict == TOO_EARLY


@given(st.integers(2, 100), st.floats(0.1, 20.0), st.integers(2, 500))
def test_a_ratio_is_drawn_towards_one(observed: int, expected: float, levels: int) -> None:
    ratios, weight = ratio_spread(observed, expected, levels)
    assert weight.sum() == pytest.approx(1.0)
    middle = float(np.exp(weight @ np.log(ratios)))
    raw = observed / expected
    if abs(np.log(raw)) > 0.7:
        assert abs(np.log(middle)) < abs(np.log(raw))


def test_a_ratio_that_chance_explains_is_drawn_all_the_way_and_a_strong_one_hardly() -> None:
    mild = ratio_spread(4, 2.0, 12)
    assert float(np.exp(mild[1] @ np.log(mild[0]))) < 1.1
    strong = ratio_spread(60, 6.0, 12)
    assert float(np.exp(strong[1] @ np.log(strong[0]))) == pytest.approx(10.0, rel=0.1)
