"""Rate ratios of the suspects, the season held constant for what comes with the weather.

Heat and damp come and go with the year, and so may claims for other reasons. A half-year of
building does not tell the summer's weeks from the spring's: simulated, the ratio of humid
days then comes out a sixth too high. Quarters of the year, not shrunken, make up for it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tracegraph.analysis.matched.effects import effects
from tracegraph.analysis.matched.groups import RiskGroups
from tracegraph.analysis.matched.offsets import fit_offsets
from tracegraph.analysis.matched.population import Population
from tracegraph.analysis.matched.risk import LevelTables, RiskSets
from tracegraph.analysis.matched.scores import Baseline
from tracegraph.stats.arrays import Bools, Floats, Ints

QUARTER = "quarter of the year"
"""Margin that holds the season constant."""

QUARTERS = 4
_YEAR = 365.25


@dataclass(frozen=True, eq=False)
class Estimates:
    """Rate ratios and tests of some levels; every array has one entry per level.

    Parameters
    ----------
    expected : array of float, shape (n,)
        Cases expected under no effect.
    ratio, low, high : array of float, shape (n,)
        Rate ratio and its limits.
    p_value : array of float, shape (n,)
        Exact chance of so many cases or more.
    """

    expected: Floats
    ratio: Floats
    low: Floats
    high: Floats
    p_value: Floats

    def __len__(self) -> int:
        return len(self.expected)


def estimates(
    sets: RiskSets,
    baseline: Baseline,
    tables: LevelTables,
    margins: tuple[str, ...],
    seasonal: Bools,
) -> Estimates:
    """Estimate the rate ratio of each level jointly with the weights.

    Parameters
    ----------
    sets : RiskSets
        The risk sets.
    baseline : Baseline
        Weights under no cause.
    tables : LevelTables
        The levels.
    margins : tuple of str
        Differences that the baseline allows for.
    seasonal : array of bool, shape (f,)
        Families for which the quarter of the year is held constant too.

    Returns
    -------
    Estimates
        In the order of the tables.
    """
    result = _estimated(baseline, tables)
    varying = np.flatnonzero(seasonal[sets.exposure.level_family[tables.levels]])
    if len(varying) and np.isfinite(sets.population.built_day).any():
        levels = tables.levels[varying]
        again = _by_quarter(sets, levels, margins)
        for name in ("expected", "ratio", "low", "high", "p_value"):
            getattr(result, name)[varying] = getattr(again, name)
    return result


def with_quarter(population: Population) -> Population:
    """Let the quarters of the year in which hulls were built differ in their rate.

    Examples
    --------
    >>> day = np.array([0.0, 100.0, 365.0, 370.0, np.nan])
    >>> hulls = Population.from_follow_up([9] * 5, [-1] * 5, {}, day)
    >>> with_quarter(hulls).margins[QUARTER]
    array([0, 1, 3, 0, 4])
    """
    day = population.built_day
    dated = np.isfinite(day)
    place = np.mod(np.where(dated, day, 0.0), _YEAR) / _YEAR
    codes = np.where(dated, np.floor(place * QUARTERS), QUARTERS).astype(np.int64)
    return replace(
        population,
        margins={**population.margins, QUARTER: codes},
        free=population.free | {QUARTER},
    )


def _by_quarter(sets: RiskSets, levels: Ints, margins: tuple[str, ...]) -> Estimates:
    population, exposure = with_quarter(sets.population), sets.exposure
    groups = RiskGroups.of(population, (*margins, QUARTER))
    families = np.zeros(exposure.families, np.bool_)
    families[exposure.level_family[levels]] = True
    tables = RiskSets(population, exposure, groups, families).tables(levels)
    return _estimated(Baseline.of(groups, fit_offsets(groups)), tables)


def _estimated(baseline: Baseline, tables: LevelTables) -> Estimates:
    found = effects(baseline, tables)
    return Estimates(
        expected=found.expected.copy(),
        ratio=found.ratios.ratio.copy(),
        low=found.low.copy(),
        high=found.high.copy(),
        p_value=found.tests.greater.copy(),
    )
