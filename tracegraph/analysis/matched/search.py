"""The whole search on arrays: from a population and its exposure to scored suspects."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.matched.estimates import Estimates, estimates
from tracegraph.analysis.matched.familywise import FEWEST_CASES, NullScores, null_scores
from tracegraph.analysis.matched.groups import RiskGroups
from tracegraph.analysis.matched.offsets import fit_offsets
from tracegraph.analysis.matched.population import ExposureMatrix, Population
from tracegraph.analysis.matched.risk import LevelTables, RiskSets, Screen
from tracegraph.analysis.matched.scores import (
    Baseline,
    log_factors,
    log_likelihoods,
    quick_log_factors,
    rivals,
    score,
)
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.bayes_factor import RATIOS

MARGINS = ("model", "build period")
"""Differences that the baseline allows for."""

CANDIDATES = 300
"""Levels scored in full, by the quick score with and once more without the weights."""


@dataclass(frozen=True, eq=False)
class Search:
    """Scored suspects, best first.

    Parameters
    ----------
    sets : RiskSets
        The risk sets.
    baseline : Baseline
        Weights under no cause.
    screen : Screen
        Counts of every level.
    rivals : array of int, shape (l,)
        Levels that compete in the family of each level.
    tables : LevelTables
        The suspects, in order.
    log_factor, score : array of float, shape (n,)
        Log Bayes factor and score of each suspect.
    null : NullScores
        Largest scores without any cause.
    margins : tuple of str
        Differences that the baseline allows for.
    seasonal : array of bool, shape (f,)
        Families whose ratios are estimated within quarters of the year.
    """

    sets: RiskSets
    baseline: Baseline
    screen: Screen
    rivals: Ints
    tables: LevelTables
    log_factor: Floats
    score: Floats
    null: NullScores
    margins: tuple[str, ...]
    seasonal: Bools

    @property
    def levels(self) -> Ints:
        """Positions of the suspects, best first."""
        return self.tables.levels

    @property
    def p_family(self) -> Floats:
        """Chance that the strongest level is as strong without any cause, shape (n,)."""
        return self.null.p_family(self.score)

    @property
    def usual_claims(self) -> Floats:
        """Cases that each hull expects under no cause, shape (h,)."""
        population = self.sets.population
        hazard = np.concatenate([[0.0], np.cumsum(self.baseline.hazard_steps)])
        each = self.baseline.weight[self.sets.groups.group] * hazard[population.sets_joined]
        result: Floats = np.where(population.at_risk, each, 0.0)
        return result

    def estimates(self, count: int) -> Estimates:
        """Rate ratios of the first so many suspects."""
        tables = self.tables.take(np.arange(min(count, len(self.levels))))
        return estimates(self.sets, self.baseline, tables, self.margins, self.seasonal)


def search(
    population: Population,
    exposure: ExposureMatrix,
    *,
    families: Bools | None = None,
    seasonal: Bools | None = None,
    margins: tuple[str, ...] = MARGINS,
    resamples: int = 199,
    seed: int = 0,
) -> Search:
    """Score every level that two or more cases share.

    Parameters
    ----------
    population, exposure
        Over the same hulls.
    families : array of bool, shape (f,), optional
        Families that take part.
    seasonal : array of bool, shape (f,), optional
        Families that come and go with the year; none when left out.
    margins : tuple of str
        Differences that the baseline allows for.
    resamples : int, default 199
        Resamples for the family-wise p.
    seed : int
        Seed of the resamples.

    Returns
    -------
    Search
        Suspects in order of score; ties by exposed cases, then fewer hulls, then family
        and level as numbered.
    """
    groups = RiskGroups.of(population, margins)
    sets = RiskSets(population, exposure, groups, families)
    baseline = Baseline.of(groups, fit_offsets(groups))
    screen, plain = sets.screens((baseline.weight, np.ones(len(groups.cases))))
    competing = rivals(screen, exposure.level_family, exposure.families)
    tables = sets.tables(_candidates(screen, plain, competing))
    factor = log_factors(log_likelihoods(baseline, tables, RATIOS))
    points = score(factor, competing[tables.levels])
    order = np.lexsort(
        (tables.levels, screen.exposed[tables.levels], -tables.observed, -points.round(6))
    )
    null = null_scores(sets, baseline, screen, competing, resamples=resamples, seed=seed)
    return Search(
        sets,
        baseline,
        screen,
        competing,
        tables.take(order),
        factor[order],
        points[order],
        null,
        margins,
        np.zeros(exposure.families, np.bool_) if seasonal is None else seasonal,
    )


def _candidates(screen: Screen, plain: Screen, competing: Ints) -> Ints:
    """Levels worth a full score, ascending.

    The weights may have taken a cause for a difference between models; such a level is
    strong when they are left out.
    """
    eligible = np.flatnonzero(screen.observed >= FEWEST_CASES)
    chosen = [np.zeros(0, np.int64)]
    for counts in (screen, plain):
        quick = score(
            quick_log_factors(
                counts.observed[eligible], counts.expected[eligible], counts.second[eligible]
            ),
            competing[eligible],
        )
        chosen.append(eligible[np.argsort(-quick, kind="stable")[:CANDIDATES]])
    return np.unique(np.concatenate(chosen))
