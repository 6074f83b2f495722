"""Hulls with one weight, counted by the risk sets in which they were."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from tracegraph.analysis.matched.population import Population
from tracegraph.stats.arrays import Floats, Ints

PERIOD = "build period"
"""Margin whose codes are in order of time; a steady change over it is allowed for as well."""

PLANT = "plant"
"""Margin of a population that several plants built. What is made and used in one plant only
would otherwise be blamed for all that the plant does otherwise, so it is always allowed for."""


@dataclass(frozen=True, eq=False)
class Margins:
    """Differences between groups that weights may have.

    Parameters
    ----------
    codes : tuple of array of int, shape (g,)
        For each margin, the code of each group.
    trend : array of float, shape (g,)
        Place of each group in the time of building; all 0 without one.
    free : tuple of bool
        For each margin, whether its factors are taken as they are, not shrunken.
    """

    codes: tuple[Ints, ...]
    trend: Floats
    free: tuple[bool, ...]

    @cached_property
    def has_trend(self) -> bool:
        """Whether groups differ in time."""
        return bool(np.ptp(self.trend) > 0.0)


@dataclass(frozen=True, eq=False)
class RiskGroups:
    """Hulls with one weight, counted by the risk sets in which they were.

    Parameters
    ----------
    group : array of int, shape (h,)
        Group of each hull: one for each combination of margins.
    codes : tuple of array of int, shape (g,)
        For each margin, the code of each group.
    at_risk : array of float, shape (g, m)
        Hulls of each group in the risk set of each case month.
    cases : array of float, shape (g,)
        Cases of each group.
    cases_in_month : array of float, shape (m,)
        Cases of each case month.
    trend : array of float, shape (g,)
        Place of each group in the time of building, from -0.5 to 0.5; all 0 without one.
    free : tuple of bool
        For each margin, whether its factors are not shrunken.
    stratum : array of int, shape (g,)
        Which of the causes set aside each group carries; all 0 without any.
    """

    group: Ints
    codes: tuple[Ints, ...]
    at_risk: Floats
    cases: Floats
    cases_in_month: Floats
    trend: Floats
    free: tuple[bool, ...]
    stratum: Ints

    @classmethod
    def of(cls, population: Population, margins: tuple[str, ...]) -> RiskGroups:
        """Count the hulls of a population by the margins of :func:`allowed_for`."""
        margins = allowed_for(population, margins)
        found, group = np.unique(_joined(population, margins), return_inverse=True)
        first = np.zeros(len(found), np.int64)
        first[group] = np.arange(len(group))
        joined_sets = population.sets_joined
        months = len(population.months)
        risk = population.at_risk
        counts = np.bincount(
            group[risk] * (months + 1) + joined_sets[risk], minlength=len(found) * (months + 1)
        ).reshape(len(found), months + 1)
        cases = population.cases
        return cls(
            group=group.astype(np.int64),
            codes=tuple(population.margins[name][first] for name in margins),
            at_risk=after(counts.astype(np.float64)),
            cases=np.bincount(group[cases], minlength=len(found)).astype(np.float64),
            cases_in_month=np.bincount(joined_sets[cases], minlength=months + 1)[1:].astype(
                np.float64
            ),
            trend=_place(population.margins[PERIOD][first])
            if PERIOD in margins
            else np.zeros(len(found)),
            free=tuple(name in population.free for name in margins),
            stratum=_strata(population, margins)[first],
        )

    @cached_property
    def margins(self) -> Margins:
        """What the weights are estimated from."""
        return Margins(self.codes, self.trend, self.free)

    def hazard(self, weight: Floats) -> Floats:
        """Cumulative baseline rate at unit weight after 0, 1, … risk sets, shape (m + 1,)."""
        steps = self.cases_in_month / (weight @ self.at_risk)
        return np.concatenate([[0.0], np.cumsum(steps)])


def allowed_for(population: Population, margins: tuple[str, ...]) -> tuple[str, ...]:
    """The named margins, and the plant where several built the hulls.

    Examples
    --------
    >>> one = Population.from_follow_up([5, 5], [-1, 2], {"model": np.array([0, 1])}, [0.0, 1.0])
    >>> allowed_for(one, ("model",))
    ('model',)
    """
    several = PLANT in population.margins and PLANT not in margins
    return (*margins, PLANT) if margins and several else margins


def _joined(population: Population, margins: tuple[str, ...]) -> Ints:
    """One number for each combination of the codes of some margins, shape (h,)."""
    joined = np.zeros(len(population), np.int64)
    for name in margins:
        codes = population.margins[name]
        joined = joined * (int(codes.max(initial=0)) + 1) + codes
    return joined


def _strata(population: Population, margins: tuple[str, ...]) -> Ints:
    """Stratum of each hull, from 0, shape (h,)."""
    apart = tuple(name for name in margins if name in population.strata)
    return np.unique(_joined(population, apart), return_inverse=True)[1].astype(np.int64)


def _place(codes: Ints) -> Floats:
    """Codes in order of time, spread from -0.5 to 0.5."""
    span = max(int(codes.max(initial=0)), 1)
    return codes / span - 0.5


def after(counts: Floats) -> Floats:
    """Turn counts by number of risk sets joined, 0 to m, into counts in each risk set.

    Examples
    --------
    >>> after(np.array([[5.0, 2.0, 1.0]]))
    array([[3., 1.]])
    """
    result: Floats = np.cumsum(counts[..., :0:-1], axis=-1)[..., ::-1]
    return result
