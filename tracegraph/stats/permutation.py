"""Permutation tests of a measured value in cases against others: rank sum, sum of values.

Given which units there are, every choice of the cases among them is equally likely when the
value does not matter. That law is computed exactly where it can be, else by its normal
approximation.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr
from scipy.stats import rankdata

from tracegraph.stats.arrays import Bools, Floats, Ints

_LARGEST_EXACT = 1000
_LARGEST_WORK = 300_000_000


@dataclass(frozen=True)
class PermutationTest:
    """Result of a permutation test on a sum over the cases.

    Parameters
    ----------
    statistic : float
        Sum over the cases (of ranks or of values).
    mean, variance : float
        Of that sum when every choice of cases is equally likely.
    z : float
        Standardised statistic; 0 when the variance is.
    greater, less, two_sided : float
        Chance of a sum at least, at most as large, and as far from the mean.
    exact : bool
        Whether the p-values are exact.
    cases, others : int
        Units used: those without a value are left out.
    """

    statistic: float
    mean: float
    variance: float
    z: float
    greater: float
    less: float
    two_sided: float
    exact: bool
    cases: int
    others: int


def rank_sum(
    values: ArrayLike,
    is_case: ArrayLike,
    *,
    method: Literal["auto", "exact", "normal"] = "auto",
    continuity: bool = False,
) -> PermutationTest:
    """Wilcoxon's rank sum test with midranks.

    Parameters
    ----------
    values : array of float, shape (n,)
        Measured value of each unit; nan where unknown, and then left out.
    is_case : array of bool, shape (n,)
        Which units are cases.
    method : {"auto", "exact", "normal"}, default "auto"
        "auto" is exact up to a size that takes about a second.
    continuity : bool, default False
        Move the sum half a rank towards its mean in the normal approximation.

    Returns
    -------
    PermutationTest
        ``statistic`` is the rank sum of the cases; Mann and Whitney's U is that less
        ``cases (cases + 1) / 2``.

    References
    ----------
    .. [1] F. Wilcoxon, Biometrics Bulletin 1:80-83, 1945.

    Examples
    --------
    >>> result = rank_sum([1.15, 0.88, 0.90, 2.1], [True, True, True, False])
    >>> result.statistic, result.less
    (6.0, 0.25)
    """
    known, case = _known(values, is_case)
    ranks: Floats = rankdata(known)
    return _test(ranks, np.rint(2 * ranks).astype(np.int64), case, method, 0.5 * continuity)


def value_sum(
    values: ArrayLike,
    is_case: ArrayLike,
    *,
    resolution: float,
    method: Literal["auto", "exact", "normal"] = "auto",
) -> PermutationTest:
    """Permutation test on the sum of the measured values themselves.

    Parameters
    ----------
    values : array of float, shape (n,)
        Measured value of each unit; nan where unknown, and then left out.
    is_case : array of bool, shape (n,)
        Which units are cases.
    resolution : float
        Step of the instrument; values are rounded to it for the exact test.
    method : {"auto", "exact", "normal"}, default "auto"
        As in `rank_sum`.

    Returns
    -------
    PermutationTest
        ``statistic`` is the sum of the cases' values.

    References
    ----------
    .. [1] E. J. G. Pitman, JRSS Supplement 4:119-130, 1937.

    Examples
    --------
    >>> cold = value_sum([53, 57, 66, 81], [True, True, False, False], resolution=1)
    >>> cold.statistic, round(cold.less, 4)
    (110.0, 0.1667)
    """
    known, case = _known(values, is_case)
    steps = np.rint(known / resolution).astype(np.int64)
    return _test(known, steps, case, method, 0.0)


def _known(values: ArrayLike, is_case: ArrayLike) -> tuple[Floats, Bools]:
    """Leave out units without a value."""
    v, case = np.asarray(values, np.float64), np.asarray(is_case, np.bool_)
    keep = ~np.isnan(v)
    return v[keep], case[keep]


def _test(scores: Floats, steps: Ints, case: Bools, method: str, shift: float) -> PermutationTest:
    """Test the sum of scores over the cases; ``steps`` are the scores as integers."""
    n, m = len(scores), int(case.sum())
    statistic = float(scores[case].sum())
    mean = m * float(scores.mean()) if n else 0.0
    differ = n > 0 and float(np.ptp(scores)) > 0.0
    variance = m * (n - m) / n * float(scores.var(ddof=1)) if differ else 0.0
    gap = statistic - mean
    z = gap / variance**0.5 if variance > 0 else 0.0
    few = min(m, n - m)
    span = int((steps.max() - steps.min()) * few) if n else 0
    exact = method == "exact" or (
        method == "auto" and n <= _LARGEST_EXACT and n * few * span <= _LARGEST_WORK
    )
    if variance == 0.0:
        greater = less = two_sided = 1.0
    elif exact:
        greater, less, two_sided = _exact(steps, case)
    else:
        nearer = np.sign(gap) * max(0.0, abs(gap) - shift)
        greater = float(ndtr(-nearer / variance**0.5))
        less = float(ndtr(nearer / variance**0.5))
        two_sided = min(1.0, 2.0 * min(greater, less))
    return PermutationTest(statistic, mean, variance, z, greater, less, two_sided, exact, m, n - m)


def _exact(steps: Ints, case: Bools) -> tuple[float, float, float]:
    """Exact p-values of the sum of integers over the cases."""
    steps = steps - steps.min()
    n, m = len(steps), int(case.sum())
    pick = case if m <= n - m else ~case
    few, observed = int(pick.sum()), int(steps[pick].sum())
    ways = _sums_of_choices(steps, few)
    total = ways.sum()
    sums = np.arange(len(ways))
    # Compare n times the distance from the mean: integers, so ties are exact.
    distance = np.abs(n * sums - few * int(steps.sum()))
    two_sided = float(ways[distance >= distance[observed]].sum() / total)
    above = float(ways[observed:].sum() / total)
    below = float(ways[: observed + 1].sum() / total)
    if pick is case:
        return above, below, two_sided
    return below, above, two_sided


def _sums_of_choices(steps: Ints, few: int) -> Floats:
    """Number of ways to choose ``few`` of the integers, by their sum."""
    largest = int(np.sort(steps)[len(steps) - few :].sum())
    ways = np.zeros((few + 1, largest + 1))
    ways[0, 0] = 1.0
    for done, step in enumerate(steps.tolist(), start=1):
        top = min(done, few)
        if step <= largest:
            ways[1 : top + 1, step:] += ways[:top, : largest + 1 - step].copy()
    chosen: Floats = ways[few]
    return chosen
