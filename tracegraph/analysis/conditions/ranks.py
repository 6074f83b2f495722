"""The rank test of one condition, plain, and with season and week allowed for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.conditions.season import Baselines, Calendar, weekly_deviation
from tracegraph.analysis.timing.followed import Followed
from tracegraph.stats.arrays import Floats
from tracegraph.stats.risk_sets import ScoreTest, rank_score

MOST_CLASSES = 1000
"""Distinct values kept apart; of more, neighbours of equal number share a rank."""

LEVEL = 0.05

NONE = "none"
HOLDS = "holds"
SEASON = "season"
BETWEEN_WEEKS = "between weeks"

MEANINGS: dict[str, str] = {
    NONE: "affected hulls have no other values than chance would give them",
    HOLDS: "affected hulls differ also from others of their month and of their week",
    SEASON: "cannot be told from the season: within months of the year the difference is gone",
    BETWEEN_WEEKS: "differs between weeks, not within them: anything else of those weeks may be it",
}
"""Each code in words."""


@dataclass(frozen=True)
class RankTests:
    """The rank test in risk sets, three times.

    Parameters
    ----------
    plain : ScoreTest
        Each case against all hulls at risk at its age.
    season : ScoreTest
        The same, hulls weighed by what their model and month of the year expect.
    week : ScoreTest
        Values less the mean of their week, hulls weighed by model.
    """

    plain: ScoreTest
    season: ScoreTest
    week: ScoreTest

    def reading(self, adjusted: float) -> str:
        """A key of ``MEANINGS``, given the plain p-value with all looks paid for."""
        if adjusted > LEVEL:
            return NONE
        if not _agrees(self.season, self.plain):
            return SEASON
        return HOLDS if _agrees(self.week, self.plain) else BETWEEN_WEEKS


def rank_tests(
    hulls: Followed, values: Floats, calendar: Calendar, baselines: Baselines
) -> RankTests:
    """Test whether affected hulls have other values than those at risk with them.

    Parameters
    ----------
    hulls : Followed
        The hulls.
    values : array of float, shape (h,)
        nan where nothing was measured: such hulls are left out of all risk sets.
    calendar : Calendar
        When the work was done.
    baselines : Baselines
        Rates of the hulls without the condition.

    Returns
    -------
    RankTests
        Positive z: affected hulls have higher values.
    """
    return RankTests(
        plain=_test(hulls, values, np.ones(len(hulls))),
        season=_test(hulls, values, baselines.season),
        week=_test(hulls, weekly_deviation(values, calendar.week), baselines.model),
    )


def classed(values: Floats, most: int = MOST_CLASSES) -> Floats:
    """Values in classes of about equal number, when there are many different ones.

    Parameters
    ----------
    values : array of float, shape (h,)
        nan stays nan.
    most : int, default 1000
        Distinct values above which classes are made.

    Returns
    -------
    array of float, shape (h,)
        Each value, or the largest of its class.

    Examples
    --------
    >>> classed(np.array([1.0, 2.0, 3.0, 4.0, np.nan]), most=2)
    array([ 2.,  2.,  4.,  4., nan])
    """
    known = np.isfinite(values)
    if len(np.unique(values[known])) <= most:
        return values
    ordered = np.sort(values[known])
    edges = ordered[-(-np.arange(1, most + 1) * len(ordered) // most) - 1]
    result = np.full(len(values), np.nan)
    result[known] = edges[np.searchsorted(edges, values[known])]
    return result


def _test(hulls: Followed, values: Floats, weight: Floats) -> ScoreTest:
    part = hulls.at_risk
    place = np.cumsum(part) - 1
    population = hulls.population
    return rank_score(
        classed(values[part]),
        population.exit_month[part],
        place[population.cases],
        population.exit_month[population.cases],
        weights=weight[part],
    )


def _agrees(test: ScoreTest, plain: ScoreTest) -> bool:
    return test.two_sided <= LEVEL and test.z * plain.z > 0.0
