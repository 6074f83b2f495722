from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tracegraph.stats.permutation import rank_sum, value_sum

# Hollander & Wolfe, permeability of membranes (R help for wilcox.test).
X = [0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46]
Y = [1.15, 0.88, 0.90, 0.74, 1.21]
PERMEABILITY = (X + Y, [True] * 10 + [False] * 5)

# Launch temperatures, Fahrenheit, and flights with O-ring damage: Dalal, Fowlkes & Hoadley 1989,
# JASA 84:945-957 (R vcd::SpaceShuttle without the flight that has no record).
TEMPERATURE = [53, 57, 58, 63, 66, 67, 67, 67, 68, 69, 70, 70, 70, 70, 72, 73, 75, 75, 76, 76, 78,
               79, 81]  # fmt: skip
DAMAGED = np.isin(np.arange(23), [0, 1, 2, 3, 10, 11, 16])
CHOICES = 245_157  # C(23, 7)


def test_permeability_exactly():
    r = rank_sum(*PERMEABILITY)
    assert r.exact
    assert r.statistic - 10 * 11 / 2 == 35.0
    assert r.two_sided == pytest.approx(0.254412254412, rel=1e-9)
    assert r.greater == pytest.approx(0.127206127206, rel=1e-9)


def test_permeability_by_the_normal_law():
    with_cc = rank_sum(*PERMEABILITY, method="normal", continuity=True)
    without = rank_sum(*PERMEABILITY, method="normal")
    assert with_cc.two_sided == pytest.approx(0.244623605127, rel=1e-9)
    assert without.two_sided == pytest.approx(0.220671361920, rel=1e-9)
    assert not with_cc.exact


def test_o_rings_by_ranks():
    r = rank_sum(TEMPERATURE, DAMAGED)
    assert r.statistic == 52.5
    assert r.two_sided == pytest.approx(8218 / CHOICES, rel=1e-12)
    assert r.less == pytest.approx(0.016789241180, rel=1e-9)
    normal = rank_sum(TEMPERATURE, DAMAGED, method="normal")
    assert normal.two_sided == pytest.approx(0.034596417435, rel=1e-9)
    corrected = rank_sum(TEMPERATURE, DAMAGED, method="normal", continuity=True)
    assert corrected.two_sided == pytest.approx(0.037570468261, rel=1e-9)


def test_o_rings_by_temperature():
    r = value_sum(TEMPERATURE, DAMAGED, resolution=1)
    assert r.two_sided == pytest.approx(1456 / CHOICES, rel=1e-12)
    assert r.two_sided == pytest.approx(0.005939051301834, rel=1e-12)
    assert r.less == pytest.approx(0.004490999645, rel=1e-9)
    assert r.z == pytest.approx(-2.62998312247, rel=1e-9)
    normal = value_sum(TEMPERATURE, DAMAGED, resolution=1, method="normal")
    assert normal.two_sided == pytest.approx(0.0085389107, rel=1e-7)


def test_unknown_values_are_left_out():
    values = [*TEMPERATURE, np.nan, np.nan]
    case = np.append(DAMAGED, [True, False])
    r = rank_sum(values, case)
    assert r == rank_sum(TEMPERATURE, DAMAGED)
    assert (r.cases, r.others) == (7, 16)


@pytest.mark.parametrize(
    ("values", "case"),
    [([], []), ([1.0], [True]), ([1.0, 2.0], [False, False]), ([3.0, 3.0], [True, False])],
)
def test_nothing_to_compare(values, case):
    for method in ("auto", "exact", "normal"):
        r = rank_sum(values, case, method=method)
        assert (r.greater, r.less, r.two_sided, r.z) == (1.0, 1.0, 1.0, 0.0)


def test_large_samples_use_the_normal_law():
    rng = np.random.default_rng(4)
    values, case = rng.normal(size=3000), rng.random(3000) < 0.1
    r = rank_sum(values, case)
    assert not r.exact
    expected = stats.mannwhitneyu(
        values[case], values[~case], method="asymptotic", use_continuity=False
    )
    assert r.two_sided == pytest.approx(expected.pvalue, rel=1e-9)


samples = st.lists(st.tuples(st.integers(-3, 6), st.booleans()), min_size=2, max_size=11)


@given(samples)
def test_exact_values_by_enumeration(rows):
    values, case = np.array([r[0] for r in rows], float), np.array([r[1] for r in rows])
    for test, scores in (
        (rank_sum(values, case, method="exact"), stats.rankdata(values)),
        (value_sum(values / 4, case, resolution=0.25, method="exact"), values / 4),
    ):
        sums = np.array([sum(scores[list(c)]) for c in combinations(range(len(rows)), case.sum())])
        observed, mean = scores[case].sum(), sums.mean()
        assert test.statistic == pytest.approx(observed)
        assert test.mean == pytest.approx(mean, abs=1e-9)
        assert test.variance == pytest.approx(sums.var(), abs=1e-9)
        assert test.greater == pytest.approx((sums >= observed - 1e-9).mean())
        assert test.less == pytest.approx((sums <= observed + 1e-9).mean())
        far = np.abs(sums - mean) >= abs(observed - mean) - 1e-9
        assert test.two_sided == pytest.approx(far.mean())


@settings(max_examples=30)
@given(st.integers(2, 25), st.integers(2, 25), st.integers(0, 2**32 - 1))
def test_without_ties_it_is_scipys_exact_test(m, n, seed):
    values = np.random.default_rng(seed).permutation(m + n).astype(float)
    case = np.arange(m + n) < m
    for side in ("greater", "less"):
        expected = stats.mannwhitneyu(values[case], values[~case], alternative=side, method="exact")
        assert getattr(rank_sum(values, case), side) == pytest.approx(expected.pvalue, rel=1e-9)
