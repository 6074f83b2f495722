"""Tests of a condition on the plain landmark table, exact where they can be."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracegraph.analysis.conditions.ranks import classed
from tracegraph.stats.arrays import Bools, Floats
from tracegraph.stats.cutpoint import CutPoint, best_cut
from tracegraph.stats.permutation import rank_sum, value_sum

_STEPS = (1.0, 0.5, 0.1, 0.05, 0.01, 0.005, 0.001)
_FINEST = 2000


def plain_tests(values: Floats, affected: Bools) -> pd.DataFrame:
    """Permutation tests of a value in affected hulls against others.

    Parameters
    ----------
    values : array of float, shape (n,)
        Of the hulls of the landmark table; nan where nothing was measured.
    affected : array of bool, shape (n,)
        Which are affected.

    Returns
    -------
    DataFrame
        Two rows: ``test`` (sum of values, sum of ranks), ``statistic``, ``mean``, ``z``,
        ``p_value`` (two-sided), ``p_higher``, ``p_lower``, ``exact`` (bool),
        ``affected``, ``others``.
    """
    rows = []
    for name, result in (
        ("sum of values", value_sum(values, affected, resolution=step_of(values))),
        ("sum of ranks", rank_sum(values, affected)),
    ):
        rows.append(
            {
                "test": name,
                "statistic": result.statistic,
                "mean": result.mean,
                "z": result.z,
                "p_value": result.two_sided,
                "p_higher": result.greater,
                "p_lower": result.less,
                "exact": result.exact,
                "affected": result.cases,
                "others": result.others,
            }
        )
    return pd.DataFrame(rows)


def plain_cut(values: Floats, affected: Bools) -> CutPoint:
    """The best cut of all, with the exact p-value of the search."""
    return best_cut(classed(values), affected)


def step_of(values: Floats) -> float:
    """The instrument's step: the coarsest that all values are multiples of.

    Parameters
    ----------
    values : array of float, shape (n,)
        nan where nothing was measured.

    Returns
    -------
    float
        A two-thousandth of the range when the values show no step.

    Examples
    --------
    >>> step_of(np.array([18.0, 18.5, 21.0])), step_of(np.array([0.12, 0.4]))
    (0.5, 0.01)
    """
    known = values[np.isfinite(values)]
    for step in _STEPS:
        multiples = known / step
        if np.allclose(multiples, np.rint(multiples), rtol=0.0, atol=1e-6):
            return step
    return float(np.ptp(known)) / _FINEST or 1.0
