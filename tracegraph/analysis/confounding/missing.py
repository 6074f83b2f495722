"""What missing records could do to a suspect: they are unknown, never unexposed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.confounding.folding import scored
from tracegraph.analysis.matched.population import (
    COMPLETE,
    DOES_NOT_APPLY,
    ExposureMatrix,
    Population,
)

DIFFERS = 0.05
"""Two-sided p at which records of cases are said to be missing more often, or less."""

HOLDS = 0.05
"""One-sided p within which a suspect still stands if nobody unknown carried it."""


@dataclass(frozen=True)
class MissingRecords:
    """How complete the records of one family are, and what hangs on it.

    Attributes
    ----------
    unknown_hulls, unknown_cases : int
        Hulls at risk and cases of which it is not known whether they carry the level.
    known_share_cases, known_share : float
        Share known among the cases, and expected by the ages of the hulls at risk.
    p_differs : float
        Two-sided p of the first against the second.
    lowest_ratio, p_lowest : float
        Rate ratio and one-sided p if no unknown hull carried the level.
    highest_ratio : float
        Rate ratio if all unknown cases carried it and no other unknown hull did.
    """

    unknown_hulls: int
    unknown_cases: int
    known_share_cases: float
    known_share: float
    p_differs: float
    lowest_ratio: float
    p_lowest: float
    highest_ratio: float

    @property
    def differential(self) -> bool:
        """Whether records of cases are missing more often, or less, than others."""
        return self.p_differs < DIFFERS

    @property
    def holds(self) -> bool:
        """Whether the level still stands if no unknown hull carried it."""
        return self.p_lowest <= HOLDS


def missing_records(
    population: Population, exposure: ExposureMatrix, margins: tuple[str, ...], level: int
) -> MissingRecords | None:
    """Weigh the missing records of a level.

    Parameters
    ----------
    population, exposure
        Over the same hulls.
    margins : tuple of str
        Differences that the baseline allows for.
    level : int
        Position of the level.

    Returns
    -------
    MissingRecords or None
        None where every record is there.
    """
    family = int(exposure.level_family[level])
    applies = (exposure.record[family] != DOES_NOT_APPLY) & population.at_risk
    unknown = applies & ~exposure.known(level)
    if not unknown.any():
        return None
    cases = applies & population.case
    record = np.where(applies, COMPLETE, DOES_NOT_APPLY)
    others = ExposureMatrix.of_one_level(unknown, record)
    share = scored(population, others, margins, np.array([0])).effects
    least, most = (
        scored(
            population, ExposureMatrix.of_one_level(carried, record), margins, np.array([0])
        ).effects.one()
        for carried in (
            exposure.carries(level) & applies,
            (exposure.carries(level) | (unknown & population.case)) & applies,
        )
    )
    count = max(int(cases.sum()), 1)
    return MissingRecords(
        unknown_hulls=int(unknown.sum()),
        unknown_cases=int((unknown & population.case).sum()),
        known_share_cases=1.0 - float((unknown & cases).sum()) / count,
        known_share=1.0 - float(share.expected[0]) / count,
        p_differs=float(share.tests.two_sided[0]),
        lowest_ratio=least.ratio,
        p_lowest=least.p_value,
        highest_ratio=most.ratio,
    )
