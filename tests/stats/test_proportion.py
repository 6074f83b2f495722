import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from tracegraph.stats.proportion import clopper_pearson, wilson

# Newcombe 1998, Statistics in Medicine 17:857-872, Table I, method 3, four decimals.
PUBLISHED = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0, 0.1611),
    (1, 29, 0.0061, 0.1718),
]
# The same and Clopper-Pearson to full digits: statsmodels proportion_confint, scipy binomtest.
FULL = [
    (81, 263, 0.255288519878274, 0.366209576982800, 0.252736745585, 0.367621922601),
    (15, 148, 0.062386399530736, 0.160487241723308, 0.057844010083, 0.161650490349),
    (0, 20, 0.0, 0.161125158052819, 0.0, 0.168433470983),
    (1, 29, 0.006113214292763, 0.171755218793203, 0.000872646884, 0.177644295489),
    (5, 10, 0.236593090512565, 0.763406909487435, 0.187086028447, 0.812913971553),
]


@pytest.mark.parametrize(("k", "n", "low", "high"), PUBLISHED)
def test_wilson_as_published(k, n, low, high):
    assert np.array(wilson(k, n)) == pytest.approx([low, high], abs=5e-5)


def test_full_digits():
    k, n, w_low, w_high, c_low, c_high = np.array(FULL).T
    assert np.array(wilson(k, n)) == pytest.approx(np.array([w_low, w_high]), rel=1e-12)
    assert np.array(clopper_pearson(k, n)) == pytest.approx(np.array([c_low, c_high]), rel=1e-9)


@pytest.mark.parametrize("interval", [wilson, clopper_pearson])
def test_the_ends_are_exact(interval):
    assert interval(0, 20)[0] == 0.0
    assert interval(20, 20)[1] == 1.0
    assert [float(x) for x in interval(0, 0)] == [0.0, 1.0]


@given(st.integers(1, 400), st.data())
def test_against_scipy(n, data):
    k = data.draw(st.integers(0, n))
    level = data.draw(st.sampled_from([0.8, 0.95, 0.999]))
    for interval, method in ((wilson, "wilson"), (clopper_pearson, "exact")):
        expected = binomtest(k, n).proportion_ci(level, method=method)
        got = [float(x) for x in interval(k, n, confidence=level)]
        assert got == pytest.approx([expected.low, expected.high], abs=1e-9)


@given(st.integers(1, 400), st.data())
def test_counting_the_others_mirrors_the_interval(n, data):
    k = data.draw(st.integers(0, n))
    for interval in (wilson, clopper_pearson):
        low, high = interval(k, n)
        other = np.array(interval(n - k, n))
        assert np.array([1 - high, 1 - low]) == pytest.approx(other, abs=1e-12)
