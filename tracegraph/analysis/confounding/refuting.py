"""What would refute a suspect: a verdict that nothing could shake is not worth much."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.confounding.discriminating import inspections_needed
from tracegraph.analysis.matched.evidence import CHANCE
from tracegraph.analysis.matched.familywise import price
from tracegraph.analysis.matched.scores import quick_log_factors
from tracegraph.analysis.matched.search import Search

_MOST = 500


@dataclass(frozen=True)
class Refutation:
    """Observations that would take a suspect back.

    Attributes
    ----------
    claims_elsewhere : int or None
        Further claims on hulls without the suspect after which chance could explain it;
        None where it could already, or not after 500.
    clean_inspections : int
        Hulls with the suspect that, inspected and all found sound, speak 20 to 1 against
        it, if 3 in 10 would show the fault.
    """

    claims_elsewhere: int | None
    clean_inspections: int


def refutation(found: Search, place: int = 0) -> Refutation:
    """Work out what would refute a suspect of a search.

    Parameters
    ----------
    found : Search
        The search.
    place : int, default 0
        Place of the suspect in its order.

    Returns
    -------
    Refutation
        From the quick score: further claims raise the expected cases in proportion.
    """
    level = int(found.levels[place])
    cases = len(found.sets.population.cases)
    more = np.arange(_MOST + 1)
    grown = 1.0 + more / cases
    quick = quick_log_factors(
        np.full(len(more), found.screen.observed[level], np.int64),
        found.screen.expected[level] * grown,
        found.screen.second[level] * grown,
    )
    # The joint weights may have lifted the score above the quick one; the lift stays.
    lift = float(found.log_factor[place]) - float(quick[0])
    points = quick + lift - float(price(found.rivals[level : level + 1])[0])
    below = np.flatnonzero(points < found.null.threshold(CHANCE))
    claims = int(below[0]) if len(below) and below[0] > 0 else None
    return Refutation(claims, inspections_needed(0.03, 0.3))
