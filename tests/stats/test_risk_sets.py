import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import rankdata

from tracegraph.stats.permutation import rank_sum
from tracegraph.stats.risk_sets import rank_score


def by_hand(values, follow_up, case, case_age, weights):
    """U and V of the definition, one case at a time."""
    u = v = 0.0
    for i, age in zip(case, case_age, strict=True):
        if np.isnan(values[i]):
            continue
        risk = [h for h in range(len(values)) if follow_up[h] >= age and not np.isnan(values[h])]
        total = sum(weights[h] for h in risk)

        def rank(h, risk=risk, total=total):
            lower = sum(weights[g] for g in risk if values[g] < values[h])
            equal = sum(weights[g] for g in risk if values[g] == values[h])
            return (lower + equal / 2) / total

        mean = sum(weights[h] * rank(h) for h in risk) / total
        u += rank(i) - mean
        v += sum(weights[h] * (rank(h) - mean) ** 2 for h in risk) / total
    return u, v


@given(st.integers(0, 2**32 - 1))
def test_against_the_definition(seed):
    rng = np.random.default_rng(seed)
    n, c = 25, 6
    values = rng.integers(0, 9, n).astype(float)
    values[rng.random(n) < 0.15] = np.nan
    follow_up, weights = rng.integers(1, 37, n), rng.uniform(0.2, 4, n)
    case = rng.integers(0, n, c)
    age = np.array([rng.integers(0, follow_up[i] + 1) for i in case])
    got = rank_score(values, follow_up, case, age, weights=weights)
    u, v = by_hand(values, follow_up, case, age, weights)
    assert (got.u, got.v) == pytest.approx((u, v), abs=1e-12)
    if v > 0:
        assert got.z == pytest.approx(u / v**0.5, rel=1e-9, abs=1e-9)
    assert got.cases == int((~np.isnan(values[case])).sum())


def test_one_risk_set_is_wilcoxon_with_replacement():
    """All fail at one age, no weights: the rank sum, on a scale of 0 to 1."""
    rng = np.random.default_rng(2)
    values, m, n = rng.integers(0, 40, 60).astype(float), 9, 60
    got = rank_score(values, np.full(n, 12), np.arange(m), np.full(m, 5))
    plain = rank_sum(values, np.arange(n) < m)
    assert got.u == pytest.approx((plain.statistic - plain.mean) / n, rel=1e-9)
    assert got.v == pytest.approx(plain.variance / n**2 * (n - 1) / (n - m), rel=1e-9)


def test_the_young_do_not_count_as_sound():
    """A unit followed for less than the age of failure is in no risk set."""
    one = rank_score([60, 70, 90], [12, 12, 12], [2], [7])
    two = rank_score([60, 70, 90, 99, 98], [12, 12, 12, 6, 3], [2], [7])
    assert two == one


def test_direction_and_p_values():
    damp = rank_score(np.arange(50.0), np.full(50, 9), [45, 47, 49], [3, 4, 5])
    assert damp.z > 2
    assert damp.greater < 0.025 < 0.5 < damp.less
    dry = rank_score(-np.arange(50.0), np.full(50, 9), [45, 47, 49], [3, 4, 5])
    assert dry.z == pytest.approx(-damp.z)
    assert dry.two_sided == pytest.approx(damp.two_sided)


def test_only_the_order_of_the_values_matters():
    rng = np.random.default_rng(3)
    values = rng.lognormal(size=40)
    arguments = np.full(40, 9), [1, 5, 6], [3, 4, 5]
    assert rank_score(values, *arguments) == rank_score(rankdata(values), *arguments)


def test_nothing_to_compare():
    for got in (
        rank_score([5, 5, 5], [9, 9, 9], [1], [2]),
        rank_score([np.nan, 5, 6], [9, 9, 9], [0], [2]),
        rank_score([4, 5, 6], [9, 9, 9], [], []),
    ):
        assert (got.u, got.z, got.greater, got.less, got.two_sided) == (0.0, 0.0, 1.0, 1.0, 1.0)


def test_a_case_must_be_followed_to_its_failure():
    with pytest.raises(ValueError, match=r"Case 1 failed at age 8.*followed to 6"):
        rank_score([4, 5, 6], [9, 9, 6], [0, 2], [2, 8])
