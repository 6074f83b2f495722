import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from tracegraph.stats.rates import compare_rates, garwood

# Garwood 1936, Biometrika 28:437-442 (as Ulm 1990, Am. J. Epidemiol. 131:373-375), full digits by
# statsmodels confint_poisson(method="exact-c") and R poisson.test.
LIMITS = [
    (0, 0.0, 3.688879454114),
    (1, 0.025317807984, 5.571643390939),
    (2, 0.242209278544, 7.224687667724),
    (5, 1.623486390118, 11.668332079323),
    (10, 4.795388696133, 18.390356042018),
    (20, 12.216519585404, 30.888377902675),
    (100, 81.363991250923, 121.626793792426),
]


def test_garwood():
    k, low, high = np.array(LIMITS).T
    got_low, got_high = garwood(k)
    assert got_low == pytest.approx(low, rel=1e-9)
    assert got_high == pytest.approx(high, rel=1e-9)
    assert got_low[0] == 0.0


@pytest.mark.parametrize(
    ("count", "exposure", "low", "high"),
    [
        (10, 250, 0.019181554785, 0.073561424168),
        (137, 24.19893, 4.753124804849, 6.692709334176),  # R help for poisson.test
        (48, 25_363 / 365.25, 0.509668131, 0.916488131),  # valve seats per engine-year
    ],
)
def test_rates_with_exposure(count, exposure, low, high):
    assert np.array(garwood(count, exposure)) == pytest.approx([low, high], rel=1e-8)


# Rule of three and its kin: expected claims at which so few are a 95 % proof of improvement.
# Hanley & Lippman-Hand 1983, JAMA 249:1743-1745 (from memory).
@pytest.mark.parametrize(("seen", "needed"), [(0, 3.0), (1, 4.75), (2, 6.3), (3, 7.8), (4, 9.2)])
def test_rule_of_three(seen, needed):
    assert garwood(seen, confidence=0.9)[1] == pytest.approx(needed, abs=0.06)


# Boice & Monson 1977, in Rothman; and the example of R's help. R poisson.test, statsmodels
# test_poisson_2indep("exact-cond" and its mid-p); the last limit is R's, 7 digits.
@pytest.mark.parametrize(
    ("data", "ratio", "p", "low", "high", "mid_p"),
    [
        (
            (41, 28010, 15, 19017),
            1.855758657622,
            0.040852026287,
            1.005684062689,
            3.609300311078,
            0.034750613795,
        ),
        (
            (11, 800, 21, 3011),
            1.971488095238,
            0.079668633033,
            0.858426403392,
            4.277266,
            0.063698391526,
        ),
    ],
)
def test_rate_ratio(data, ratio, p, low, high, mid_p):
    r = compare_rates(*data)
    assert r.ratio == pytest.approx(ratio, rel=1e-9)
    assert r.p_value == pytest.approx(p, rel=1e-9)
    assert r.low == pytest.approx(low, rel=1e-9)
    assert r.high == pytest.approx(high, rel=1e-7)
    assert r.mid_p == pytest.approx(mid_p, rel=1e-9)


def test_zero_counts():
    none = compare_rates(0, 10, 0, 20)
    assert math.isnan(none.ratio)
    assert (none.low, none.high, none.p_value, none.mid_p) == (0.0, math.inf, 1.0, 1.0)
    first = compare_rates(0, 10, 7, 20)
    assert (first.ratio, first.low) == (0.0, 0.0)
    assert 0.0 < first.high < math.inf
    second = compare_rates(7, 10, 0, 20)
    assert (second.ratio, second.high) == (math.inf, math.inf)
    assert second.low > 1.0


@given(st.integers(0, 60), st.floats(0.5, 100), st.integers(0, 60), st.floats(0.5, 100))
def test_against_scipys_binomial_test(k, t, k2, t2):
    r = compare_rates(k, t, k2, t2)
    if k + k2:
        expected = stats.binomtest(k, k + k2, t / (t + t2)).pvalue
        assert r.p_value == pytest.approx(expected, rel=1e-6)
    mirrored = compare_rates(k2, t2, k, t)
    assert mirrored.p_value == pytest.approx(r.p_value, rel=1e-9)
    assert mirrored.mid_p == pytest.approx(r.mid_p, rel=1e-9)
    if k and k2:
        assert mirrored.low == pytest.approx(1 / r.high, rel=1e-9)
