"""Observed against expected exposed cases, when every case has its own chance.

Under no effect, case i is exposed with the share of its own risk set that is exposed, so the
number of exposed cases is a sum of unequal yes/no variables (Poisson-binomial). A rate
ratio tilts every chance alike: ``p`` becomes ``p psi / (1 + p (psi - 1))``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.special import expit, logit

from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.tilting import (
    TiltedFamilies,
    check_confidence,
    estimate_and_limits,
    find_roots,
    offsets,
    reach,
)

_LN10 = float(np.log(10.0))
_CELLS = 2**16


@dataclass(frozen=True, eq=False)
class CountTests:
    """Exact tests of many observed counts; every array has one entry per count.

    Parameters
    ----------
    expected : array of float, shape (n,)
        Mean count under no effect.
    greater, less, two_sided : array of float, shape (n,)
        Probability of a count at least, at most as large as the observed one, and twice
        the smaller of the two, at most 1.
    mid_p_greater, mid_p_less, mid_p : array of float, shape (n,)
        The same with the observed count taken by half.
    log10_greater, log10_less, log10_two_sided : array of float, shape (n,)
        Decimal logarithms, which never underflow.
    testable : array of bool, shape (n,)
        False where every chance is 0 or 1, so that only one count is possible; the
        p-values are then 1.
    """

    expected: Floats
    greater: Floats
    less: Floats
    two_sided: Floats
    mid_p_greater: Floats
    mid_p_less: Floats
    mid_p: Floats
    log10_greater: Floats
    log10_less: Floats
    log10_two_sided: Floats
    testable: Bools


@dataclass(frozen=True, eq=False)
class RateRatios:
    """Rate ratios of many observed counts; every array has one entry per count.

    Parameters
    ----------
    ratio : array of float, shape (n,)
        Maximum likelihood estimate: the ratio at which the expected count equals the
        observed one; 0 or infinite at the ends, nan where nothing is testable.
    low, high : array of float, shape (n,)
        Exact limits; 0 or infinite where the ratio is, the other limit then still
        leaving half of ``1 - confidence``.
    mid_p_low, mid_p_high : array of float, shape (n,)
        The shorter limits that take the observed count by half.
    confidence : float
        Confidence of both pairs of limits.
    """

    ratio: Floats
    low: Floats
    high: Floats
    mid_p_low: Floats
    mid_p_high: Floats
    confidence: float


@dataclass(frozen=True, eq=False)
class CaseCounts:
    """Observed exposed cases of many levels, with the chances of their cases.

    Parameters
    ----------
    observed : array of int, shape (n,)
        Exposed cases of each level.
    chance : array of float, shape (n, m)
        Chance under no effect that a case is exposed, in [0, 1]; one column for each
        group of cases with one chance (such as one month in service).
    cases : array of int, shape (n, m) or (m,)
        Number of cases in each group, 0 or more. One row serves all levels.

    Raises
    ------
    ValueError
        If shapes disagree, a chance lies outside [0, 1], or an observed count is not
        possible.

    Notes
    -----
    The probabilities come from the recursion over cases, run at the tilt that makes the
    observed count the mean. Every term is then a sum of positive numbers of ordinary
    size, and tails far below the smallest float keep their relative precision.

    References
    ----------
    .. [1] S. X. Chen and J. S. Liu, Statistica Sinica 7:875-892, 1997.
    .. [2] D. R. Cox, Biometrika 62:269-276, 1975 (the likelihood of risk sets).

    Examples
    --------
    Two cases with chances 0.1 and 0.2, both exposed: p = 0.1 x 0.2.

    >>> level = CaseCounts([2], [[0.1, 0.2]], [1, 1])
    >>> level.tests().greater.round(6)
    array([0.02])
    >>> level.rate_ratios().ratio
    array([inf])
    """

    observed: Ints
    chance: Floats
    cases: Ints

    def __post_init__(self) -> None:
        observed = np.asarray(self.observed, np.int64)
        chance = np.asarray(self.chance, np.float64)
        if chance.ndim != 2 or observed.shape != chance.shape[:1]:
            raise ValueError(
                f"chance must have one row per observed count; got {chance.shape} for "
                f"{observed.shape}. Put the groups of cases in columns."
            )
        if not ((chance >= 0.0) & (chance <= 1.0)).all():
            raise ValueError("Every chance must lie in [0, 1]. Leave unknown cases out.")
        cases = np.broadcast_to(np.asarray(self.cases, np.int64), chance.shape)
        certain = np.where(chance == 1.0, cases, 0).sum(axis=1)
        possible = np.where(chance > 0.0, cases, 0).sum(axis=1)
        if (cases < 0).any() or ((observed < certain) | (observed > possible)).any():
            raise ValueError(
                "An observed count must lie between the cases certain to be exposed and "
                "those that can be. Count the case itself in its risk set."
            )
        object.__setattr__(self, "observed", observed)
        object.__setattr__(self, "chance", chance)
        object.__setattr__(self, "cases", cases)

    def __len__(self) -> int:
        return len(self.observed)

    @property
    def expected(self) -> Floats:
        """Mean count under no effect, array of float, shape (n,)."""
        result: Floats = (self.chance * self.cases).sum(axis=1)
        return result

    @cached_property
    def _open(self) -> tuple[Floats, Ints, Ints, Ints]:
        """Logits and numbers of the cases that may go either way; steps down and up."""
        either = (self.chance > 0.0) & (self.chance < 1.0)
        logits = logit(np.where(either, self.chance, 0.5))
        cases = np.where(either, self.cases, 0)
        can_fall = self.observed - np.where(self.chance == 1.0, self.cases, 0).sum(axis=1)
        return logits, cases, can_fall, cases.sum(axis=1) - can_fall

    @cached_property
    def testable(self) -> Bools:
        """Where more than one count is possible, array of bool, shape (n,)."""
        _, _, can_fall, can_rise = self._open
        result: Bools = (can_fall + can_rise) > 0
        return result

    def tests(self) -> CountTests:
        """Test every observed count against no effect.

        Returns
        -------
        CountTests
            One entry per level, in the given order.
        """
        which = np.flatnonzero(self.testable)
        columns = np.zeros((4, len(self)))
        for rows in self._blocks(which):
            columns[:, rows] = self._tails(rows)
        greater, less, mid_greater, mid_less = columns
        two = np.minimum(0.0, np.minimum(greater, less) + np.log(2.0))
        mid = np.minimum(0.0, np.minimum(mid_greater, mid_less) + np.log(2.0))
        return CountTests(
            expected=self.expected,
            greater=np.exp(greater),
            less=np.exp(less),
            two_sided=np.exp(two),
            mid_p_greater=np.exp(mid_greater),
            mid_p_less=np.exp(mid_less),
            mid_p=np.exp(mid),
            log10_greater=greater / _LN10 + 0.0,
            log10_less=less / _LN10 + 0.0,
            log10_two_sided=two / _LN10 + 0.0,
            testable=self.testable,
        )

    def rate_ratios(self, *, confidence: float = 0.95) -> RateRatios:
        """Estimate the rate ratio of every level, with exact and mid-p limits.

        Parameters
        ----------
        confidence : float, default 0.95
            Between 0 and 1.

        Returns
        -------
        RateRatios
            One entry per level, in the given order.

        Raises
        ------
        ValueError
            If ``confidence`` is not strictly between 0 and 1.
        """
        alpha = check_confidence(confidence)
        columns = np.full((5, len(self)), np.nan)
        for rows in self._blocks(np.flatnonzero(self.testable)):
            families, _, tilt = self._families(rows, alpha)
            columns[:, rows] = np.exp(estimate_and_limits(families, tilt, alpha))
        ratio, low, high, mid_low, mid_high = columns
        return RateRatios(ratio, low, high, mid_low, mid_high, confidence)

    def _blocks(self, which: Ints) -> list[Ints]:
        """Split levels into blocks of similar and bounded work."""
        if not which.size:
            return []
        _, _, can_fall, can_rise = self._open
        height = np.minimum(can_fall[which] + can_rise[which], 2 * can_fall[which] + 80)
        which = which[np.argsort(height, kind="stable")]
        block = np.cumsum(np.sort(height) + 1) // _CELLS
        return [which[block == number] for number in np.unique(block)]

    def _tails(self, rows: Ints) -> Floats:
        """Natural logs of both tails and both mid-p tails, shape (4, k)."""
        families, log_own, _ = self._families(rows, 0.05)
        up = self.observed[rows] >= self.expected[rows]
        # The near tail falls off; the far one may overflow and is never used.
        below, above = families.pieces(np.exp(np.minimum(families.log_weight, 700.0)))
        own = np.exp(log_own)
        near = np.where(up, above, below + 1.0)
        log_near = np.minimum(0.0, log_own + np.log(near))
        log_near_mid = np.minimum(0.0, log_own + np.log(near - 0.5))
        beyond = own * (near - 1.0)
        log_far = np.log1p(-np.minimum(beyond, 1.0 - own))
        log_far_mid = np.log1p(-np.minimum(beyond + 0.5 * own, 1.0 - 0.5 * own))
        return np.array(
            [
                np.where(up, log_near, log_far),
                np.where(up, log_far, log_near),
                np.where(up, log_near_mid, log_far_mid),
                np.where(up, log_far_mid, log_near_mid),
            ]
        )

    def _families(self, rows: Ints, alpha: float) -> tuple[TiltedFamilies, Floats, Floats]:
        """Distributions of some levels, the log probability of their counts, their tilts."""
        logits, cases, can_fall, can_rise = self._open
        logits, cases, can_fall, can_rise = (
            logits[rows],
            cases[rows],
            can_fall[rows],
            can_rise[rows],
        )
        total = (can_fall + can_rise).astype(np.float64)
        tilt = _tilt_to_mean(logits, cases, np.clip(can_fall, 0.5, total - 0.5) / total)
        tilted = logits + tilt[:, None]
        down, up = reach(can_fall, can_rise, alpha)
        log_pmf = _recursion(tilted, cases, int((can_fall + up).max()))
        step = offsets(down, up)
        column = np.repeat(np.arange(len(rows)), down + up + 1)
        log_weight = log_pmf[step + can_fall[column], column] - tilt[column] * step
        families = TiltedFamilies(log_weight, down, up, can_fall, can_rise)
        # Back to no tilt: log(1 + p (e^tilt - 1)), in a form that neither overflows nor cancels.
        scale = np.logaddexp(0.0, tilted) - np.logaddexp(0.0, logits)
        log_own = log_pmf[can_fall, np.arange(len(rows))] - tilt * can_fall
        return families, log_own + (cases * scale).sum(axis=1), tilt


def _tilt_to_mean(logits: Floats, cases: Ints, share: Floats) -> Floats:
    """Shift of all logits at which a given share of the cases is expected to be exposed."""
    total = cases.sum(axis=1)
    wanted = logit(share)

    def gap(tilt: Floats) -> tuple[Floats, Floats]:
        chance = expit(logits + tilt[:, None])
        mean = (chance * cases).sum(axis=1) / total
        slope = (chance * (1.0 - chance) * cases).sum(axis=1) / total
        with np.errstate(divide="ignore", invalid="ignore"):
            return logit(mean) - wanted, slope / (mean * (1.0 - mean))

    start = wanted - (logits * cases).sum(axis=1) / total
    return find_roots(start, np.ones(len(total), np.bool_), gap)


def _recursion(logits: Floats, cases: Ints, largest: int) -> Floats:
    """Log probabilities of 0 to ``largest`` exposed cases, shape (largest + 1, k)."""
    yes, no = expit(logits), expit(-logits)
    q = np.zeros((largest + 1, len(logits)))
    q[0] = 1.0
    done = 0
    for column in range(logits.shape[1]):
        for number in range(int(cases[:, column].max(initial=0))):
            there = cases[:, column] > number
            done = min(done + 1, largest)
            moved = q[:done] * np.where(there, yes[:, column], 0.0)
            q[: done + 1] *= np.where(there, no[:, column], 1.0)
            q[1 : done + 1] += moved
    with np.errstate(divide="ignore"):
        result: Floats = np.log(q)
    return result
