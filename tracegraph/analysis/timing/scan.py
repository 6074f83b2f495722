"""The stretch of the building order in which claims came too often.

Every hull expects claims according to how long it was followed, so that young hulls at the
end of the order do not look healthy and a full early year does not look bad. The scan asks
of every stretch from one case to another how much better the claims are explained when the
rate inside differs from that outside.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.special import xlogy

from tracegraph.stats.arrays import Floats, Ints

FEWEST_CASES = 3
"""Cases that make a stretch; two neighbours by chance are no onset."""

NARROW_DROP = 1.92
"""Half of the 95 % point of chi-square with one degree of freedom. An edge is no smooth
parameter: limits this wide held the true start in 80 % of simulated rows."""

WIDE_DROP = 3.5
"""Log-likelihood within which the true start lay in 95 % of simulated rows."""


@dataclass(frozen=True, eq=False)
class Line:
    """Hulls in a row, with the claims that each expects.

    Parameters
    ----------
    place : array of int, shape (h,)
        Place of each hull in the row, from 0; hulls that cannot be told apart in time
        share one. -1 for hulls that do not take part.
    before : array of float, shape (p + 1,)
        Expected claims before each place, and all of them.
    """

    place: Ints
    before: Floats

    @classmethod
    def of(cls, when: Floats, expected: Floats) -> Line:
        """Put hulls in order.

        Parameters
        ----------
        when : array of float, shape (h,)
            Time of each hull; nan: takes no part.
        expected : array of float, shape (h,)
            Claims expected of each.

        Examples
        --------
        >>> line = Line.of(np.array([5.0, 3.0, 5.0, np.nan]), np.array([0.5, 1.0, 0.25, 0.0]))
        >>> line.place, line.before
        (array([ 1,  0,  1, -1]), array([0.  , 1.  , 1.75]))
        """
        known = np.isfinite(when)
        place = np.full(len(when), -1)
        times, place[known] = np.unique(when[known], return_inverse=True)
        each = np.bincount(place[known], weights=expected[known], minlength=len(times))
        return cls(place, np.concatenate([[0.0], np.cumsum(each)]))

    @property
    def places(self) -> int:
        """Number of places."""
        return len(self.before) - 1

    @property
    def total(self) -> float:
        """Claims expected in all: the number of cases."""
        return float(self.before[-1])


@dataclass(frozen=True)
class Stretch:
    """One stretch of a row.

    Parameters
    ----------
    first, last : int
        Places at which it begins and ends, both inside.
    observed : int
        Cases inside.
    expected : float
        Expected inside when the rate is the same everywhere.
    gain : float
        Log-likelihood gained over one rate everywhere.
    """

    first: int
    last: int
    observed: int
    expected: float
    gain: float

    def rate_ratio(self, cases: int) -> float:
        """Rate inside over rate outside; infinite without a case outside."""
        if self.observed == cases:
            return float("inf")
        inside = self.observed / self.expected
        return inside * (cases - self.expected) / (cases - self.observed)


def gain(observed: Floats | Ints, expected: Floats, cases: int | Ints) -> Floats:
    """Log-likelihood gained when a part has a rate of its own; 0 where it has no excess.

    Parameters
    ----------
    observed, expected : array
        Cases in the part, and those expected there.
    cases : int or array of int
        All cases.

    Returns
    -------
    array of float
        ``O ln(O/E) + (C-O) ln((C-O)/(C-E))``.

    References
    ----------
    .. [1] M. Kulldorff, Communications in Statistics 26:1481-1496, 1997 (from memory).

    Examples
    --------
    >>> gain(np.array([8, 2]), np.array([4.0, 4.0]), 10).round(3)
    array([3.348, 0.   ])
    """
    o, e = np.asarray(observed, np.float64), np.asarray(expected, np.float64)
    rest, rest_expected = cases - o, np.maximum(cases - e, 1e-300)
    value = xlogy(o, o / np.maximum(e, 1e-300)) + xlogy(rest, rest / rest_expected)
    return np.where(o > e, value, 0.0)


class Scan:
    """All stretches of a row that begin and end with a case.

    A stretch that reaches beyond its outer cases expects more and holds no more, so none
    of those can be better.

    Parameters
    ----------
    line : Line
        The row.
    cases : int
        Number of cases; every sample holds as many.
    """

    def __init__(self, line: Line, cases: int) -> None:
        self.line = line
        self.cases = cases
        first, last = np.triu_indices(cases, FEWEST_CASES - 1)
        self._first, self._last = first.astype(np.int32), last.astype(np.int32)
        self._inside = (last - first + 1).astype(np.float64)
        self._outside = cases - self._inside
        self._fixed = xlogy(self._inside, self._inside) + xlogy(self._outside, self._outside)

    def gains(self, places: Ints) -> Floats:
        """Gain of every stretch of one sample, its places ascending; 0 without excess."""
        expected = self.line.before[places + 1][self._last] - self.line.before[places][self._first]
        value = self._fixed - self._inside * np.log(expected)
        value -= self._outside * np.log(np.maximum(self.cases - expected, 1e-300))
        return np.where(self._inside > expected, value, 0.0)

    def best(self, places: Ints) -> Stretch | None:
        """The best stretch of one sample, its places ascending; the earliest among equals."""
        if not len(self._first):
            return None
        gains = self.gains(places)
        top = float(gains.max())
        if top <= 0.0:
            return None
        number = int(np.flatnonzero(gains >= top - 1e-9)[0])
        first, last = int(places[self._first[number]]), int(places[self._last[number]])
        return self.stretch(places, first, last)

    def stretch(self, places: Ints, first: int, last: int) -> Stretch:
        """One stretch by its ends."""
        inside = int(((places >= first) & (places <= last)).sum())
        expected = float(self.line.before[last + 1] - self.line.before[first])
        size = float(gain(np.array([inside]), np.array([expected]), self.cases)[0])
        return Stretch(first, last, inside, expected, size)

    def best_step(self, places: Ints) -> Stretch | None:
        """The best stretch that reaches to the end of the row."""
        gains = self._step_gains(places[None, :])[0]
        if not len(gains) or gains.max() <= 0.0:
            return None
        first = int(places[int(np.argmax(gains))])
        return self.stretch(places, first, self.line.places - 1)

    def largest(self, samples: Ints) -> tuple[Floats, Floats]:
        """Largest gain of any stretch, and of any that reaches to the end, by sample.

        Parameters
        ----------
        samples : array of int, shape (b, c)
            Places of the cases of each sample, ascending.
        """
        steps = self._step_gains(samples).max(axis=1, initial=0.0)
        if not len(self._first):
            return np.zeros(len(samples)), steps
        return np.array([self.gains(row).max() for row in samples]), steps

    def _step_gains(self, samples: Ints) -> Floats:
        starts = max(0, self.cases - FEWEST_CASES + 1)
        observed = self.cases - np.arange(starts)
        expected = self.line.total - self.line.before[samples[:, :starts]]
        return gain(np.broadcast_to(observed, expected.shape), expected, self.cases)

    def limits(
        self, places: Ints, best: Stretch, drop: float
    ) -> tuple[tuple[int, int], tuple[int, int]]:
        """Where the best stretch may begin and end.

        Parameters
        ----------
        places : array of int, shape (c,)
            Places of the cases, ascending.
        best : Stretch
            The best stretch.
        drop : float
            How much less log-likelihood is let pass.

        Returns
        -------
        start, end : tuple of int
            Earliest and latest place at which a stretch begins (ends) whose gain, with
            the best other end, is within ``drop`` of the best.
        """
        floor = best.gain - drop
        start = _within(places, self.line.before, self.cases, floor)
        mirrored = self.line.total - self.line.before[::-1]
        last = self.line.places - 1
        end = _within(last - places[::-1], mirrored, self.cases, floor)
        return start, (last - end[1], last - end[0])


def _within(places: Ints, before: Floats, cases: int, floor: float) -> tuple[int, int]:
    """Earliest and latest place from which some stretch gains at least ``floor``.

    Between two cases a later start is better, so a gap between them is looked at only when
    its last place passes.
    """
    ends = before[places + 1]
    found: list[int] = []
    previous = -1
    for number, place in enumerate(places[: cases - FEWEST_CASES + 1].tolist()):
        if place == previous:
            continue
        starts = np.arange(previous + 1, place + 1)
        previous = place
        observed = np.arange(FEWEST_CASES, cases - number + 1)
        reach = ends[number + FEWEST_CASES - 1 :]
        if gain(observed, reach - before[place], cases).max() < floor - 1e-9:
            continue
        low, high = 0, len(starts) - 1  # gains rise with the start: find the first that passes
        while low < high:
            middle = (low + high) // 2
            gains = gain(observed, reach - before[starts[middle]], cases)
            if gains.max() >= floor - 1e-9:
                high = middle
            else:
                low = middle + 1
        found += [int(starts[low]), place]
    return min(found), max(found)


@dataclass(frozen=True)
class Chance:
    """How likely a gain is when nothing happened.

    Parameters
    ----------
    p_value : float
        Share of resamples that gain as much.
    p_gumbel : float
        The same by a fitted extreme-value law, for when no resample gains as much.
    """

    p_value: float
    p_gumbel: float


@dataclass(frozen=True, eq=False)
class NullGains:
    """Gains of the best of one shape when nothing happened.

    Parameters
    ----------
    gains : array of float, shape (b,)
        Largest gain of each resample.
    """

    gains: Floats

    def chance(self, observed: float) -> Chance:
        """Chance of a gain, both ways."""
        return Chance(self.p_value(observed), self.p_gumbel(observed))

    def p_value(self, observed: float) -> float:
        """Share of resamples with as large a gain, the observed one counted among them."""
        hits = int((self.gains >= observed - 1e-9).sum())
        return (hits + 1) / (len(self.gains) + 1)

    @cached_property
    def _gumbel(self) -> tuple[float, float]:
        scale = float(self.gains.std(ddof=1)) * np.sqrt(6.0) / np.pi
        return float(self.gains.mean()) - np.euler_gamma * scale, scale

    def p_gumbel(self, observed: float) -> float:
        """Chance of so large a gain by the extreme-value law fitted to the resamples.

        Reaches below one over the number of resamples; a smooth guess there, no count.

        References
        ----------
        .. [1] A. M. Abrams, K. Kleinman and M. Kulldorff, International Journal of Health
           Geographics 9:61, 2010 (abstract).
        """
        place, scale = self._gumbel
        if scale <= 0.0:
            return self.p_value(observed)
        return float(-np.expm1(-np.exp(-(observed - place) / scale)))
