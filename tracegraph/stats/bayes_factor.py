"""How much the claims speak for one level as the cause, before any look at the others.

The Bayes factor weighs the likelihood of the observed exposed cases over a spread of
plausible rate ratios against no effect. Thin levels stay near 1 and cannot top a list.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import logsumexp

from tracegraph.stats.arrays import Floats
from tracegraph.stats.poisson_binomial import CaseCounts

_CELLS = 2**20

RATIOS = np.geomspace(1.5, 60.0, 16)
"""Rate ratios that a true cause may have, evenly spaced on the log scale."""

WEIGHTS = np.exp(-((np.log(RATIOS) - np.log(5.0)) ** 2) / 2.0)
"""Their prior weights: a bell of standard deviation 1 around log 5, summing to 1."""
WEIGHTS /= WEIGHTS.sum()


@dataclass(frozen=True, eq=False)
class BayesFactors:
    """Evidence for each level as the cause; every array has one entry per level.

    Parameters
    ----------
    log_factor : array of float, shape (n,)
        Natural log of the Bayes factor of a cause against no effect.
    shrunken_ratio : array of float, shape (n,)
        Rate ratio after allowing for the many levels that could have come out on top:
        exp of the posterior mean of its log. At least 1.
    shrunken_low : array of float, shape (n,)
        5 % quantile of that posterior, one of 1 and `RATIOS`.
    """

    log_factor: Floats
    shrunken_ratio: Floats
    shrunken_low: Floats


def bayes_factors(counts: CaseCounts, rivals: ArrayLike) -> BayesFactors:
    """Weigh every level as the cause against no effect.

    Parameters
    ----------
    counts : CaseCounts
        Observed exposed cases and their chances.
    rivals : int or array of int, shape (n,)
        Number of levels in each level's family, itself included, at least 1; the prior
        chance of each being the cause is one over it.

    Returns
    -------
    BayesFactors
        One entry per level, in the given order.

    References
    ----------
    .. [1] J. Wakefield, Genetic Epidemiology 33:79-86, 2009 (Bayes factors for one
       candidate among many; from memory).

    Examples
    --------
    Six of ten cases share a lot fitted to a tenth of the hulls; so does one of one.

    >>> counts = CaseCounts([6, 1], [[0.1], [0.1]], [[10], [1]])
    >>> bayes_factors(counts, rivals=20).log_factor.round(2)
    array([6.64, 1.41])
    """
    prior = 1.0 / np.broadcast_to(np.asarray(rivals, np.float64), len(counts))
    posterior = np.empty((len(counts), 1 + len(RATIOS)))
    log_factor = np.empty(len(counts))
    rows = max(1, _CELLS // max(1, counts.chance.shape[1] * len(RATIOS)))
    for start in range(0, len(counts), rows):
        block = slice(start, start + rows)
        spread = np.log1p(counts.chance[block, :, None] * (RATIOS - 1.0))
        log_likelihood = counts.observed[block, None] * np.log(RATIOS)
        log_likelihood = log_likelihood - (counts.cases[block, :, None] * spread).sum(axis=1)
        weighted = log_likelihood + np.log(WEIGHTS)
        log_factor[block] = logsumexp(weighted, axis=1)
        with np.errstate(divide="ignore"):
            posterior[block, 0] = np.log1p(-prior[block])
        posterior[block, 1:] = weighted + np.log(prior[block, None])
    posterior = np.exp(posterior - logsumexp(posterior, axis=1, keepdims=True))
    ratios = np.concatenate([[1.0], RATIOS])
    return BayesFactors(
        log_factor=log_factor,
        shrunken_ratio=np.exp(posterior @ np.log(ratios)),
        shrunken_low=ratios[(np.cumsum(posterior, axis=1) < 0.05).sum(axis=1)],
    )
