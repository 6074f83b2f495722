"""Hulls with both of two levels, one of them, or neither, and their claims.

One line of these four cells often decides more than any p-value.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.matched.risk import RiskSets
from tracegraph.stats.arrays import Bools, Floats, Ints

CELLS = ("both", "first only", "second only", "neither")


@dataclass(frozen=True, eq=False)
class FourCells:
    """Counts in the order of :data:`CELLS`, each of shape (4,).

    Parameters
    ----------
    hulls : array of int
        Hulls at risk of which both answers are known.
    observed : array of int
        Cases among them.
    expected : array of float
        Cases they would have if neither level mattered, given their ages and the weights.
    """

    hulls: Ints
    observed: Ints
    expected: Floats

    @property
    def ratio(self) -> Floats:
        """Observed over expected; nan where nothing is expected."""
        with np.errstate(divide="ignore", invalid="ignore"):
            result: Floats = np.where(self.expected > 0.0, self.observed / self.expected, np.nan)
        return result


def four_cells(sets: RiskSets, weight: Floats, first: int, second: int) -> FourCells:
    """Count the hulls of two levels.

    Parameters
    ----------
    sets : RiskSets
        The risk sets.
    weight : array of float, shape (g,)
        Weights of the groups under no cause.
    first, second : int
        Positions of the levels.

    Returns
    -------
    FourCells
        Over hulls of which it is known whether they carry each.
    """
    exposure = sets.exposure
    known = sets.population.at_risk & exposure.known(first) & exposure.known(second)
    one, two = exposure.carries(first), exposure.carries(second)
    return count_cells(sets, weight, (one & two, one & ~two, ~one & two, ~one & ~two), known)


def concurrent(sets: RiskSets, weight: Floats, level: int, day: Floats) -> FourCells:
    """Hulls built while a level was in use that do not carry it: the only fair comparison.

    Parameters
    ----------
    sets : RiskSets
        The risk sets.
    weight : array of float, shape (g,)
        Weights of the groups under no cause.
    level : int
        Position of the level.
    day : array of float, shape (h,)
        Day of the work on each hull.

    Returns
    -------
    FourCells
        Hulls that carry the level, concurrent ones that do not, ones built at other
        times, ones without a day. With less than one expected case in the second cell
        the records hold no contrast.
    """
    exposure = sets.exposure
    carried = exposure.carries(level)
    known = sets.population.at_risk & exposure.known(level)
    used = day[carried & known & np.isfinite(day)]
    within = np.zeros(len(day), np.bool_)
    if len(used):
        within = (day >= used.min()) & (day <= used.max())
    dated = np.isfinite(day)
    cells = (carried, ~carried & within, ~carried & dated & ~within, ~carried & ~dated)
    return count_cells(sets, weight, cells, known)


def count_cells(
    sets: RiskSets, weight: Floats, cells: tuple[Bools, ...], among: Bools
) -> FourCells:
    """Count hulls, cases and expected cases of any cells among some hulls."""
    population = sets.population
    inside = among & population.at_risk
    hull_weight = weight[sets.groups.group]
    width = sets.months + 1
    joined = population.sets_joined
    mass = np.bincount(joined[inside], hull_weight[inside], minlength=width)
    in_set = np.cumsum(mass[:0:-1])[::-1]
    came = np.bincount(joined[inside & population.case], minlength=width)[1:]
    steps = np.divide(came, in_set, out=np.zeros(len(in_set)), where=in_set > 0)
    hazard = np.concatenate([[0.0], np.cumsum(steps)])
    each = hull_weight * hazard[joined]
    return FourCells(
        hulls=np.array([int((inside & cell).sum()) for cell in cells]),
        observed=np.array([int((inside & cell & population.case).sum()) for cell in cells]),
        expected=np.array([float(each[inside & cell].sum()) for cell in cells]),
    )
