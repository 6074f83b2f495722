"""A missing record as a factor of its own: a gap that goes with the claims is a finding.

It is one about the records, or about the days and hands in which they were not kept, and
it warns that the levels of that question may be ranked on a part that is not like the rest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.confounding.folding import scored
from tracegraph.analysis.matched.effects import Estimate
from tracegraph.analysis.matched.population import (
    COMPLETE,
    DOES_NOT_APPLY,
    INCOMPLETE,
    ExposureMatrix,
)
from tracegraph.analysis.matched.search import Search

FEWEST_CASES = 2
"""Cases without a record from which a question is asked."""

MOST_ASKED = 40
"""Questions whose gap is tested; those with the most cases beyond their share."""

RAISED = 0.05
"""One-sided p, times all questions with such a gap, at which a gap is reported."""


@dataclass(frozen=True)
class Gap:
    """Hulls without a complete record of one question.

    Attributes
    ----------
    family : int
        Position of the question.
    hulls : int
        Hulls at risk without a complete record.
    claims : Estimate
        The cases among them against those expected.
    p_adjusted : float
        One-sided, times the number of questions with two cases or more without a record.
    """

    family: int
    hulls: int
    claims: Estimate
    p_adjusted: float


def gaps(found: Search, margins: tuple[str, ...]) -> list[Gap]:
    """Missing records that go with the claims, most surprising first.

    Parameters
    ----------
    found : Search
        A search.
    margins : tuple of str
        Differences that the baseline allows for.

    Returns
    -------
    list of Gap
        Those with a p-value of 0.05 or less, all questions paid for.
    """
    population, exposure = found.sets.population, found.sets.exposure
    missing = (exposure.record == INCOMPLETE) & population.at_risk
    cases = missing[:, population.cases].sum(axis=1)
    asked = np.flatnonzero(found.sets.families & (cases >= FEWEST_CASES))
    if not len(asked):
        return []
    applies = (exposure.record != DOES_NOT_APPLY) & population.at_risk
    case_applies = applies[:, population.cases].sum(axis=1)
    share = missing.sum(axis=1) / np.maximum(applies.sum(axis=1), 1)
    beyond = cases - share * case_applies
    tried = asked[np.argsort(-beyond[asked], kind="stable")][:MOST_ASKED]
    tried = tried[beyond[tried] > 0.0]
    if not len(tried):
        return []
    family, hull = np.nonzero(missing[tried])
    matrix = ExposureMatrix.from_rows(
        family,
        hull,
        np.arange(len(tried)),
        np.where(applies[tried], COMPLETE, DOES_NOT_APPLY),
    )
    effects = scored(population, matrix, margins, np.arange(len(tried))).effects
    p = np.minimum(1.0, effects.tests.greater * len(asked))
    order = np.argsort(effects.tests.greater, kind="stable")
    return [
        Gap(
            family=int(tried[place]),
            hulls=int(missing[tried[place]].sum()),
            claims=effects.one(int(place)),
            p_adjusted=float(p[place]),
        )
        for place in order
        if p[place] <= RAISED
    ]
