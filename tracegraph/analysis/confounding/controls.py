"""Negative controls: where a real cause shows nothing, and a bad spell or a bias does.

*Neighbours in time*: hulls built around the suspect's without carrying it. *Other outcomes*:
complaints that cannot share the cause. Where a control is raised, something else went on.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.confounding.folding import with_margin
from tracegraph.analysis.matched.effects import Estimate, effects
from tracegraph.analysis.matched.groups import RiskGroups
from tracegraph.analysis.matched.offsets import fit_offsets
from tracegraph.analysis.matched.population import COMPLETE, ExposureMatrix, Population
from tracegraph.analysis.matched.risk import RiskSets
from tracegraph.analysis.matched.scores import Baseline
from tracegraph.stats.arrays import Bools, Floats

RAISED = 0.10
"""One-sided p at which a control counts as raised."""

RAISED_OUTCOME = 1.5
"""Lower limit of the rate ratio at which another outcome counts as raised."""

_EDGES = (0.05, 0.95)
_WIDEST = 6
_SLACK = 30


@dataclass(frozen=True)
class Control:
    """Claims of the hulls of one control.

    Attributes
    ----------
    hulls : int
        Hulls at risk.
    claims : Estimate
        Their cases against those expected if they were like all others.
    """

    hulls: int
    claims: Estimate

    @property
    def raised(self) -> bool:
        """Whether the control fails more often than it should."""
        return self.claims.p_value <= RAISED


def neighbours(exposed: Bools, known: Bools, day: Floats, at_risk: Bools) -> Bools | None:
    """Hulls built among and around those of a suspect without carrying it.

    Parameters
    ----------
    exposed, known, at_risk : array of bool, shape (h,)
        Hulls that carry the suspect, of which that is known, and that were at risk.
    day : array of float, shape (h,)
        Day of the work on each hull; nan where not recorded.

    Returns
    -------
    array of bool, shape (h,), or None
        As many hulls before and after as carry the suspect, and those between; None
        where the suspect's hulls are strewn over time.
    """
    usable = at_risk & known & np.isfinite(day)
    order = np.flatnonzero(usable)[np.argsort(day[usable], kind="stable")]
    carried = exposed[order]
    size = int(carried.sum())
    if size == 0:
        return None
    first, last = np.quantile(np.flatnonzero(carried), _EDGES)
    if last - first > _WIDEST * size + _SLACK:
        return None
    place = np.arange(len(order))
    free = ~carried
    before = place[free & (place < first)][-size:]
    after = place[free & (place > last)][:size]
    between = place[free & (place >= first) & (place <= last)]
    result = np.zeros(len(day), np.bool_)
    result[order[np.concatenate([before, between, after])]] = True
    return result


def neighbour_control(
    population: Population,
    exposure: ExposureMatrix,
    margins: tuple[str, ...],
    level: int,
    day: Floats,
) -> Control | None:
    """Compare the neighbours in time of a suspect with all other hulls.

    Parameters
    ----------
    population, exposure
        Over the same hulls.
    margins : tuple of str
        Differences that the baseline allows for.
    level : int
        Position of the suspect.
    day : array of float, shape (h,)
        Day of the suspect's work on each hull.

    Returns
    -------
    Control or None
        None where the suspect has no neighbours in time.
    """
    exposed = exposure.carries(level)
    known = exposure.known(level)
    beside = neighbours(exposed, known, day, population.at_risk)
    if beside is None or not beside.any():
        return None
    wider = with_margin(population, "suspect", exposed, ~known)
    return _control(wider, (*margins, "suspect"), beside)


def outcome_control(population: Population, margins: tuple[str, ...], exposed: Bools) -> Control:
    """Count another complaint on the hulls that carry a suspect.

    Parameters
    ----------
    population : Population
        Follow-up and first claims of the other complaint.
    margins : tuple of str
        Differences that the baseline allows for.
    exposed : array of bool, shape (h,)
        Hulls that carry the suspect.

    Returns
    -------
    Control
        Raised if the lower limit of its rate ratio passes :data:`RAISED_OUTCOME`.
    """
    return _control(population, margins, exposed)


def _control(population: Population, margins: tuple[str, ...], hulls: Bools) -> Control:
    groups = RiskGroups.of(population, margins)
    baseline = Baseline.of(groups, fit_offsets(groups))
    matrix = ExposureMatrix.of_one_level(hulls, np.full(len(population), COMPLETE))
    found = effects(baseline, RiskSets(population, matrix, groups).tables(np.array([0])))
    return Control(int(population.at_risk[hulls].sum()), found.one())
