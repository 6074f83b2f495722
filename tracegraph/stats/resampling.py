"""Westfall and Young's family-wise adjustment from a relabelled null distribution.

All tests are recomputed on the same relabellings, so tests that move together are paid
for once.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tracegraph.stats.arrays import Floats, Ints

RELATIVE_SLACK = 1e-9
"""p-values closer than this share of each other are equal: rounding must not break ties."""


def min_p_single_step(
    p_values: ArrayLike, smallest_resampled: ArrayLike, *, enumerated: bool = False
) -> Floats:
    """Adjust p-values by the distribution of the smallest one, in a single step.

    Parameters
    ----------
    p_values : array of float, shape (n,)
        Observed p-values, nan where untested.
    smallest_resampled : array of float, shape (b,)
        Smallest p-value over all n tests in each relabelling.
    enumerated : bool, default False
        Whether the relabellings are all there are, the observed one among them. If not,
        they are a random sample, and the observed one is added to it.

    Returns
    -------
    array of float, shape (n,)
        Share of relabellings whose smallest p-value is no larger than the observed one:
        ``hits / b`` when enumerated, else ``(1 + hits) / (b + 1)``; nan where untested.

    References
    ----------
    .. [1] P. H. Westfall and S. S. Young, Resampling-Based Multiple Testing, 1993.

    Examples
    --------
    >>> min_p_single_step([0.01, 0.2], [0.5, 0.15, 0.3])
    array([0.25, 0.5 ])
    """
    p = np.asarray(p_values, np.float64)
    smallest = np.sort(np.asarray(smallest_resampled, np.float64))
    hits = np.searchsorted(smallest, p * (1.0 + RELATIVE_SLACK), side="right")
    return np.where(np.isnan(p), np.nan, _share(hits, len(smallest), enumerated))


def min_p_step_down(
    p_values: ArrayLike, resampled: ArrayLike, *, enumerated: bool = False
) -> Floats:
    """Adjust p-values by the smallest among those not yet rejected, step by step.

    Parameters
    ----------
    p_values : array of float, shape (n,)
        Observed p-values, nan where untested.
    resampled : array of float, shape (b, n)
        p-values of the same tests in each relabelling, nan counting as 1.
    enumerated : bool, default False
        As in `min_p_single_step`.

    Returns
    -------
    array of float, shape (n,)
        Adjusted p-values in the given order; never above the single-step ones.

    References
    ----------
    .. [1] P. H. Westfall and S. S. Young, Resampling-Based Multiple Testing, 1993,
       algorithm 2.8.
    """
    p = np.asarray(p_values, np.float64)
    draws = np.nan_to_num(np.asarray(resampled, np.float64), nan=1.0)
    tested = np.flatnonzero(~np.isnan(p))
    order = tested[np.argsort(p[tested], kind="stable")]
    # Smallest of each test and all that come after it in the observed order.
    smallest = np.minimum.accumulate(draws[:, order[::-1]], axis=1)[:, ::-1]
    hits = (smallest <= p[order] * (1.0 + RELATIVE_SLACK)).sum(axis=0)
    result = np.full(p.shape, np.nan)
    result[order] = np.maximum.accumulate(_share(hits, len(draws), enumerated))
    return result


def max_statistic_p(
    statistics: ArrayLike, largest_resampled: ArrayLike, *, enumerated: bool = False
) -> Floats:
    """Adjust scores, where larger is stronger, by the distribution of the largest one.

    Parameters
    ----------
    statistics : array of float, shape (n,)
        Observed scores, nan where untested.
    largest_resampled : array of float, shape (b,)
        Largest score over all n tests in each relabelling.
    enumerated : bool, default False
        As in `min_p_single_step`.

    Returns
    -------
    array of float, shape (n,)
        Share of relabellings whose largest score is at least the observed one.

    Examples
    --------
    >>> max_statistic_p([9.0, 2.0], [1.0, 3.0, 4.0])
    array([0.25, 0.75])
    """
    s = np.asarray(statistics, np.float64)
    largest = np.sort(np.asarray(largest_resampled, np.float64))
    below = np.searchsorted(largest, s - RELATIVE_SLACK * np.abs(s), side="left")
    hits = len(largest) - below
    return np.where(np.isnan(s), np.nan, _share(hits, len(largest), enumerated))


def _share(hits: Ints, draws: int, enumerated: bool) -> Floats:
    extra = 0 if enumerated else 1
    result: Floats = (hits + extra) / float(draws + extra)
    return result
