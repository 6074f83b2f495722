import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from tracegraph.domain.errors import InvalidTableError
from tracegraph.stats.chisquare import cross_test, monte_carlo, pearson

# C1 NIST/SEMATECH e-Handbook 7.4.5 (prints 12.131), C2 Agresti (party by gender), C3 R
# HairEyeColor, C4 the vanilla ice cream (Gross 1976), C5 a common example. Statistic, degrees
# of freedom, p, G and its p, Cramer's V: scipy chi2_contingency, R chisq.test, vcd::assocstats.
C1 = [[36, 46, 42, 63, 38], [264, 254, 258, 237, 262]]
C2 = [[762, 327, 468], [484, 239, 477]]
C3 = [[68, 20, 15, 5], [119, 84, 54, 29], [26, 17, 14, 14], [7, 94, 10, 16]]
C4 = [[43, 11], [3, 18]]
CROSS = [
    (C1, 12.130718954248, 4, 0.016405221989, 11.551089890641, 0.021021172244, 0.089928560366),
    (C2, 30.070149095755, 2, 2.95358918321e-7, 30.016692613240, 3.03359791064e-7, 0.104435802356),
    (C3, 138.289841626008, 9, 2.3252867871e-25, 146.44357846452, 4.80558366982e-27, 0.279044623343),
    (C4, 27.222549439565, 1, 1.81331414280e-7, 28.266793968390, 1.05693634905e-7, 0.602467696944),
]  # fmt: skip

# Agresti's job satisfaction and Mehta & Patel 1986 (MP6), with exact p by R fisher.test.
JOB = [[1, 3, 10, 6], [2, 3, 10, 7], [1, 6, 14, 12], [0, 1, 9, 11]]
MP6 = [
    [1, 2, 2, 1, 1, 0, 1],
    [2, 0, 0, 2, 3, 0, 0],
    [0, 1, 1, 1, 2, 7, 3],
    [1, 1, 2, 0, 0, 0, 1],
    [0, 1, 1, 1, 1, 0, 0],
]


@pytest.mark.parametrize(("table", "x2", "df", "p", "g", "g_p", "v"), CROSS)
def test_published_cross_tables(table, x2, df, p, g, g_p, v):
    result = cross_test(table)
    assert result.statistic == pytest.approx(x2, rel=1e-9)
    assert result.degrees_of_freedom == df
    assert result.p_value == pytest.approx(p, rel=1e-9)
    assert result.g == pytest.approx(g, rel=1e-9)
    assert result.g_p_value == pytest.approx(g_p, rel=1e-9)
    assert result.cramers_v == pytest.approx(v, rel=1e-9)
    assert result.trustworthy


def test_diode_lots_expect_45_and_255():
    assert np.unique(cross_test(C1).expected.round(9)).tolist() == [45.0, 255.0]


def test_adjusted_residuals_tell_which_level():
    """Party by gender, row 1 (Agresti): recomputed with R's chisq.test()$stdres."""
    first, second = cross_test(C2).adjusted_residuals
    assert first == pytest.approx([4.502054, 0.699452, -5.315946], abs=5e-7)
    assert second == pytest.approx(-first, rel=1e-9)


def test_cochrans_rule_distrusts_thin_tables():
    result = cross_test(JOB)
    assert (int((result.expected < 5).sum()), int((result.expected < 1).sum())) == (8, 3)
    assert not result.trustworthy
    assert result.statistic == pytest.approx(5.965514588770, rel=1e-9)
    assert result.p_value == pytest.approx(0.743364725053, rel=1e-9)
    assert cross_test(MP6).p_value == pytest.approx(0.121297124860, rel=1e-9)


# 2x2: C4 and C5 with and without Yates, C6 = Fisher's twins (1935), F15 a made-up register.
@pytest.mark.parametrize(
    ("counts", "yates", "x2", "p"),
    [
        ((43, 11, 3, 18), False, 27.222549439565, 1.81331414280e-7),
        ((43, 11, 3, 18), True, 24.536950274863, 7.28983774990e-7),
        ((12, 7, 5, 7), False, 1.371646026830, 0.241529274760),
        ((12, 7, 5, 7), True, 0.641120263895, 0.423305424320),
        ((10, 2, 3, 15), False, 13.031674208145, None),
        ((10, 2, 3, 15), True, 10.458144796380, None),
        ((60, 1940, 1440, 96560), False, 31.0784212162022, 2.47811e-8),
        ((1198, 557, 1493, 1278), False, 92.205280411, None),  # Berkeley admissions, all together
    ],
)
def test_pearson_two_by_two(counts, yates, x2, p, tables):
    result = pearson(tables([counts]), yates=yates)
    assert result.statistic[0] == pytest.approx(x2, rel=1e-9)
    if p is not None:
        assert result.p_value[0] == pytest.approx(p, rel=1e-5 if p == 2.47811e-8 else 1e-9)
    assert 10 ** result.log10_p_value[0] == pytest.approx(result.p_value[0], rel=1e-9)


def test_logarithms_do_not_underflow(tables):
    result = pearson(tables([(900, 0, 0, 2700), (899, 1, 1, 2699)]))
    assert result.p_value.tolist() == [0.0, 0.0]
    assert result.log10_p_value[0] < result.log10_p_value[1] < -700


@pytest.mark.parametrize("counts", [(0, 5, 0, 7), (5, 0, 7, 0), (0, 0, 3, 7), (3, 7, 0, 0)])
def test_an_empty_margin_is_not_testable(counts, tables):
    result = pearson(tables([counts]))
    assert (result.p_value[0], result.log10_p_value[0], result.testable[0]) == (1.0, 0.0, False)
    assert np.isnan(result.statistic[0])
    whole = cross_test(np.array(counts).reshape(2, 2))
    assert (whole.p_value, whole.g_p_value, whole.testable) == (1.0, 1.0, False)
    assert monte_carlo(np.array(counts).reshape(2, 2)) == 1.0


def test_empty_rows_and_columns_are_dropped():
    padded = [[36, 0, 46, 42, 63, 38], [0] * 6, [264, 0, 254, 258, 237, 262]]
    assert cross_test(padded).statistic == pytest.approx(12.130718954248, rel=1e-9)
    assert cross_test(padded).degrees_of_freedom == 4


@given(st.tuples(*[st.integers(0, 60)] * 4))
def test_two_roads_to_two_by_two(tables, counts):
    a, b, c, d = counts
    result = cross_test([[a, b], [c, d]])
    many = pearson(tables([counts]))
    assert many.testable[0] == result.testable
    if result.testable:
        assert many.statistic[0] == pytest.approx(result.statistic, rel=1e-9, abs=1e-12)
        expected = stats.chi2_contingency([[a, b], [c, d]], correction=True)
        corrected = pearson(tables([counts]), yates=True)
        assert corrected.statistic[0] == pytest.approx(expected.statistic, rel=1e-9, abs=1e-12)
        assert corrected.p_value[0] == pytest.approx(expected.pvalue, rel=1e-9)


# Exact Freeman-Halton p: R fisher.test. Monte Carlo p of the job table's chi-square: 0.7708
# (R coin, a million resamples: 0.77102).
@pytest.mark.parametrize(
    ("table", "statistic", "p"),
    [
        (JOB, "probability", 0.7826849389656388),
        (MP6, "probability", 0.03928964365533234),
        (JOB, "pearson", 0.7708),
    ],
)
def test_monte_carlo_finds_the_exact_value(table, statistic, p):
    got = monte_carlo(table, resamples=40_000, seed=3, statistic=statistic)
    assert got == pytest.approx(p, abs=4 * np.sqrt(p * (1 - p) / 40_000))


def test_monte_carlo_repeats_itself_and_is_never_zero():
    table = [[30, 0], [0, 30]]
    assert monte_carlo(table, resamples=99) == 0.01
    assert monte_carlo(JOB, resamples=500, seed=5) == monte_carlo(JOB, resamples=500, seed=5)
    assert monte_carlo(JOB, resamples=500, seed=5) != monte_carlo(JOB, resamples=500, seed=6)


@pytest.mark.parametrize("bad", [[1, 2], [[1.5, 2.0], [3.0, 4.0]], [[-1, 2], [3, 4]]])
def test_only_counts_in_rows_and_columns(bad):
    with pytest.raises(InvalidTableError, match="must hold counts"):
        cross_test(bad)
