"""Build windows as rival suspects of whatever was used in them.

Whatever changed unrecorded for some weeks raises all that was used in those weeks. A
suspect is more specific than its time only when no window of building explains the claims
as well, and not the stretch of building that looks most like it either.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.matched.population import (
    COMPLETE,
    DOES_NOT_APPLY,
    INCOMPLETE,
    ExposureMatrix,
)
from tracegraph.analysis.matched.risk import RiskSets
from tracegraph.analysis.matched.scores import (
    Baseline,
    log_factors,
    log_likelihoods,
    quick_log_factors,
)
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.bayes_factor import RATIOS

WIDTHS_WEEKS = (1, 2, 3, 4, 6, 8, 10, 13)
"""Widths of the windows tried."""

STARTS_PER_WIDTH = 4
"""Windows of one width begin every quarter of it."""

_FINALISTS = 48
_DAYS = 7.0
_TRIMMED = 0.2


@dataclass(frozen=True, eq=False)
class Windows:
    """Build windows that explain the claims, best first.

    Parameters
    ----------
    first_day, last_day : array of float, shape (n,)
        Days from which and to which (not included) each window reaches.
    log_factor : array of float, shape (n,)
        Log Bayes factor of each as the cause.
    clock : array of int, shape (n,)
        By which of the given days each window was cut.
    tried : int
        Windows tried.
    """

    first_day: Floats
    last_day: Floats
    log_factor: Floats
    clock: Ints
    tried: int

    @property
    def best(self) -> float:
        """Largest log Bayes factor; minus infinity without any window."""
        return float(self.log_factor[0]) if len(self.log_factor) else -np.inf


@dataclass(frozen=True)
class Stretch:
    """The stretch of building that looks most like a level.

    Attributes
    ----------
    first_day, last_day : float
        Days of its first and last hull.
    jaccard : float
        Hulls of the stretch that carry the level, of those in either. From 0.9 on the
        records cannot tell the level from the stretch, whatever the claims say.
    """

    first_day: float
    last_day: float
    jaccard: float


def own_stretch(carried: Bools, known: Bools, day: Floats) -> Stretch | None:
    """Find the stretch of building that looks most like a level.

    Parameters
    ----------
    carried, known : array of bool, shape (h,)
        Hulls that carry the level, and of which that is known.
    day : array of float, shape (h,)
        Day of the work on each hull; nan where not recorded.

    Returns
    -------
    Stretch or None
        From one of the first to one of the last fifth of its hulls; None without any.
    """
    usable = np.flatnonzero(known & np.isfinite(day))
    order = usable[np.argsort(day[usable], kind="stable")]
    place = np.flatnonzero(carried[order])
    count = len(place)
    if count == 0:
        return None
    edge = max(1, int(np.ceil(count * _TRIMMED)))
    first, last = np.arange(min(edge, count)), np.arange(max(count - edge, 0), count)
    inside = last[None, :] - first[:, None] + 1
    length = place[last][None, :] - place[first][:, None] + 1
    share = np.where(inside > 0, inside / (length + count - np.maximum(inside, 0)), 0.0)
    low, high = np.unravel_index(int(np.argmax(share)), share.shape)
    ends = order[place[first[low]]], order[place[last[high]]]
    return Stretch(float(day[ends[0]]), float(day[ends[1]]), float(share[low, high]))


def window_matrix(day: Floats, known: Bools) -> tuple[ExposureMatrix, Floats, Floats]:
    """Windows of building as levels of one family.

    Parameters
    ----------
    day : array of float, shape (h,)
        Day of the work on each hull; nan where not recorded.
    known : array of bool, shape (h,)
        Hulls that take part.

    Returns
    -------
    matrix : ExposureMatrix
        One family; hulls without a day are unknown.
    first_day, last_day : array of float
        Edges of the windows.
    """
    dated = known & np.isfinite(day)
    hulls = np.flatnonzero(dated)
    order = hulls[np.argsort(day[hulls], kind="stable")]
    days = day[order]
    starts, ends = [], []
    if len(order):
        origin, end = np.floor(days[0]), days[-1]
        for weeks in WIDTHS_WEEKS:
            width = weeks * _DAYS
            step = width / STARTS_PER_WIDTH
            begin = np.arange(origin - width + step, end + step, step)
            starts.append(begin)
            ends.append(begin + width)
    first = np.concatenate(starts) if starts else np.zeros(0)
    last = np.concatenate(ends) if ends else np.zeros(0)
    low, high = np.searchsorted(days, first), np.searchsorted(days, last)
    filled = high > low
    first, last, low, high = first[filled], last[filled], low[filled], high[filled]
    size = high - low
    level = np.repeat(np.arange(len(size)), size)
    place = np.arange(len(level)) - np.repeat(np.cumsum(size) - size, size) + low[level]
    record = np.where(dated, COMPLETE, np.where(known, INCOMPLETE, DOES_NOT_APPLY))[None, :]
    matrix = ExposureMatrix.from_rows(level, order[place], np.zeros(len(size), np.int64), record)
    return matrix, first, last


def stretch_factor(
    sets: RiskSets,
    baseline: Baseline,
    stretches: tuple[Stretch | None, ...],
    days: tuple[Floats, ...],
    known: Bools,
) -> float:
    """Log Bayes factor of a suspect's own stretch of building as the cause.

    A lot used without a break is the same hulls as its days of building, and no window of
    fixed width has just its edges.

    Parameters
    ----------
    sets, baseline, days, known
        As in :func:`best_windows`.
    stretches : tuple of Stretch or None
        From :func:`own_stretch`, by each of the clocks.

    Returns
    -------
    float
        By the clock that speaks most for it; minus infinity without any stretch.
    """
    best = -np.inf
    for stretch, day in zip(stretches, days, strict=True):
        if stretch is None:
            continue
        dated = known & np.isfinite(day)
        inside = dated & (day >= stretch.first_day) & (day <= stretch.last_day)
        record = np.where(dated, COMPLETE, np.where(known, INCOMPLETE, DOES_NOT_APPLY))
        rival = RiskSets(sets.population, ExposureMatrix.of_one_level(inside, record), sets.groups)
        tables = rival.tables(np.array([0]))
        best = max(best, float(log_factors(log_likelihoods(baseline, tables, RATIOS))[0]))
    return best


def best_windows(
    sets: RiskSets, baseline: Baseline, days: tuple[Floats, ...], known: Bools
) -> Windows:
    """Score all windows of building as causes.

    Parameters
    ----------
    sets : RiskSets
        The risk sets.
    baseline : Baseline
        Weights under no cause, earlier causes already set aside.
    days : tuple of array of float, shape (h,)
        Days of the work on each hull, by one clock or several: that of the suspect's
        step, and that of completion.
    known : array of bool, shape (h,)
        Hulls that take part: those of which it is known whether they carry the suspect.

    Returns
    -------
    Windows
        The strongest, best first.
    """
    found = [_by_one_clock(sets, baseline, day, known) for day in days]
    first, last, factor = (np.concatenate(column) for column in list(zip(*found, strict=True))[:3])
    clock = np.repeat(np.arange(len(days)), [len(each[0]) for each in found])
    order = np.argsort(-factor, kind="stable")
    tried = sum(each[3] for each in found)
    return Windows(first[order], last[order], factor[order], clock[order], tried)


def _by_one_clock(
    sets: RiskSets, baseline: Baseline, day: Floats, known: Bools
) -> tuple[Floats, Floats, Floats, int]:
    """Edges and log Bayes factors of the strongest windows, and how many were tried."""
    matrix, first, last = window_matrix(day, known)
    rival = RiskSets(sets.population, matrix, sets.groups)
    screen = rival.screen(baseline.weight)
    found = np.flatnonzero(screen.observed >= 1)
    quick = quick_log_factors(screen.observed[found], screen.expected[found], screen.second[found])
    found = found[np.argsort(-quick, kind="stable")[:_FINALISTS]]
    factor = log_factors(log_likelihoods(baseline, rival.tables(found), RATIOS))
    return first[found], last[found], factor, len(first)
