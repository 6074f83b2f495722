"""How much the claims speak for each level as the cause, differences between models allowed for.

The log Bayes factor of :mod:`tracegraph.stats.bayes_factor`, taken jointly with the weights
of models and build periods: where they move when a level is let in, the evidence moves
too, so that a mold is not robbed by the model it belongs to, and a model that fails more
often as a whole does not accuse its molds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp

from tracegraph.analysis.matched.groups import RiskGroups
from tracegraph.analysis.matched.offsets import JointFit, Offsets, fit_with_level
from tracegraph.analysis.matched.risk import LevelTables, Screen
from tracegraph.stats.arrays import Floats, Ints
from tracegraph.stats.bayes_factor import RATIOS, WEIGHTS

FAMILY_PRICE = 0.8
"""Weight of the log number of levels in a family, taken off the log Bayes factor."""

_LOG_RATIOS = np.log(RATIOS)
_LOG_WEIGHTS = np.log(WEIGHTS)
_CELLS = 2**21
_TINY = 1e-300


def quick_log_factors(observed: Ints, expected: Floats, second: Floats) -> Floats:
    """Upper bound of the log Bayes factor at fixed weights, from two moments.

    Parameters
    ----------
    observed, expected, second : array, shape (n,)
        Cases that carry the level, expected ones, and summed squared chances.

    Returns
    -------
    array of float, shape (n,)
        Never below the exact value: ``log(1 + p (g - 1)) / p`` is convex in the chance p,
        and is taken at its weighted mean.
    """
    result = np.empty(len(observed))
    rows = _CELLS // len(RATIOS)
    for start in range(0, len(observed), rows):
        part = slice(start, start + rows)
        spread = quick_spread(expected[part], second[part])
        terms = _LOG_WEIGHTS + observed[part, None] * _LOG_RATIOS - spread
        top = terms.max(axis=1)
        result[part] = top + np.log(np.exp(terms - top[:, None]).sum(axis=1))
    return result


def least_cases(expected: Floats, second: Floats, log_factor: Floats) -> Floats:
    """Lower bound of the exposed cases with which a quick log Bayes factor is reached.

    Parameters
    ----------
    expected, second : array of float, shape (n,)
        As in :func:`quick_log_factors`.
    log_factor : array of float, shape (n,)
        To be reached.

    Returns
    -------
    array of float, shape (n,)
        A mean over 16 ratios is no larger than its largest term times 16.
    """
    result = np.empty(len(expected))
    rows = _CELLS // len(RATIOS)
    for start in range(0, len(expected), rows):
        part = slice(start, start + rows)
        spread = quick_spread(expected[part], second[part])
        spread += (log_factor[part] - np.log(len(RATIOS)))[:, None] - _LOG_WEIGHTS
        result[part] = (spread / _LOG_RATIOS).min(axis=1)
    return result


def quick_spread(expected: Floats, second: Floats) -> Floats:
    """Lower bound of the sum over cases of ``log(1 + p (g - 1))``, shape (n, 16)."""
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.where(expected > 0.0, second / expected, 0.0)
        number = np.where(second > 0.0, expected * expected / second, 0.0)
    result: Floats = number[:, None] * np.log1p(mean[:, None] * (RATIOS - 1.0))
    return result


@dataclass(frozen=True, eq=False)
class Baseline:
    """Weights under no cause, with what is needed to let a level in.

    Parameters
    ----------
    groups : RiskGroups
        The hulls.
    offsets : Offsets
        Weights under no cause.
    hazard_steps : array of float, shape (m,)
        Baseline rate at unit weight of each case month.
    """

    groups: RiskGroups
    offsets: Offsets
    hazard_steps: Floats

    @classmethod
    def of(cls, groups: RiskGroups, offsets: Offsets) -> Baseline:
        """Set up from groups and their weights."""
        return cls(groups, offsets, np.diff(groups.hazard(offsets.weight)))

    @property
    def weight(self) -> Floats:
        """Weights of the groups, shape (g,)."""
        return self.offsets.weight


def log_likelihoods(baseline: Baseline, tables: LevelTables, ratios: Floats) -> Floats:
    """Log likelihood ratio of each level at given rate ratios against none, shape (n, r).

    Parameters
    ----------
    baseline : Baseline
        Weights under no cause.
    tables : LevelTables
        The levels.
    ratios : array of float, shape (r,) or (n, r)
        Rate ratios.

    Returns
    -------
    array of float, shape (n, r)
        With the weights integrated out (a lower bound), or at fixed weights where there
        are no margins.
    """
    every = np.broadcast_to(ratios, (len(tables.levels), np.shape(ratios)[-1]))
    if not baseline.groups.codes:
        return fixed_log_likelihoods(tables, baseline.weight, every)
    with_none = np.concatenate([np.ones((len(every), 1)), every], axis=1)
    fit = _joint_fit(baseline, tables, with_none)
    exposed = np.matmul(fit.weight, tables.exposed)
    mass = np.matmul(fit.weight, tables.known) + (with_none[:, :, None] - 1.0) * exposed
    spread = (tables.cases[:, None, :] * np.log(np.maximum(mass, _TINY))).sum(axis=2)
    counted = tables.observed[:, None].astype(np.float64)
    evidence = fit.log_share + counted * np.log(with_none) - spread
    result: Floats = evidence[:, 1:] - evidence[:, :1]
    return result


def fixed_log_likelihoods(tables: LevelTables, weight: Floats, ratios: Floats) -> Floats:
    """Log likelihood ratio of the risk sets at given weights against no effect.

    Cases are compared within their strata.

    Parameters
    ----------
    tables : LevelTables
        The levels.
    weight : array of float, shape (g,) or (n, g)
        Weights of the groups.
    ratios : array of float, shape (n, r)
        Rate ratios.

    Returns
    -------
    array of float, shape (n, r)
        Natural logs.
    """
    chance = tables.chance_within(weight)
    result: Floats = tables.observed[:, None].astype(np.float64) * np.log(ratios)
    for number in range(ratios.shape[1]):
        spread = np.log1p(chance * (ratios[:, number, None, None] - 1.0))
        result[:, number] -= (tables.cases_of_stratum * spread).sum(axis=(1, 2))
    return result


def _joint_fit(baseline: Baseline, tables: LevelTables, ratios: Floats) -> JointFit:
    return fit_with_level(
        baseline.groups.margins,
        baseline.offsets,
        tables.known @ baseline.hazard_steps,
        tables.exposed @ baseline.hazard_steps,
        tables.cases_of_group,
        ratios,
    )


def log_factors(log_likelihood: Floats) -> Floats:
    """Log Bayes factors from log likelihoods at :data:`RATIOS`, shape (n,)."""
    result: Floats = logsumexp(log_likelihood + _LOG_WEIGHTS, axis=1)
    return result


def score(log_factor: Floats, rivals: Ints) -> Floats:
    """Order of suspects: evidence, less the price of having many rivals in the family.

    Parameters
    ----------
    log_factor : array of float, shape (n,)
        Log Bayes factors.
    rivals : array of int, shape (n,)
        Levels of the family with at least two hulls at risk.

    Returns
    -------
    array of float, shape (n,)
        ``log_factor - 0.8 log(rivals)``.
    """
    result: Floats = log_factor - FAMILY_PRICE * np.log(np.maximum(rivals, 1))
    return result


def rivals(screen: Screen, level_family: Ints, families: int) -> Ints:
    """Levels with at least two hulls at risk in the family of each level, shape (l,)."""
    thick = screen.exposed >= 2
    per_family = np.bincount(level_family, thick, minlength=families).astype(np.int64)
    return per_family[level_family]
