"""One test of all levels of a factor together: does it matter at all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtrc

from tracegraph.stats.arrays import Floats, Ints

SMALL_EXPECTED = 5.0
_CELLS = 4_000_000


@dataclass(frozen=True)
class WholeFactorTest:
    """One test of all levels of a factor.

    Parameters
    ----------
    statistic : float
        Sum over levels of ``(a - E)^2 / E`` with its counterpart among the not affected:
        Pearson's chi-square when each unit has one level.
    df : int
        Levels less one.
    p_value : float
        In (0, 1]; 1.0 when fewer than two levels or no contrast.
    method : {"chi-square", "resampled", "not testable"}
        Whether the chi-square law was used or the affected were drawn anew.
    levels, units : int
        How many took part.
    """

    statistic: float
    df: int
    p_value: float
    method: Literal["chi-square", "resampled", "not testable"]
    levels: int
    units: int


def whole_factor_test(
    unit: ArrayLike,
    level: ArrayLike,
    affected: ArrayLike,
    *,
    resamples: int = 1999,
    seed: int = 0,
) -> WholeFactorTest:
    """Test whether the affected are spread over the levels of a factor as all units are.

    Parameters
    ----------
    unit, level : array of int, shape (n,)
        One entry per unit and level that it carries, unique; units numbered from 0.
    affected : array of bool, shape (units,)
        Which units are affected.
    resamples : int, default 1999
        Draws when the chi-square law cannot be trusted.
    seed : int, default 0
        Same seed, same answer.

    Returns
    -------
    WholeFactorTest
        By the chi-square law when every unit carries one level and Cochran's rule holds
        (no expected count below 1, at most a fifth below 5); otherwise by drawing the
        affected anew, all units alike: ``(1 + hits) / (resamples + 1)``.

    References
    ----------
    .. [1] W. G. Cochran, Biometrics 10:417-451, 1954.

    Examples
    --------
    Five lots of 300 diodes, 36, 46, 42, 63 and 38 of them nonconforming
    (NIST/SEMATECH e-Handbook 7.4.5).

    >>> import numpy as np
    >>> bad = np.concatenate([np.arange(300) < k for k in (36, 46, 42, 63, 38)])
    >>> test = whole_factor_test(np.arange(1500), np.repeat(np.arange(5), 300), bad)
    >>> round(test.statistic, 3), test.df, test.method
    (12.131, 4, 'chi-square')
    """
    units = np.asarray(unit, np.int64)
    bad = np.asarray(affected, bool)
    _, levels = np.unique(np.asarray(level), return_inverse=True)
    count = int(levels.max(initial=-1)) + 1
    total, cases = len(bad), int(bad.sum())
    if count < 2 or cases in (0, total):
        return WholeFactorTest(0.0, max(0, count - 1), 1.0, "not testable", count, total)
    carried = np.bincount(levels, minlength=count).astype(np.float64)
    expected = carried * cases / total
    rest = expected * (total - cases) / cases

    def statistic(observed: Floats) -> Floats:
        gap = (observed - expected) ** 2
        result: Floats = (gap / expected + gap / rest).sum(axis=-1)
        return result

    carriers = bad[units].astype(np.float64)
    observed = np.bincount(levels, weights=carriers, minlength=count).astype(np.float64)
    value = float(statistic(observed))
    cells = np.concatenate([expected, rest])
    single = len(units) == total == len(np.unique(units))
    if single and cells.min() >= 1.0 and (cells < SMALL_EXPECTED).mean() <= 0.2:
        p = float(chdtrc(count - 1, value))
        return WholeFactorTest(value, count - 1, p, "chi-square", count, total)
    draws = _drawn_counts(units, levels, total, cases, count, resamples, seed)
    hits = sum(int((statistic(block) >= value * (1.0 - 1e-9)).sum()) for block in draws)
    return WholeFactorTest(
        value, count - 1, (1 + hits) / (resamples + 1), "resampled", count, total
    )


def _drawn_counts(
    units: Ints, levels: Ints, total: int, cases: int, count: int, resamples: int, seed: int
) -> list[Floats]:
    """Affected per level in each draw, in blocks of shape (draws, levels)."""
    order = np.argsort(units, kind="stable")
    by_unit, levels = units[order], levels[order]
    start = np.searchsorted(by_unit, np.arange(total))
    length = np.searchsorted(by_unit, np.arange(total), side="right") - start
    rng = np.random.default_rng(seed)
    blocks = []
    left = resamples
    while left:
        size = min(left, max(1, _CELLS // max(count, cases)))
        drawn = np.concatenate(
            [rng.choice(total, cases, replace=False, shuffle=False) for _ in range(size)]
        )
        row = np.repeat(np.arange(size), cases)
        reach = length[drawn]
        ends = np.cumsum(reach)
        offset = np.arange(ends[-1] if len(ends) else 0) - np.repeat(ends - reach, reach)
        cell = levels[np.repeat(start[drawn], reach) + offset]
        key = np.repeat(row, reach) * count + cell
        blocks.append(
            np.bincount(key, minlength=size * count).astype(np.float64).reshape(size, count)
        )
        left -= size
    return blocks
