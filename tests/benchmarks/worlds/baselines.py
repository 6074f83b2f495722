"""Orders that a plant could use today, to compare the method with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.optimize import minimize
from scipy.special import gammaln
from scipy.stats import gamma

from tests.benchmarks.worlds.plant import Bools, Floats, Ints
from tests.benchmarks.worlds.world import World
from tracegraph.analysis.cohort import best_landmark
from tracegraph.analysis.matched.population import COMPLETE
from tracegraph.stats.contingency import TableArrays
from tracegraph.stats.exact import fisher_exact_many


@dataclass(frozen=True)
class Tables:
    """Levels that any hull of a plain table carries."""

    levels: Ints
    exposed_cases: Ints
    exposed: Ints
    cases: Ints
    total: Ints

    @property
    def expected(self) -> Floats:
        result: Floats = self.cases * self.exposed / self.total
        return result


def plain_tables(world: World, families: Bools, hulls: Bools, case: Bools) -> Tables:
    """Four counts of every level among some hulls, unknown ones left out."""
    matrix = world.exposure
    place, hull = matrix.entries(np.arange(matrix.levels))
    counted = hulls[hull]
    exposed = np.bincount(place[counted], minlength=matrix.levels)
    cases = np.bincount(place[counted & case[hull]], minlength=matrix.levels)
    known = (matrix.record == COMPLETE) & hulls
    family = matrix.level_family
    keep = np.flatnonzero(families[family] & (exposed > 0))
    return Tables(
        keep,
        cases[keep],
        exposed[keep],
        (known & case).sum(axis=1)[family[keep]],
        known.sum(axis=1)[family[keep]],
    )


def all_hulls(world: World, families: Bools) -> Tables:
    population = world.population
    return plain_tables(world, families, population.at_risk, population.case)


def at_landmark(world: World, families: Bools) -> Tables:
    """Hulls followed to the month that keeps the most cases."""
    population = world.population
    month = np.where(population.case, population.exit_month, -1)
    frame = pd.DataFrame(
        {
            "case_month": pd.array(np.where(month < 0, 0, month), dtype="Int64"),
            "follow_months": population.follow_months,
            "hulls": 1,
        }
    )
    frame["case_month"] = frame["case_month"].mask(month < 0)
    frame = frame[population.at_risk]
    landmark = best_landmark(frame)
    hulls = population.follow_months >= landmark
    return plain_tables(world, families, hulls, (month >= 0) & (month <= landmark))


def fisher(tables: Tables) -> Floats:
    """One-sided p of each level, for harm."""
    arrays = TableArrays.from_margins(
        exposed_cases=tables.exposed_cases,
        exposed=tables.exposed,
        cases=tables.cases,
        total=tables.total,
    )
    return fisher_exact_many(arrays).greater


def gamma_poisson_limit(tables: Tables) -> Floats:
    """5 % quantile of observed over expected under a prior of two gammas fitted to all levels."""
    a, e = tables.exposed_cases.astype(np.float64), np.maximum(tables.expected, 1e-9)
    cells, inverse, count = np.unique(
        np.column_stack([a, e.round(4)]), axis=0, return_inverse=True, return_counts=True
    )
    count_a, count_e = cells[:, 0], np.maximum(cells[:, 1], 1e-9)

    def parts(point: Floats) -> tuple[Floats, Floats, Floats, float]:
        shape1, rate1, shape2, rate2 = np.exp(np.clip(point[:4], -4, 4))
        share = 1.0 / (1.0 + np.exp(-point[4]))
        first = _negative_binomial(count_a, count_e, shape1, rate1)
        second = _negative_binomial(count_a, count_e, shape2, rate2)
        return first, second, np.array([shape1, rate1, shape2, rate2]), share

    def loss(point: Floats) -> float:
        first, second, _, share = parts(point)
        mixed = np.logaddexp(np.log(share) + first, np.log1p(-share) + second)
        return -float((count * mixed).sum())

    start = np.log([0.2, 0.1, 2.0, 4.0])
    best = minimize(loss, np.append(start, -1.0), method="Nelder-Mead", options={"maxiter": 200}).x
    first, second, (shape1, rate1, shape2, rate2), share = parts(best)
    weight = 1.0 / (1.0 + np.exp(np.log1p(-share) + second - np.log(share) - first))
    low, high = np.zeros(len(cells)), np.full(len(cells), 200.0)
    for _ in range(40):
        middle = 0.5 * (low + high)
        below = weight * gamma.cdf(middle, shape1 + count_a, scale=1.0 / (rate1 + count_e)) + (
            1.0 - weight
        ) * gamma.cdf(middle, shape2 + count_a, scale=1.0 / (rate2 + count_e))
        low, high = np.where(below < 0.05, middle, low), np.where(below < 0.05, high, middle)
    return low[inverse.ravel()]


def _negative_binomial(a: Floats, e: Floats, shape: float, rate: float) -> Floats:
    result: Floats = (
        gammaln(shape + a)
        - gammaln(shape)
        - gammaln(a + 1.0)
        + shape * np.log(rate / (rate + e))
        + a * np.log(e / (rate + e))
    )
    return result


def _order(tables: Tables, key: Floats) -> Ints:
    """Levels, largest key first; ties by more exposed cases, then fewer hulls."""
    return tables.levels[np.lexsort((tables.exposed, -tables.exposed_cases, -key))]


def orders(world: World, families: Bools) -> tuple[dict[str, Ints], dict[str, bool]]:
    """Order of each baseline, and whether it would have called something significant."""
    every, landmark = all_hulls(world, families), at_landmark(world, families)
    keys: dict[str, tuple[Tables, Callable[[Tables], Floats]]] = {
        "raw share": (every, lambda t: t.exposed_cases / t.cases),
        "lift": (every, lambda t: t.exposed_cases / t.expected),
        "lift, 3 cases": (
            every,
            lambda t: np.where(t.exposed_cases >= 3, t.exposed_cases / t.expected, 0.0),
        ),
        "gamma-Poisson": (every, gamma_poisson_limit),
    }
    found = {name: _order(tables, key(tables)) for name, (tables, key) in keys.items()}
    called = {}
    for name, tables in (("Fisher", every), ("landmark Fisher", landmark)):
        p = fisher(tables)
        found[name] = _order(tables, -p)
        called[name] = bool(p.min() * len(p) < 0.05)
    return found, called
