"""How often hulls claim with and without the suspect: the one seam to the matched method."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from tracegraph.analysis.matched.effects import effects
from tracegraph.analysis.matched.loading import stored_population
from tracegraph.analysis.matched.offsets import RiskGroups, fit_offsets
from tracegraph.analysis.matched.population import (
    COMPLETE,
    DOES_NOT_APPLY,
    INCOMPLETE,
    ExposureMatrix,
    Population,
)
from tracegraph.analysis.matched.risk import RiskSets
from tracegraph.analysis.matched.scores import Baseline, log_likelihoods
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.store import Connection

MARGINS = ("model", "build period")
"""Differences between hulls that are allowed for."""

RATIOS: Floats = np.geomspace(0.05, 200.0, 97)
"""Rate ratios at which the likelihood is taken."""

PRIOR_SPREAD = np.log(10.0)
"""Standard deviation of the log rate ratio before any claim was seen: wide, and needed
where no case, or every case, carries the suspect."""

FEWEST_AT_RISK = 5
"""The curve of claims ends where fewer hulls are followed."""


@dataclass(frozen=True, eq=False)
class ClaimRates:
    """First claims by month in service, with and without the suspect.

    Every array over hulls has one entry for each hull of the build, in order of number.

    Attributes
    ----------
    hull_id : array of int, shape (h,)
        Numbers of the hulls.
    weight : array of float, shape (h,)
        Claims expected relative to a hull without differences.
    exit_month : array of int, shape (h,)
        Last month in which each could have made its first claim; -1: never at risk.
    case : array of bool, shape (h,)
        Which did.
    months : array of int, shape (m,)
        Months in service, ascending, of which claims came.
    cases : array of float, shape (m,)
        Claims of each.
    without, with_it : array of float, shape (m,)
        Weight at risk in each that does not, and that does carry the suspect; a hull in
        doubt counts by its chance.
    observed : int
        Cases on hulls that carry the suspect on record.
    expected_exposed : float
        The same, expected of hulls without it.
    ratio, low, high : float
        Rate ratio with its 95 % limits; nan where nothing can be told.
    log_likelihood : array of float, shape (r,)
        At :data:`RATIOS`.
    last_month : int
        Month up to which enough hulls were followed.
    """

    hull_id: Ints
    weight: Floats
    exit_month: Ints
    case: Bools
    months: Ints
    cases: Floats
    without: Floats
    with_it: Floats
    observed: int
    expected_exposed: float
    ratio: float
    low: float
    high: float
    log_likelihood: Floats
    last_month: int

    def steps(self, ratio: float, cases: Floats | None = None) -> Floats:
        """Baseline rate of each month at unit weight, shape (m,)."""
        mass = self.without + ratio * self.with_it
        counted = self.cases if cases is None else cases
        return np.where(mass > 0.0, counted / np.maximum(mass, 1e-12), 0.0)

    @property
    def usual_ratio(self) -> float:
        """Mean of the rate ratio on the log scale, what is uncertain about it included."""
        log_ratio = np.log(RATIOS)
        return float(np.exp(self.belief() @ log_ratio))

    def belief(self) -> Floats:
        """Weight of each of :data:`RATIOS`, adding up to one."""
        log_ratio = np.log(RATIOS)
        points = self.log_likelihood - log_ratio**2 / (2.0 * PRIOR_SPREAD**2)
        weight = np.exp(points - points.max())
        return np.asarray(weight / weight.sum())

    def expected(self) -> Floats:
        """Claims expected so far of each hull if it carried no cause, shape (h,)."""
        steps = np.concatenate([[0.0], np.cumsum(self.steps(self.usual_ratio))])
        joined = np.searchsorted(self.months, self.exit_month, side="right")
        return np.asarray(self.weight * steps[joined])

    def place_of(self, hull_ids: ArrayLike) -> Ints:
        """Positions of hulls, by their numbers."""
        return np.searchsorted(self.hull_id, np.asarray(hull_ids, np.int64)).astype(np.int64)


def claim_rates(session: Connection, graded: pd.DataFrame) -> ClaimRates | None:
    """Claim rates under the definition whose cohort was drawn in this session.

    Parameters
    ----------
    session : Connection
        Holds the temporary table ``at_risk``.
    graded : DataFrame
        ``grade``, ``probability`` by hull number, every hull.

    Returns
    -------
    ClaimRates or None
        None without a single case.
    """
    population = stored_population(session)
    if not len(population.cases):
        return None
    groups = RiskGroups.of(population, MARGINS)
    baseline = Baseline.of(groups, fit_offsets(groups))
    chance = np.nan_to_num(graded["probability"].to_numpy(np.float64))
    carries = graded["grade"].eq("recorded").to_numpy(bool)
    tables = RiskSets(population, _one_level(graded, carries), groups).tables(np.zeros(1, np.int64))
    found = effects(baseline, tables)
    weight = found.weight[0][groups.group]
    return ClaimRates(
        hull_id=graded.index.to_numpy(np.int64),
        weight=weight,
        exit_month=population.exit_month,
        case=population.case,
        months=population.months,
        cases=groups.cases_in_month,
        without=_at_risk(population, weight * (1.0 - chance)),
        with_it=_at_risk(population, weight * chance),
        observed=int(tables.observed[0]),
        expected_exposed=float(found.expected[0]),
        ratio=float(found.ratios.ratio[0]),
        low=float(found.low[0]),
        high=float(found.high[0]),
        log_likelihood=log_likelihoods(baseline, tables, RATIOS)[0],
        last_month=_last_month(population),
    )


def _one_level(graded: pd.DataFrame, carries: Bools) -> ExposureMatrix:
    applies = graded["grade"].ne("not applicable").to_numpy(bool)
    known = carries | graded["grade"].eq("cleared").to_numpy(bool)
    record = np.select([~applies, known], [DOES_NOT_APPLY, COMPLETE], INCOMPLETE)
    hulls = np.flatnonzero(carries)
    level = np.zeros(len(hulls), np.int64)
    return ExposureMatrix.from_rows(level, hulls, np.zeros(1, np.int64), record[None, :])


def _at_risk(population: Population, weight: Floats) -> Floats:
    """Weight followed to each case month or longer, shape (m,)."""
    risk = population.at_risk
    joined = np.bincount(
        population.sets_joined[risk], weight[risk], minlength=len(population.months) + 1
    )
    return np.asarray(np.cumsum(joined[::-1])[::-1][1:], np.float64)


def _last_month(population: Population) -> int:
    followed = np.sort(population.exit_month[population.at_risk])
    if len(followed) < FEWEST_AT_RISK:
        return int(followed[-1]) if len(followed) else 0
    return int(followed[-FEWEST_AT_RISK])
