import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.stats.effect_check import (
    EFFECTIVE,
    IMPROVED,
    NO_CHANGE,
    TOO_EARLY,
    judge_effect,
    ratio_spread,
)


@given(
    st.integers(0, 200),
    st.floats(0.01, 100.0),
    st.integers(0, 50),
    st.floats(0.0, 30.0),
    st.floats(0.0, 30.0),
)
def test_below_three_expected_it_is_always_too_early(
    before: int, expected: float, after: int, carrying: float, other: float
) -> None:
    found = judge_effect(before, expected, after, carrying, other)
    if found.expected_if_unchanged < 3.0:
        assert found.verdict == TOO_EARLY


def test_no_case_is_unlikely_from_three_expected_on() -> None:
    # Rule of three, Hanley and Lippman-Hand 1983: exp(-3) = 0.0498 < 0.05. A million earlier
    # cases leave no spread in the ratio before, so that Poisson's law alone is at work.
    found = judge_effect(1_000_000, 1_000_000.0, 0, 3.0)
    assert found.p_unchanged == pytest.approx(0.0498, abs=1e-4)
    assert found.verdict == EFFECTIVE
    assert judge_effect(1_000_000, 1_000_000.0, 0, 2.99).verdict == TOO_EARLY


@pytest.mark.parametrize(
    ("observed", "limit"), [(0, 2.996), (1, 4.744), (2, 6.296), (3, 7.754), (4, 9.154)]
)
def test_the_upper_limit_is_garwoods(observed: int, limit: float) -> None:
    # One-sided 95 % limits of a Poisson mean (Garwood 1936, table values from memory).
    assert judge_effect(5, 5.0, observed, 1.0).ratio_after_high == pytest.approx(limit, abs=6e-4)


def test_the_grid_of_verdicts() -> None:
    assert judge_effect(60, 10.0, 0, 2.5).verdict == EFFECTIVE
    assert judge_effect(60, 10.0, 2, 2.5).verdict == IMPROVED
    assert judge_effect(60, 10.0, 12, 2.5).verdict == NO_CHANGE
    assert judge_effect(3, 2.0, 3, 3.0).verdict == TOO_EARLY


def test_looks_share_the_chance_of_a_false_verdict() -> None:
    assert judge_effect(1_000_000, 1_000_000.0, 0, 3.2).verdict == EFFECTIVE
    assert judge_effect(1_000_000, 1_000_000.0, 0, 3.2, looks=2).verdict == TOO_EARLY


@given(st.integers(2, 100), st.floats(0.1, 20.0))
def test_a_ratio_is_drawn_towards_one(observed: int, expected: float) -> None:
    ratios, weight = ratio_spread(observed, expected)
    assert weight.sum() == pytest.approx(1.0)
    middle = float(np.exp(weight @ np.log(ratios)))
    raw = observed / expected
    if abs(np.log(raw)) > 0.7:
        assert abs(np.log(middle)) < abs(np.log(raw))
