import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.stats.contingency import odds_ratio as scipy_odds_ratio

from tracegraph.stats.contingency import ContingencyTable
from tracegraph.stats.exact import fisher_exact_many
from tracegraph.stats.odds_ratio import odds_ratio, odds_ratios, sample_odds_ratio, woolf_interval

INF = math.inf

# Conditional estimate, exact and mid-p 95 % limits, by bisection on the log odds ratio with
# 40 digits (mpmath). F1, F2: Fisher 1935; F3: Fisher 1935, JRSS 98; F8, F13: Agresti; the last
# is the vanilla ice cream (Gross 1976).
LIMITS = [
    [float(x) for x in row.split()]
    for row in """
3 1 1 3  6.4083196582 0.211735595447 626.243530589 0.310054881719 308.556771581
4 0 0 4  inf 1.33907174946 inf 2.0038870958 inf
10 2 3 15  21.3053175568 2.75338278825 301.462337972 3.37990613487 207.270567789
2 10 15 3  0.0469366390497 0.00331716395066 0.363189602357 0.00482461166902 0.295866204592
8 2 1 5  15.4658197169 1.00884920795 1059.63949509 1.34200193131 526.395202886
6 2 1 4  9.4693289196 0.536482087824 686.484031317 0.731338637108 340.545998079
1 9 11 3  0.0372090848324 0.000636002948875 0.425866475696 0.00127426294253 0.335127024282
0 12 5 8  0 0 0.986903714253 0 0.722762091855
22 0 0 102  inf 288.087423028 inf 396.297470335 inf
21 2 15 3  2.06170523491 0.208912418003 27.5521537851 0.275211242886 19.1537859902
345 455 260 345  1.00612411191 0.80829588076 1.25268543233 0.812829922462 1.24566782086
189 10845 104 10933  1.83200505528 1.43233721167 2.35390542827 1.44222099353 2.33664270052
45 1955 1455 96545  1.52732090411 1.10530648344 2.06229831184 1.11911082815 2.0428245445
60 1940 1440 96560  2.07386167051 1.5681910947 2.69717092792 1.58295525079 2.67709388695
0 2000 1500 96500  0 0 0.118917903308 0 0.0965336626887
43 11 3 18  22.1490355143 5.21528332689 138.393479287 5.92796216245 109.14734799
""".strip().splitlines()
]


def test_published_limits(tables):
    result = odds_ratios(tables([row[:4] for row in LIMITS]))
    names = ("conditional", "low", "high", "mid_p_low", "mid_p_high")
    for position, name in enumerate(names, start=4):
        expected = [row[position] for row in LIMITS]
        assert getattr(result, name) == pytest.approx(expected, rel=1e-9), name


# One-sided 95 % lower limits, the same road; R's help prints 0.3135693 for the first.
@pytest.mark.parametrize(
    ("counts", "low"),
    [
        ((3, 1, 1, 3), 0.313573767505),
        ((8, 2, 1, 5), 1.37158624634),
        ((45, 1955, 1455, 96545), 1.16510033385),
        ((60, 1940, 1440, 96560), 1.64098607461),
    ],
)
def test_one_sided_limit_is_one_limit_of_a_ninety_per_cent_pair(counts, low, tables):
    assert odds_ratios(tables([counts]), confidence=0.9).low[0] == pytest.approx(low, rel=1e-9)


def test_two_estimators_of_one_table():
    """The two estimates that R and scipy print for one table differ; both are right."""
    result = odds_ratio(
        ContingencyTable(
            exposed_cases=7, exposed_controls=15, unexposed_cases=58, unexposed_controls=472
        )
    )
    assert result.sample == pytest.approx(3.7977011494252872, rel=1e-12)
    assert result.conditional == pytest.approx(3.783668770554967, rel=1e-9)


@pytest.mark.parametrize("counts", [(0, 5, 0, 7), (5, 0, 7, 0), (0, 0, 3, 7), (3, 7, 0, 0)])
def test_an_empty_margin_gives_nan(counts, tables):
    result = odds_ratios(tables([counts, (3, 1, 1, 3)]))
    for name in ("sample", "conditional", "low", "high", "mid_p_low", "mid_p_high"):
        assert np.isnan(getattr(result, name)).tolist() == [True, False], name


def test_zero_cells_keep_a_one_sided_bound(tables):
    """J2-1 and J2-2: 0 of 9 against 7 of 21, and 5 of 5 against 3 of 15."""
    result = odds_ratios(tables([(0, 9, 7, 14), (5, 0, 3, 12)]))
    assert result.conditional.tolist() == [0.0, INF]
    assert result.sample.tolist() == [0.0, INF]
    assert result.low[0] == 0.0
    assert 1.0 < result.high[0] < 2.0
    assert 1.0 < result.low[1] < 10.0
    assert result.high[1] == INF


def test_confidence_is_a_share(tables):
    with pytest.raises(ValueError, match=r"between 0 and 1.*got 95"):
        odds_ratios(tables([(3, 1, 1, 3)]), confidence=95)


def test_no_tables(tables):
    assert odds_ratios(tables([])).low.tolist() == []


# Woolf's limits and Haldane's and Anscombe's estimate: statsmodels Table2x2 and R epitools.
# F13 is published as 1.83 (1.44, 2.33), Agresti (from memory).
@pytest.mark.parametrize(
    ("counts", "half", "expected"),
    [
        ((189, 10845, 104, 10933), False, (1.83205394191, 1.44004239185, 2.33077975000)),
        ((189, 10845, 104, 10933), True, (1.82811096879, 1.43763148200, 2.32464978406)),
        ((43, 11, 3, 18), False, (23.4545454545, 5.84119071672, 94.1786921808)),
        ((43, 11, 3, 18), True, (19.9937888198, 5.37122851225, 74.4246107687)),
        ((0, 12, 5, 8), True, (0.0618181818182, 0.00300672687719, 1.27097929389)),
        ((3, 1, 1, 3), False, (9, 0.366636931926, 220.927006929)),
        ((10, 2, 3, 15), False, (25, 3.52158735233, 177.476784606)),
        ((45, 1955, 1455, 96545), False, (1.52732881588, 1.13145291530, 2.06171488030)),
    ],
)
def test_woolf(counts, half, expected, tables):
    got = [float(x[0]) for x in woolf_interval(tables([counts]), add_half=half)]
    assert got == pytest.approx(expected, rel=1e-9)


def test_woolf_is_undefined_with_a_zero(tables):
    estimate, low, high = woolf_interval(tables([(0, 12, 5, 8), (0, 5, 0, 7)]))
    assert estimate[0] == 0.0
    assert np.isnan(estimate[1])
    assert np.isnan(low).all()
    assert np.isnan(high).all()


counts_ = st.tuples(
    st.integers(0, 40), st.integers(0, 400), st.integers(0, 400), st.integers(0, 9000)
)


@settings(max_examples=50, deadline=None)
@given(st.lists(counts_, min_size=1, max_size=30))
def test_at_each_limit_one_tail_holds_the_rest(tables, rows):
    """Put every limit back into the noncentral distribution, summed in full."""
    t = tables(rows)
    result = odds_ratios(t)
    for i in np.flatnonzero(t.testable):
        x, weight = _support(*(int(v[i]) for v in t.counts))
        a = int(t.exposed_cases[i])
        if a > x[0]:
            assert _tail(x, weight, result.low[i], x >= a) == pytest.approx(0.025, rel=1e-8)
            mid = _tail(x, weight, result.mid_p_low[i], x > a)
            mid += 0.5 * _tail(x, weight, result.mid_p_low[i], x == a)
            assert mid == pytest.approx(0.025, rel=1e-8)
        else:
            assert (result.low[i], result.conditional[i]) == (0.0, 0.0)
        if a < x[-1]:
            assert _tail(x, weight, result.high[i], x <= a) == pytest.approx(0.025, rel=1e-8)
        else:
            assert (result.high[i], result.conditional[i]) == (INF, INF)
        if x[0] < a < x[-1]:
            p = np.exp(weight + x * np.log(result.conditional[i]))
            assert (p / p.sum() * x).sum() == pytest.approx(a, rel=1e-8)


@settings(max_examples=25, deadline=None)
@given(counts_)
def test_agrees_with_scipy(counts):
    a, b, c, d = counts
    assume(min(a, b, c, d) > 0)
    got = odds_ratio(
        ContingencyTable(
            exposed_cases=a, exposed_controls=b, unexposed_cases=c, unexposed_controls=d
        )
    )
    expected = scipy_odds_ratio([[a, b], [c, d]], kind="conditional")
    interval = expected.confidence_interval(0.95)
    assert got.conditional == pytest.approx(expected.statistic, rel=1e-7)
    assert got.low == pytest.approx(interval.low, rel=1e-7)
    assert got.high == pytest.approx(interval.high, rel=1e-7)


@given(st.lists(st.tuples(*[st.integers(0, 15)] * 4), min_size=1, max_size=10))
def test_exchanging_the_rows_inverts_everything(tables, rows):
    t = tables(rows)
    one, other = odds_ratios(t), odds_ratios(tables([(c, d, a, b) for a, b, c, d in rows]))
    with np.errstate(divide="ignore"):
        assert other.conditional == pytest.approx(1 / one.conditional, rel=1e-9, nan_ok=True)
        assert other.low == pytest.approx(1 / one.high, rel=1e-9, nan_ok=True)
        assert other.mid_p_high == pytest.approx(1 / one.mid_p_low, rel=1e-9, nan_ok=True)
        assert other.sample == pytest.approx(1 / one.sample, rel=1e-9, nan_ok=True)


@given(st.lists(st.tuples(*[st.integers(0, 25)] * 4), min_size=1, max_size=10))
def test_limits_enclose_each_other_and_agree_with_the_test(tables, rows):
    t = tables(rows)
    keep = t.testable
    r, p = odds_ratios(t), fisher_exact_many(t)
    assert (r.low <= r.mid_p_low * (1 + 1e-9))[keep].all()
    assert (r.mid_p_low <= r.conditional * (1 + 1e-9))[keep].all()
    assert (r.conditional <= r.mid_p_high * (1 + 1e-9))[keep].all()
    assert (r.mid_p_high <= r.high * (1 + 1e-9))[keep].all()
    # The lower exact limit is above 1 exactly when the one-sided test is below 0.025.
    clear = keep & (np.abs(p.greater - 0.025) > 1e-9)
    assert ((r.low > 1.0) == (p.greater < 0.025))[clear].all()
    wider = odds_ratios(t, confidence=0.99)
    assert (wider.low <= r.low)[keep].all()
    assert (wider.high >= r.high)[keep].all()


def test_sample_odds_ratio_by_hand(tables):
    assert sample_odds_ratio(tables([(3, 1, 1, 3), (2, 0, 1, 1)])).tolist() == [9.0, INF]


def _support(a, b, c, d):
    x = np.arange(max(0, a - d), min(a + b, a + c) + 1)
    log = [
        math.lgamma(a + b + 1) - math.lgamma(v + 1) - math.lgamma(a + b - v + 1)
        + math.lgamma(c + d + 1) - math.lgamma(a + c - v + 1) - math.lgamma(d - a + v + 1)
        for v in x
    ]  # fmt: skip
    return x, np.array(log) - max(log)


def _tail(x, weight, ratio, where):
    log = weight + x * np.log(ratio)
    p = np.exp(log - log.max())
    return p[where].sum() / p.sum()


def test_large_margins_against_the_beta_limits(tables):
    """Rare outcome, huge groups: given the cases, exposure is binomial (Clopper-Pearson)."""
    t = tables([(2500, 10**8, 1500, 10**8), (40, 10**8, 3000, 10**8), (0, 10**8, 700, 10**8)])
    r = odds_ratios(t)
    cases = t.cases
    low = stats.beta.ppf(0.025, np.maximum(t.exposed_cases, 1), t.unexposed_cases + 1)
    low[t.exposed_cases == 0] = 0.0
    high = stats.beta.ppf(0.975, t.exposed_cases + 1, np.maximum(t.unexposed_cases, 1))
    assert r.low == pytest.approx(low / (1 - low), rel=1e-3)
    assert r.high == pytest.approx(high / (1 - high), rel=1e-3)
    assert r.conditional == pytest.approx(t.exposed_cases / (cases - t.exposed_cases), rel=1e-3)
