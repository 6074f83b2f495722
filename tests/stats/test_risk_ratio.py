import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from tracegraph.stats.risk_ratio import risk_differences, risk_ratios, score_statistic


# Risk ratio with Katz's limits: scipy relative_risk, R epitools::riskratio. The first is
# published as 1.82 (1.43, 2.31), Agresti (from memory); the second is the vanilla ice cream,
# the third the chocolate of the Oswego church supper (Gross 1976).
@pytest.mark.parametrize(
    ("counts", "ratio", "low", "high"),
    [
        ((189, 10845, 104, 10933), 1.81780179445, 1.43303090305, 2.30588423242),
        ((43, 11, 3, 18), 5.57407407407, 1.93833983554, 16.0293366589),
        ((25, 22, 20, 7), 0.718085106, 0.506589734, 1.017877358),
    ],
)
def test_katz(counts, ratio, low, high, tables):
    result = risk_ratios(tables([counts]))
    assert result.ratio[0] == pytest.approx(ratio, rel=1e-8)
    assert result.katz_low[0] == pytest.approx(low, rel=1e-8)
    assert result.katz_high[0] == pytest.approx(high, rel=1e-8)


def test_koopman_as_published(tables):
    """Koopman 1984, Biometrics 40:513-517: 36 of 40 against 16 of 80 (from memory)."""
    result = risk_ratios(tables([(36, 4, 16, 64)]))
    assert result.ratio[0] == 4.5
    assert result.low[0] == pytest.approx(2.94, abs=5e-3)
    assert result.high[0] == pytest.approx(7.15, abs=5e-3)


def by_definition(counts, ratio):
    """Koopman's chi-square, the likelihood maximised numerically."""
    a, b, c, d = counts
    m, n = a + b, c + d

    def minus_log_likelihood(q):
        p = min(ratio * q, 1 - 1e-15)
        return -(a * math.log(p) + b * math.log1p(-p) + c * math.log(q) + d * math.log1p(-q))

    q = minimize_scalar(
        minus_log_likelihood,
        bounds=(1e-12, min(1, 1 / ratio)),
        method="bounded",
        options={"xatol": 1e-13},
    ).x
    p = ratio * q
    return (a - m * p) ** 2 / (m * p * (1 - p)) + (c - n * q) ** 2 / (n * q * (1 - q))


@settings(max_examples=60, deadline=None)
@given(st.tuples(st.integers(1, 30), st.integers(1, 60), st.integers(1, 30), st.integers(1, 90)))
def test_score_limits_solve_koopmans_equation(tables, counts):
    result = risk_ratios(tables([counts]))
    for limit in (result.low[0], result.high[0]):
        assert by_definition(counts, limit) == pytest.approx(1.959963984540054**2, rel=1e-4)
    assert result.low[0] < result.ratio[0] < result.high[0]


@pytest.mark.parametrize("counts", [(0, 5, 0, 7), (5, 0, 7, 0), (0, 0, 3, 7), (3, 7, 0, 0)])
def test_an_empty_margin_gives_nan(counts, tables):
    result = risk_ratios(tables([counts, (3, 1, 1, 3)]))
    for name in ("ratio", "low", "high", "katz_low", "katz_high"):
        assert np.isnan(getattr(result, name)).tolist() == [True, False], name


def test_zero_cells_keep_a_one_sided_bound(tables):
    """J2-1, J2-2 and a level whose hulls all failed, while others did too."""
    result = risk_ratios(tables([(0, 9, 7, 14), (5, 3, 0, 12), (5, 0, 3, 12)]))
    assert result.ratio.tolist() == [0.0, math.inf, 5.0]
    assert result.low[0] == 0.0
    assert 0.0 < result.high[0] < math.inf
    assert 1.0 < result.low[1] < math.inf
    assert result.high[1] == math.inf
    assert 1.0 < result.low[2] < 5.0 < result.high[2] < math.inf
    assert np.isnan(result.katz_low[:2]).all()
    # A score limit without a count: the square of the statistic is still that of the limit.
    z = score_statistic(tables([(0, 9, 7, 14)]), np.log(result.high[:1]))
    assert z[0] == pytest.approx(-1.959963984540054, rel=1e-9)


@given(st.lists(st.tuples(*[st.integers(0, 25)] * 4), min_size=1, max_size=8))
def test_exchanging_the_rows_inverts_the_ratio(tables, rows):
    one = risk_ratios(tables(rows))
    other = risk_ratios(tables([(c, d, a, b) for a, b, c, d in rows]))
    with np.errstate(divide="ignore"):
        assert other.ratio == pytest.approx(1 / one.ratio, rel=1e-9, nan_ok=True)
        assert other.low == pytest.approx(1 / one.high, rel=1e-7, nan_ok=True)
        assert other.katz_low == pytest.approx(1 / one.katz_high, rel=1e-9, nan_ok=True)


# Newcombe 1998, Statistics in Medicine 17:873-890, Table II, method 10, four decimals; full
# digits by statsmodels confint_proportions_2indep(method="newcomb"). The last is Agresti's F13.
@pytest.mark.parametrize(
    ("x1", "n1", "x2", "n2", "published", "low", "high"),
    [
        (56, 70, 48, 80, (0.0524, 0.3339), 0.052431472402365, 0.333872654036906),
        (9, 10, 3, 10, (0.1705, 0.8090), 0.170522723934503, 0.809017973535488),
        (6, 7, 2, 7, (0.0582, 0.8062), 0.058227927482312, 0.806249637524228),
        (5, 56, 0, 29, (-0.0381, 0.1926), -0.038137147903537, 0.192560013855112),
        (0, 10, 0, 20, (-0.1611, 0.2775), -0.161125158052819, 0.277532799862889),
        (0, 10, 0, 10, (-0.2775, 0.2775), -0.277532799862889, 0.277532799862889),
        (10, 10, 0, 20, (0.6791, 1.0), 0.679086037141915, 1.0),
        (10, 10, 0, 10, (0.6075, 1.0), 0.607509350430524, 1.0),
        (189, 11034, 104, 11037, (0.0047, 0.0108), 0.004702029746381, 0.010775083776882),
    ],
)
def test_newcombe(x1, n1, x2, n2, published, low, high, tables):
    result = risk_differences(tables([(x1, n1 - x1, x2, n2 - x2)]))
    got = (result.low[0], result.high[0])
    assert got == pytest.approx(published, abs=5.1e-5)
    assert got == pytest.approx((low, high), rel=1e-9)
    assert result.difference[0] == pytest.approx(x1 / n1 - x2 / n2, rel=1e-12)


def test_a_difference_needs_both_groups(tables):
    result = risk_differences(tables([(3, 7, 0, 0), (0, 0, 3, 7), (0, 5, 0, 7)]))
    assert np.isnan(result.difference).tolist() == [True, True, False]
    assert np.isnan(result.low).tolist() == [True, True, False]
