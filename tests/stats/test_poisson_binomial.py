import itertools
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats

from tracegraph.stats.contingency import TableArrays
from tracegraph.stats.exact import fisher_exact_many
from tracegraph.stats.poisson_binomial import CaseCounts

INF = float("inf")


def by_enumeration(chances):
    """Distribution of the count over all 2**n outcomes."""
    pmf = np.zeros(len(chances) + 1)
    for outcome in itertools.product([0, 1], repeat=len(chances)):
        pmf[sum(outcome)] += np.prod(
            [p if x else 1 - p for p, x in zip(chances, outcome, strict=True)]
        )
    return pmf


chance = st.one_of(st.floats(1e-6, 1 - 1e-6), st.sampled_from([0.0, 1.0, 0.5]))


@st.composite
def levels(draw, most_cases=9):
    """One level: an attainable observed count, chances per group, cases per group."""
    groups = draw(st.integers(1, 4))
    chances = draw(st.lists(chance, min_size=groups, max_size=groups))
    cases = draw(st.lists(st.integers(0, most_cases // groups), min_size=groups, max_size=groups))
    certain = sum(n for p, n in zip(chances, cases, strict=True) if p == 1.0)
    possible = sum(n for p, n in zip(chances, cases, strict=True) if p > 0.0)
    return draw(st.integers(certain, possible)), chances, cases


@settings(deadline=None)
@given(levels())
def test_against_enumeration(level):
    observed, chances, cases = level
    pmf = by_enumeration(np.repeat(chances, cases))
    t = CaseCounts([observed], [chances], cases).tests()
    upper, lower, own = pmf[observed:].sum(), pmf[: observed + 1].sum(), pmf[observed]
    assert t.greater[0] == pytest.approx(upper, rel=1e-10)
    assert t.less[0] == pytest.approx(lower, rel=1e-10)
    assert t.two_sided[0] == pytest.approx(min(1.0, 2 * min(upper, lower)), rel=1e-10)
    assert t.expected[0] == pytest.approx((pmf * np.arange(len(pmf))).sum(), abs=1e-12)
    if t.testable[0]:
        assert t.mid_p_greater[0] == pytest.approx(upper - own / 2, rel=1e-10)
        assert t.mid_p[0] == pytest.approx(min(1.0, 2 * min(upper, lower) - own), rel=1e-10)


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 100), st.integers(1, 4000)), min_size=1, max_size=20),
    st.integers(0, 20),
)
def test_against_rational_arithmetic(shares, observed):
    """Exposed of those in each risk set; sums of products of whole numbers."""
    chances = [Fraction(min(exposed, total), total) for exposed, total in shares]
    certain = sum(chance == 1 for chance in chances)
    possible = sum(chance > 0 for chance in chances)
    observed = min(max(observed, certain), possible)
    law = [Fraction(1)]
    for chance in chances:
        law = [
            (law[k] if k < len(law) else 0) * (1 - chance) + (law[k - 1] if k else 0) * chance
            for k in range(len(law) + 1)
        ]
    tests = CaseCounts(
        [observed], [[float(chance) for chance in chances]], np.ones(len(chances), int)
    ).tests()
    assert tests.greater[0] == pytest.approx(float(sum(law[observed:])), rel=1e-12)
    assert tests.less[0] == pytest.approx(float(sum(law[: observed + 1])), rel=1e-12)


def test_against_scipy():
    rng = np.random.default_rng(7)
    chances = rng.random((30, 40)) ** 3
    observed = (rng.random((30, 40)) < chances).sum(axis=1) + 3
    t = CaseCounts(observed, chances, np.ones(40, int)).tests()
    law = [stats.poisson_binom(p) for p in chances]
    assert t.less == pytest.approx([x.cdf(k) for x, k in zip(law, observed, strict=True)], rel=1e-9)
    assert t.greater == pytest.approx(
        [x.pmf(np.arange(k, 41)).sum() for x, k in zip(law, observed, strict=True)], rel=1e-9
    )


def test_equal_chances_are_the_binomial():
    t = CaseCounts(np.arange(31), np.full((31, 1), 0.2), [30]).tests()
    k = np.arange(31)
    assert t.greater == pytest.approx(stats.binom.sf(k - 1, 30, 0.2), rel=1e-9)
    assert t.less == pytest.approx(stats.binom.cdf(k, 30, 0.2), rel=1e-9)


def test_groups_are_repeated_cases():
    grouped = CaseCounts([5], [[0.1, 0.3, 0.6]], [[4, 0, 7]])
    single = CaseCounts([5], [[0.1] * 4 + [0.6] * 7], np.ones(11, int))
    assert grouped.tests().greater == pytest.approx(single.tests().greater, rel=1e-12)
    assert grouped.rate_ratios().low == pytest.approx(single.rate_ratios().low, rel=1e-9)


def test_tails_far_below_the_smallest_float():
    """All of 100 cases exposed: the probability is the product of their chances."""
    t = CaseCounts([100, 99], [[1e-9, 1e-12]] * 2, [50, 50]).tests()
    assert t.log10_greater[0] == pytest.approx(-1050.0, rel=1e-12)
    # One case fewer: 50 x 1e-9 terms of weight 1e-12 each are nothing beside 50 of 1e12.
    assert t.log10_greater[1] == pytest.approx(-1050.0 + np.log10(50e9 + 50e12), abs=1e-6)
    assert t.greater[0] == 0.0


@settings(max_examples=40, deadline=None)
@given(st.lists(levels(), min_size=1, max_size=6))
def test_estimates_and_limits_solve_their_equations(batch):
    width = max(len(chances) for _, chances, _ in batch)
    rows = [(c + [0.5] * (width - len(c)), n + [0] * (width - len(n))) for _, c, n in batch]
    observed = [k for k, _, _ in batch]
    counts = CaseCounts(observed, [c for c, _ in rows], [n for _, n in rows])
    r = counts.rate_ratios()
    for i, (k, chances, cases) in enumerate(batch):
        p = np.repeat(chances, cases)
        certain, possible = (p == 1).sum(), (p > 0).sum()
        if certain == possible:
            assert np.isnan([r.ratio[i], r.low[i], r.high[i]]).all()
            continue
        if k > certain:
            pmf = by_enumeration(p * r.low[i] / (1 + p * (r.low[i] - 1)))
            assert pmf[k:].sum() == pytest.approx(0.025, rel=1e-7)
            pmf = by_enumeration(p * r.mid_p_low[i] / (1 + p * (r.mid_p_low[i] - 1)))
            assert pmf[k + 1 :].sum() + pmf[k] / 2 == pytest.approx(0.025, rel=1e-7)
        else:
            assert (r.ratio[i], r.low[i], r.mid_p_low[i]) == (0.0, 0.0, 0.0)
        if k < possible:
            pmf = by_enumeration(p * r.high[i] / (1 + p * (r.high[i] - 1)))
            assert pmf[: k + 1].sum() == pytest.approx(0.025, rel=1e-7)
        else:
            assert (r.ratio[i], r.high[i], r.mid_p_high[i]) == (INF, INF, INF)
        if certain < k < possible:
            psi = r.ratio[i]
            assert (p * psi / (1 + p * (psi - 1))).sum() == pytest.approx(k, rel=1e-8)


def test_one_to_one_sets_are_mcnemars_pairs():
    """Pairs where one of two is exposed: the rate ratio is the odds of the pairs.

    Breslow & Day 1980, vol. 1, ch. 5, Los Angeles endometrial cancer and gall bladder
    disease: 13 discordant pairs with the case exposed, 4 with the control (from memory);
    ratio 13/4 with exact limits from the binomial.
    """
    r = CaseCounts([13], [[0.5]], [17]).rate_ratios()
    interval = stats.binomtest(13, 17).proportion_ci(0.95, method="exact")
    assert r.ratio[0] == pytest.approx(13 / 4, rel=1e-9)
    assert r.low[0] == pytest.approx(interval.low / (1 - interval.low), rel=1e-9)
    assert r.high[0] == pytest.approx(interval.high / (1 - interval.high), rel=1e-9)


def test_many_controls_approach_the_poisson_limits():
    """Small chances: the ratio's limits are Garwood's over the expected count."""
    low, high = stats.chi2.ppf(0.025, 20) / 2, stats.chi2.ppf(0.975, 22) / 2
    limits = CaseCounts([10], [[1e-5]], [2_000]).rate_ratios()
    assert limits.low[0] == pytest.approx(low / 0.02, rel=0.02)
    assert limits.high[0] == pytest.approx(high / 0.02, rel=0.02)


def test_order_of_levels_and_groups_does_not_matter():
    rng = np.random.default_rng(1)
    chances, cases = rng.random((50, 6)), rng.integers(0, 8, (50, 6))
    observed = rng.binomial(cases, chances).sum(axis=1)
    order, columns = rng.permutation(50), rng.permutation(6)
    one = CaseCounts(observed, chances, cases)
    other = CaseCounts(observed[order], chances[order][:, columns], cases[order][:, columns])
    assert other.tests().log10_greater == pytest.approx(one.tests().log10_greater[order], abs=1e-12)
    assert other.rate_ratios().high == pytest.approx(one.rate_ratios().high[order], rel=1e-9)


def test_without_follow_up_it_is_near_fisher():
    """Risk sets that all hold the same hulls: sampling with, not without, replacement."""
    tables = TableArrays.from_margins(exposed_cases=6, exposed=400, cases=30, total=20_000)
    p = CaseCounts([6], [[400 / 20_000]], [30]).tests().greater[0]
    assert p == pytest.approx(fisher_exact_many(tables).greater[0], rel=0.05)


@given(st.integers(1, 8), st.integers(0, 2**32 - 1))
def test_a_stronger_ratio_has_higher_limits(size, seed):
    rng = np.random.default_rng(seed)
    chances = np.tile(rng.uniform(0.05, 0.9, size), (size + 1, 1))
    r = CaseCounts(np.arange(size + 1), chances, np.ones(size, int)).rate_ratios()
    for name in ("ratio", "low", "high", "mid_p_low", "mid_p_high"):
        values = getattr(r, name)
        assert (values[1:] >= values[:-1]).all(), name
    assert (r.low <= r.mid_p_low).all()
    assert (r.mid_p_high <= r.high).all()


def test_mid_p_limits_cover_as_promised():
    """Coverage of a true ratio of 4 over repeated draws stays near 95 %."""
    chances = np.tile(np.linspace(0.02, 0.2, 12), 4)
    tilted = chances * 4 / (1 + chances * 3)
    pmf = np.exp(stats.poisson_binom(tilted).logpmf(np.arange(49)))
    r = CaseCounts(np.arange(49), np.tile(chances, (49, 1)), np.ones(48, int)).rate_ratios()
    covered = (r.mid_p_low <= 4) & (r.mid_p_high >= 4)
    assert 0.93 < pmf[covered].sum() < 0.98
    exactly = (r.low <= 4) & (r.high >= 4)
    assert pmf[exactly].sum() >= 0.95


def test_estimate_maximises_the_likelihood():
    chances = np.array([0.1, 0.25, 0.4, 0.05, 0.6])
    r = CaseCounts([3], [chances], np.ones(5, int)).rate_ratios()

    def minus_log_likelihood(log_psi):
        return -(3 * log_psi - np.log1p(chances * np.expm1(log_psi)).sum())

    best = optimize.minimize_scalar(
        minus_log_likelihood, bounds=(-5, 5), method="bounded", options={"xatol": 1e-12}
    )
    assert np.log(r.ratio[0]) == pytest.approx(best.x, abs=1e-6)


def test_no_levels():
    empty = CaseCounts([], np.zeros((0, 3)), [1, 2, 3])
    assert empty.tests().greater.tolist() == []
    assert empty.rate_ratios().ratio.tolist() == []


@pytest.mark.parametrize(
    ("observed", "chances", "cases", "message"),
    [
        ([1, 2], [[0.5]], [3], "one row per observed count"),
        ([1], [[1.5]], [3], "Every chance"),
        ([1], [[float("nan")]], [3], "Every chance"),
        ([4], [[0.5]], [3], "must lie between"),
        ([1], [[1.0]], [3], "must lie between"),
        ([1], [[0.0]], [3], "must lie between"),
        ([0], [[0.5]], [-1], "must lie between"),
    ],
)
def test_impossible_input_is_refused(observed, chances, cases, message):
    with pytest.raises(ValueError, match=message):
        CaseCounts(observed, chances, cases)


def test_confidence_is_a_share():
    with pytest.raises(ValueError, match="between 0 and 1"):
        CaseCounts([1], [[0.5]], [3]).rate_ratios(confidence=95)
