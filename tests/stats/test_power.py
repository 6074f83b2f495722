import itertools
import math

import pytest
from scipy import stats

from tracegraph.stats.power import fisher_power, smallest_detectable_share


# Exact unconditional power, by summing binomial products over all pairs of counts. The manual of
# R statmod::power.fisher.test states "70 %" for the first, from 100 simulations.
@pytest.mark.parametrize(
    ("p1", "p2", "n1", "n2", "alpha", "alternative", "power"),
    [
        (0.5, 0.9, 20, 20, 0.05, "two-sided", 0.742388783911),
        (0.5, 0.9, 20, 20, 0.05, "less", 0.837475768126),
        (0.5, 0.5, 20, 20, 0.05, "two-sided", 0.020447087263),
        (0.2, 0.2, 10, 10, 0.05, "two-sided", 0.007555178787),
        (0.10, 0.03, 60, 940, 0.05, "greater", 0.666401640),
        (0.10, 0.03, 60, 940, 0.05 / 50, "greater", 0.209239686),
    ],
)
def test_published_power(p1, p2, n1, n2, alpha, alternative, power):
    got = fisher_power(p1, p2, n1, n2, alpha=alpha, alternative=alternative)
    assert got == pytest.approx(power, rel=1e-8)


def test_by_brute_force():
    p1, p2, n1, n2 = 0.4, 0.1, 7, 9
    total = 0.0
    for x, y in itertools.product(range(n1 + 1), range(n2 + 1)):
        if stats.fisher_exact([[x, n1 - x], [y, n2 - y]], alternative="greater").pvalue <= 0.05:
            total += stats.binom.pmf(x, n1, p1) * stats.binom.pmf(y, n2, p2)
    assert fisher_power(p1, p2, n1, n2) == pytest.approx(total, rel=1e-9)


def test_certain_and_impossible_shares():
    assert fisher_power(1.0, 0.0, 5, 5) == pytest.approx(1.0)
    assert fisher_power(0.0, 0.0, 5, 5) == 0.0


def test_smallest_detectable_share_is_the_smallest():
    share = smallest_detectable_share(0.03, 60, 940)
    assert fisher_power(share, 0.03, 60, 940) >= 0.8
    assert fisher_power(share - 0.001, 0.03, 60, 940) < 0.8


def test_a_lot_of_one_hull_can_never_be_found():
    assert math.isnan(smallest_detectable_share(0.10, 1, 200))
