"""Parent or child: the supplier, the lot, or one drum of it.

Until that is decided, contain at the parent.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.confounding.folding import scored, with_margin
from tracegraph.analysis.matched.population import (
    COMPLETE,
    DOES_NOT_APPLY,
    ExposureMatrix,
    Population,
)
from tracegraph.stats.arrays import Bools, Ints

CHILD, PARENT, BOTH, UNDECIDED = (
    "child",
    "parent",
    "parent with a hot child",
    "level not decided",
)

INSIDE = 0.95
"""Share of a child's hulls that must carry the parent."""

_ENOUGH_EXPECTED = 1.5
_NOT_RAISED = 2.5
_RAISED = 0.05
_EVEN = 0.20


@dataclass(frozen=True)
class Nesting:
    """What a child and the rest of its parent show.

    Attributes
    ----------
    child_p : float
        One-sided p of the child among the hulls of its parent, times the number of
        children it was chosen from.
    rest_observed : int
        Cases among the parent's other hulls.
    rest_expected : float
        Cases expected there.
    rest_p : float
        One-sided p of the rest against hulls without the parent.
    rest_high : float
        Upper 90 % limit of its rate ratio.
    verdict : str
        :data:`CHILD`, :data:`PARENT`, :data:`BOTH` or :data:`UNDECIDED`.
    """

    child_p: float
    rest_observed: int
    rest_expected: float
    rest_p: float
    rest_high: float
    verdict: str


def children(exposure: ExposureMatrix, parent: int, family: int) -> Ints:
    """Levels of a family that nearly all lie inside a parent, array of int."""
    inside = exposure.carries(parent)
    first, last = exposure.family_start[family], exposure.family_start[family + 1]
    levels = np.arange(first, last)
    place, hulls = exposure.entries(levels)
    size = np.bincount(place, minlength=len(levels))
    shared = np.bincount(place, inside[hulls], minlength=len(levels))
    smaller = (size > 0) & (size < inside.sum())
    result: Ints = levels[smaller & (shared >= INSIDE * size)]
    return result


def nesting(
    population: Population,
    exposure: ExposureMatrix,
    margins: tuple[str, ...],
    parent: int,
    child: int,
    *,
    chosen_from: int = 1,
) -> Nesting:
    """Test a child in the context of its parent, and the rest of the parent without it.

    Parameters
    ----------
    population, exposure
        Over the same hulls.
    margins : tuple of str
        Differences that the baseline allows for.
    parent, child : int
        Positions of the levels.
    chosen_from : int, default 1
        Children of the parent among which this one was picked for its claims.

    Returns
    -------
    Nesting
        With the verdict.

    References
    ----------
    .. [1] S. Grossmann et al., Bioinformatics 23:3024-3031, 2007 (a child tested in the
       context of its parent).
    """
    inside, inner = exposure.carries(parent), exposure.carries(child)
    within = population.among(inside)
    known = exposure.known(child)
    child_found = scored(within, _marked(inner, known), margins, np.array([0])).effects
    rest = inside & ~inner
    known_parent = exposure.known(parent)
    apart = with_margin(population, "child", inner, ~known & ~inner)
    rest_found = scored(
        apart, _marked(rest, known_parent), (*margins, "child"), np.array([0]), confidence=0.90
    ).effects
    child_p = min(1.0, chosen_from * float(child_found.tests.greater[0]))
    numbers = (
        int(rest_found.counts.observed[0]),
        float(rest_found.expected[0]),
        float(rest_found.tests.greater[0]),
        float(rest_found.high[0]),
    )
    return Nesting(child_p, *numbers, _verdict(child_p, *numbers))


def _verdict(child_p: float, observed: int, expected: float, rest_p: float, high: float) -> str:
    quiet = expected >= _ENOUGH_EXPECTED and high < _NOT_RAISED
    raised = observed > 0 and rest_p <= _RAISED
    if quiet and child_p < _RAISED:
        return CHILD
    if raised and child_p > _EVEN:
        return PARENT
    if raised and child_p < _RAISED:
        return BOTH
    return UNDECIDED


def _marked(hulls: Bools, known: Bools) -> ExposureMatrix:
    return ExposureMatrix.of_one_level(hulls, np.where(known | hulls, COMPLETE, DOES_NOT_APPLY))
