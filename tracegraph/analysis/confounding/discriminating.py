"""Hulls that tell two suspects apart, and how many of them to inspect."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, log

import numpy as np

from tracegraph.analysis.matched.risk import RiskSets
from tracegraph.stats.arrays import Bools, Floats, Ints

VERDICT = 20.0
"""Odds at which an inspection is taken to decide."""

CAUSE_SHARE, OTHER_SHARE = 0.30, 0.03
"""Share of hulls in which an inspection finds the fault, with the cause and without: common
practice where nothing better is known."""


def information(cause_share: float, other_share: float) -> float:
    """Mean log odds gained by inspecting one hull, if it carries the cause.

    Parameters
    ----------
    cause_share, other_share : float
        Share of hulls in which the fault is found, with the cause and without.

    Returns
    -------
    float
        Kullback-Leibler divergence, natural log.

    Raises
    ------
    ValueError
        If a share does not lie strictly between 0 and 1.
    """
    for share in (cause_share, other_share):
        if not 0.0 < share < 1.0:
            raise ValueError(
                f"A share of faults found must lie between 0 and 1; got {share!r}. Give the "
                "share that you would expect to find."
            )
    found = cause_share * log(cause_share / other_share)
    return found + (1.0 - cause_share) * log((1.0 - cause_share) / (1.0 - other_share))


def inspections_needed(
    cause_share: float = CAUSE_SHARE, other_share: float = OTHER_SHARE, *, odds: float = VERDICT
) -> int:
    """Hulls to inspect for a verdict at the given odds, on average.

    Parameters
    ----------
    cause_share, other_share : float
        As in :func:`information`.
    odds : float, default 20

    Returns
    -------
    int
        At least 1. Exchange the shares for the number that clears a hull's suspect.

    Examples
    --------
    >>> inspections_needed(0.5, 0.05), inspections_needed(0.3, 0.03), inspections_needed(0.2, 0.05)
    (4, 7, 22)
    >>> inspections_needed(0.05, 0.5), inspections_needed(0.03, 0.3), inspections_needed(0.05, 0.2)
    (7, 13, 32)
    """
    return max(1, ceil(log(odds) / information(cause_share, other_share)))


@dataclass(frozen=True, eq=False)
class Discriminating:
    """Hulls that carry one of two suspects only; every array has one entry per hull.

    Parameters
    ----------
    hull : array of int
        Positions of the hulls: first those with the first suspect, then the others.
    carries_first : array of bool
        Which of the two they carry.
    months : array of int
        Months in service so far; -1 where not yet in service.
    case : array of bool
        Whether they have claimed.
    expected_if_first, expected_if_second : array of float
        Claims expected so far if the first, the second suspect is the cause.
    """

    hull: Ints
    carries_first: Bools
    months: Ints
    case: Bools
    expected_if_first: Floats
    expected_if_second: Floats

    @property
    def none(self) -> bool:
        """True where only retained samples, a laboratory or a deliberate build can tell."""
        return len(self.hull) == 0


def discriminating_hulls(
    sets: RiskSets, weight: Floats, first: int, second: int, ratios: tuple[float, float]
) -> Discriminating:
    """List the hulls on which two suspects disagree.

    Parameters
    ----------
    sets : RiskSets
        The risk sets.
    weight : array of float, shape (g,)
        Weights of the groups under no cause.
    first, second : int
        Positions of the suspects.
    ratios : tuple of float
        Rate ratio of each, if it is the cause.

    Returns
    -------
    Discriminating
        Hulls not yet in service included: they are the cheapest to inspect. The most
        telling first within each suspect: those whose expected claims differ most.
    """
    exposure, population = sets.exposure, sets.population
    one, two = exposure.carries(first), exposure.carries(second)
    apart = (one & ~two & exposure.known(second)) | (two & ~one & exposure.known(first))
    hull = np.flatnonzero(apart)
    hazard = sets.groups.hazard(weight)
    usual = weight[sets.groups.group[hull]] * hazard[population.sets_joined[hull]]
    usual = np.where(population.at_risk[hull], usual, 0.0)
    if_first = usual * np.where(one[hull], ratios[0], 1.0)
    if_second = usual * np.where(two[hull], ratios[1], 1.0)
    order = np.lexsort((hull, -np.abs(if_first - if_second), ~one[hull]))
    hull = hull[order]
    return Discriminating(
        hull,
        one[hull],
        population.follow_months[hull],
        population.case[hull],
        if_first[order],
        if_second[order],
    )
