"""Distributions on counts that one parameter tilts, and the limits of that parameter.

At parameter theta the probability of x is proportional to ``w(x) exp(theta x)``. With
hypergeometric weights theta is the log odds ratio of a 2x2 table; with the weights of a sum
of unequal yes/no variables it is the log rate ratio. Only families of such sums are meant:
their tails obey Chernoff's bounds, and cutting them off narrows them.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.special import ndtri

from tracegraph.stats.arrays import Bools, Floats, Ints

_NEGLIGIBLE = 30.0  # minus the log of the probability a window may leave out, per side


def check_confidence(confidence: float) -> float:
    """Return what the confidence leaves over, after checking that it is a share.

    Parameters
    ----------
    confidence : float
        Strictly between 0 and 1.

    Returns
    -------
    float
        ``1 - confidence``.

    Raises
    ------
    ValueError
        If it is anything else, such as a percentage.
    """
    if not 0.0 < confidence < 1.0:
        raise ValueError(
            f"confidence must lie between 0 and 1, such as 0.95; got {confidence!r}. "
            "Give a share, not a percentage."
        )
    return 1.0 - confidence


def reach(can_fall: Ints, can_rise: Ints, alpha: float) -> tuple[Ints, Ints]:
    """Tell how far from the observed count probability can matter between the limits.

    Parameters
    ----------
    can_fall, can_rise : array of int, shape (n,)
        Steps from the observed count down to the smallest and up to the largest.
    alpha : float
        What the confidence leaves over.

    Returns
    -------
    down, up : array of int, shape (n,)
        Steps to keep. At every parameter between the limits, at most 1e-13 of the
        probability lies beyond them on either side.
    """
    down = np.minimum(_reach_down(can_fall, alpha), _reach_up(can_rise, alpha))
    up = np.minimum(_reach_up(can_fall, alpha), _reach_down(can_rise, alpha))
    return np.minimum(down, can_fall), np.minimum(up, can_rise)


def _reach_up(count: Ints, alpha: float) -> Ints:
    """How far above ``count`` successes probability can lie at the upper limit.

    For a sum of independent yes/no variables with mean m, P(sum <= s) is at most
    exp(-(m - s)^2 / 2m): that bounds the mean at the upper limit, and
    P(sum >= m + t) <= exp(-t^2 / (2m + 2t/3)) bounds what lies beyond.
    """
    log_alpha = np.log(2.0 / alpha)
    mean = count + log_alpha + np.sqrt(log_alpha**2 + 2.0 * log_alpha * count)
    third = _NEGLIGIBLE / 3.0
    beyond = mean + third + np.sqrt(third**2 + 2.0 * _NEGLIGIBLE * mean)
    result: Ints = np.ceil(beyond - count).astype(np.int64)
    return result


def _reach_down(count: Ints, alpha: float) -> Ints:
    """How far below ``count`` successes probability can lie at the lower limit.

    The same two bounds with their sides exchanged.
    """
    third = 2.0 * np.log(2.0 / alpha) / 3.0
    mean = np.maximum(0.0, count + third - np.sqrt(third**2 + 3.0 * third * count))
    beyond = mean - np.sqrt(2.0 * _NEGLIGIBLE * mean)
    result: Ints = np.ceil(count - beyond).astype(np.int64)
    return result


class TiltedFamilies:
    """Many families of distributions, laid end to end, seen from their observed counts.

    Offset 0 is the observed count itself.

    Parameters
    ----------
    log_weight : array of float
        Log weights of the offsets ``-down`` to ``up`` of the first family, then of the
        second, and so on; any constant per family may be added.
    down, up : array of int, shape (n,)
        Steps kept on either side.
    can_fall, can_rise : array of int, shape (n,)
        Steps that exist on either side.
    """

    def __init__(
        self, log_weight: Floats, down: Ints, up: Ints, can_fall: Ints, can_rise: Ints
    ) -> None:
        self.down, self.up, self.can_fall, self.can_rise = down, up, can_fall, can_rise
        self.size = down + up + 1
        self.start = np.cumsum(self.size) - self.size
        self.own = self.start + down
        self.offset = offsets(down, up).astype(np.float64)
        self.log_weight = log_weight - np.repeat(log_weight[self.own], self.size)
        # Two neighbouring pieces per family: below the observed count, and from it upwards.
        self._cuts = np.column_stack([self.start, self.own]).ravel()

    def __len__(self) -> int:
        return len(self.size)

    def weights(self, theta: Floats) -> Floats:
        """Probabilities at ``theta``, up to a factor per family."""
        weight: Floats = self.log_weight + np.repeat(theta, self.size) * self.offset
        weight -= np.repeat(np.maximum.reduceat(weight, self.start), self.size)
        return np.exp(weight, out=weight)

    def totals(self, values: Floats) -> Floats:
        """Sum values over each family."""
        result: Floats = np.add.reduceat(values, self.start)
        return result

    def pieces(self, values: Floats) -> tuple[Floats, Floats]:
        """Sum values below the observed count, and from it upwards."""
        sums = np.add.reduceat(values, self._cuts)
        return np.where(self.down > 0, sums[0::2], 0.0), sums[1::2]


def offsets(down: Ints, up: Ints) -> Ints:
    """Offsets ``-down`` to ``up`` of every family, laid end to end.

    Examples
    --------
    >>> offsets(np.array([1, 0]), np.array([2, 1]))
    array([-1,  0,  1,  2,  0,  1])
    """
    size = down + up + 1
    own = np.cumsum(size) - size + down
    result: Ints = np.arange(int(size.sum()), dtype=np.int64) - np.repeat(own, size)
    return result


def estimate_and_limits(families: TiltedFamilies, rough: Floats, alpha: float) -> Floats:
    """Maximum likelihood estimate, exact limits and mid-p limits of the parameter.

    Parameters
    ----------
    families : TiltedFamilies
        At least one family; the observed count at offset 0.
    rough : array of float, shape (n,)
        A finite guess of the parameter.
    alpha : float
        What the confidence leaves over; each limit leaves half of it in one tail.

    Returns
    -------
    array of float, shape (5, n)
        Estimate, lower and upper exact limit, lower and upper mid-p limit. Minus
        infinity for estimate and lower limits where the count cannot fall, plus
        infinity for estimate and upper limits where it cannot rise; the other limit
        then still leaves half of ``alpha``.
    """
    fall, rise = families.can_fall > 0, families.can_rise > 0
    z = -float(ndtri(alpha / 2.0))
    spread = z * np.sqrt(1.0 / (families.can_fall + 0.5) + 1.0 / (families.can_rise + 0.5))
    result = np.empty((5, len(families)))
    inside = find_roots(rough, fall & rise, lambda theta: _mean_gap(families, theta))
    result[0] = np.where(fall & rise, inside, np.where(rise, -np.inf, np.inf))
    for row, own_share in ((1, 1.0), (3, 0.5)):
        low = find_roots(rough - spread, fall, _upper_tail_gap(families, alpha, own_share))
        high = find_roots(rough + spread, rise, _lower_tail_gap(families, alpha, own_share))
        result[row] = np.where(fall, low, -np.inf)
        result[row + 1] = np.where(rise, high, np.inf)
    return result


def find_roots(
    start: Floats, where: Bools, gap: Callable[[Floats], tuple[Floats, Floats]]
) -> Floats:
    """Find the roots of many rising functions together.

    Parameters
    ----------
    start : array of float, shape (n,)
        First guesses, finite.
    where : array of bool, shape (n,)
        Which functions to solve; the other entries of ``start`` come back unchanged.
    gap : callable
        Gives values and slopes of all functions at an array of arguments. Values may be
        infinite; a slope of 0 or nan only slows the search down; a value of nan ends
        it, and the root is nan.

    Returns
    -------
    array of float, shape (n,)
        Roots. Newton's method inside a bracket that every evaluation narrows; where a
        step leaves the bracket, or fails to halve the step before, the bracket is
        halved instead. Ends when the last step is below 1e-8, which leaves an error of
        about its square.
    """
    root, active = start.copy(), where.copy()
    low, high = np.full(len(root), -np.inf), np.full(len(root), np.inf)
    last, longest = np.full(len(root), np.inf), 2.0
    while active.any():
        value, slope = gap(root)
        high = np.where(value > 0.0, root, high)
        low = np.where(value > 0.0, low, root)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = value / slope
        step = np.where(np.isnan(step), np.copysign(longest, value), step)
        step = np.clip(step, -longest, longest)
        outside = (root - step < low) | (root - step > high)
        halve = (outside | (np.abs(step) > 0.5 * last)) & np.isfinite(low) & np.isfinite(high)
        step[halve] = root[halve] - 0.5 * (low[halve] + high[halve])
        step = np.where(np.isnan(value), np.nan, step)
        root = np.where(active, root - step, root)
        last = np.abs(step)
        active &= last > 1e-8
        longest *= 2.0
    return root


def _mean_gap(families: TiltedFamilies, theta: Floats) -> tuple[Floats, Floats]:
    """Logit of the mean less that of the observed count; close to linear."""
    weight = families.weights(theta)
    total = families.totals(weight)
    weight *= families.offset
    mean = families.totals(weight) / total
    weight *= families.offset
    variance = families.totals(weight) / total - mean**2
    fall, rise = families.can_fall, families.can_rise
    below, above = mean + fall, rise - mean
    with np.errstate(divide="ignore", invalid="ignore"):
        gap = np.log(below / above) - np.log(fall / rise)
        slope: Floats = variance * (fall + rise) / (below * above)
    return gap, slope


def _upper_tail_gap(
    families: TiltedFamilies, alpha: float, own_share: float
) -> Callable[[Floats], tuple[Floats, Floats]]:
    """Log of the tail from the observed count upwards, less the log of ``alpha / 2``."""

    def gap(theta: Floats) -> tuple[Floats, Floats]:
        weight = families.weights(theta)
        below, above = families.pieces(weight)
        tail = above - (1.0 - own_share) * weight[families.own]
        weight *= families.offset
        moment_below, moment_above = families.pieces(weight)
        mean = (moment_below + moment_above) / (below + above)
        with np.errstate(divide="ignore", invalid="ignore"):
            slope: Floats = moment_above / tail - mean
            return np.log(tail / (below + above)) - np.log(alpha / 2.0), slope

    return gap


def _lower_tail_gap(
    families: TiltedFamilies, alpha: float, own_share: float
) -> Callable[[Floats], tuple[Floats, Floats]]:
    """Log of ``alpha / 2``, less the log of the tail from the observed count downwards."""

    def gap(theta: Floats) -> tuple[Floats, Floats]:
        weight = families.weights(theta)
        below, above = families.pieces(weight)
        tail = below + own_share * weight[families.own]
        weight *= families.offset
        moment_below, moment_above = families.pieces(weight)
        mean = (moment_below + moment_above) / (below + above)
        with np.errstate(divide="ignore", invalid="ignore"):
            slope: Floats = mean - moment_below / tail
            return np.log(alpha / 2.0) - np.log(tail / (below + above)), slope

    return gap
