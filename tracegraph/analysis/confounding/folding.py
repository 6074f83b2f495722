"""Given one suspect, does another still matter? And what is left once a cause is set aside.

A suspect is set aside by letting its hulls have a claim rate of their own, estimated
together with the differences between models and periods. That is one step of conditional
logistic regression on the risk sets.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tracegraph.analysis.matched.effects import Effects, effects, settled_counts
from tracegraph.analysis.matched.groups import RiskGroups
from tracegraph.analysis.matched.offsets import fit_offsets
from tracegraph.analysis.matched.population import INCOMPLETE, ExposureMatrix, Population
from tracegraph.analysis.matched.risk import RiskSets
from tracegraph.analysis.matched.scores import Baseline, log_factors, log_likelihoods
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.bayes_factor import RATIOS


def set_aside(
    population: Population, exposure: ExposureMatrix, level: int, name: str
) -> Population:
    """Let the hulls that carry a level differ in their baseline rate.

    Parameters
    ----------
    population : Population
        The hulls.
    exposure : ExposureMatrix
        Over the same hulls.
    level : int
        Position of the level.
    name : str
        Name of the new margin.

    Returns
    -------
    Population
        With one more margin: 1 for hulls that carry the level, 2 where the record does
        not say, 0 for all others.
    """
    return with_margin(
        population,
        name,
        exposure.carries(level),
        exposure.record[exposure.level_family[level]] == INCOMPLETE,
    )


def with_margin(population: Population, name: str, inside: Bools, unknown: Bools) -> Population:
    """Let marked hulls, and those of which the mark is unknown, differ in their rate.

    They are compared with each other only when rate ratios are estimated.
    """
    codes = np.where(inside, 1, np.where(unknown, 2, 0)).astype(np.int64)
    return replace(
        population,
        margins={**population.margins, name: codes},
        free=population.free | {name},
        strata=population.strata | {name},
    )


@dataclass(frozen=True, eq=False)
class Conditional:
    """What some levels still explain when another is given; one entry per level.

    Parameters
    ----------
    levels : array of int, shape (n,)
        Positions of the levels.
    log_factor : array of float, shape (n,)
        Log Bayes factor of each, the other given.
    effects : Effects
        Rate ratios and tests, the other given.
    """

    levels: Ints
    log_factor: Floats
    effects: Effects

    @property
    def p_value(self) -> Floats:
        """Exact one-sided p of each level, the other given, shape (n,)."""
        return self.effects.tests.greater


def given(
    population: Population,
    exposure: ExposureMatrix,
    margins: tuple[str, ...],
    other: int,
    levels: Ints,
) -> Conditional:
    """Score levels when the hulls of another level may differ anyway.

    Parameters
    ----------
    population : Population
        The hulls.
    exposure : ExposureMatrix
        Over the same hulls.
    margins : tuple of str
        Differences that the baseline allows for already.
    other : int
        Position of the level that is given.
    levels : array of int, shape (n,)
        Positions of the levels asked about.

    Returns
    -------
    Conditional
        In the given order.
    """
    name = f"level {other}"
    wider = set_aside(population, exposure, other, name)
    return scored(wider, exposure, (*margins, name), levels)


def scored(
    population: Population,
    exposure: ExposureMatrix,
    margins: tuple[str, ...],
    levels: Ints,
    *,
    confidence: float = 0.95,
) -> Conditional:
    """Score some levels at the given margins, with limits of the given confidence."""
    groups = RiskGroups.of(population, margins)
    baseline = Baseline.of(groups, fit_offsets(groups))
    families = np.zeros(exposure.families, np.bool_)
    families[exposure.level_family[levels]] = True
    tables = RiskSets(population, exposure, groups, families).tables(levels)
    factor = log_factors(log_likelihoods(baseline, tables, RATIOS))
    return Conditional(levels, factor, effects(baseline, tables, confidence=confidence))


def still_matters(
    population: Population,
    exposure: ExposureMatrix,
    margins: tuple[str, ...],
    level: int,
    other: int,
) -> float:
    """One-sided p of a level when the hulls of another may differ anyway."""
    name = f"level {other}"
    wider = set_aside(population, exposure, other, name)
    groups = RiskGroups.of(wider, (*margins, name))
    baseline = Baseline.of(groups, fit_offsets(groups))
    families = np.zeros(exposure.families, np.bool_)
    families[exposure.level_family[level]] = True
    tables = RiskSets(wider, exposure, groups, families).tables(np.array([level]))
    return float(settled_counts(baseline, tables).tests().greater[0])
