"""Association within strata: Mantel-Haenszel, homogeneity, and the exact conditional test.

Strata hold apart what the groups differ in already (model, half-year). One stratum is one
2x2 table; strata with an empty margin carry no information and drop out by themselves.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtrc, logsumexp, ndtri

from tracegraph.stats.arrays import Floats, Ints
from tracegraph.stats.contingency import TableArrays
from tracegraph.stats.exact import RELATIVE_SLACK
from tracegraph.stats.hypergeometric import log_factorial
from tracegraph.stats.tilting import TiltedFamilies, check_confidence, estimate_and_limits


@dataclass(frozen=True, eq=False)
class CommonOddsRatios:
    """Mantel-Haenszel odds ratios of many levels; every array has one entry per level.

    Parameters
    ----------
    odds_ratio : array of float, shape (n,)
        Common odds ratio; nan without an informative stratum.
    low, high : array of float, shape (n,)
        Robins-Breslow-Greenland limits; nan where the odds ratio is 0, infinite or nan.
    log_se : array of float, shape (n,)
        Standard error of the log odds ratio.
    chi_square, p_value : array of float, shape (n,)
        Cochran-Mantel-Haenszel statistic, one degree of freedom; p is 1 and the
        statistic nan without an informative stratum.
    chi_square_corrected, p_value_corrected : array of float, shape (n,)
        The same with half a unit taken off the gap.
    informative : array of int, shape (n,)
        Number of strata without an empty margin.
    confidence : float
        Confidence of the limits.
    """

    odds_ratio: Floats
    low: Floats
    high: Floats
    log_se: Floats
    chi_square: Floats
    p_value: Floats
    chi_square_corrected: Floats
    p_value_corrected: Floats
    informative: Ints
    confidence: float


@dataclass(frozen=True)
class Homogeneity:
    """Whether the odds ratio is the same in all strata; small p-values say that it is not.

    Parameters
    ----------
    breslow_day, breslow_day_p : float
        Breslow and Day's statistic at the Mantel-Haenszel odds ratio.
    tarone, tarone_p : float
        The same with Tarone's adjustment, which restores its chi-square law.
    woolf, woolf_p : float
        Woolf's statistic; nan when an informative stratum holds a zero.
    degrees_of_freedom : int
        Informative strata less one; all statistics are nan and p-values 1 below 1, or
        when the common odds ratio is 0 or infinite.
    """

    breslow_day: float
    breslow_day_p: float
    tarone: float
    tarone_p: float
    woolf: float
    woolf_p: float
    degrees_of_freedom: int


@dataclass(frozen=True)
class ExactCommonOddsRatio:
    """Exact conditional inference on one odds ratio common to all strata.

    Parameters
    ----------
    odds_ratio : float
        Conditional maximum likelihood estimate; nan without an informative stratum.
    low, high : float
        Exact limits.
    two_sided, greater, less : float
        p-values of an odds ratio of 1; 1 without an informative stratum.
    confidence : float
        Confidence of the limits.
    """

    odds_ratio: float
    low: float
    high: float
    two_sided: float
    greater: float
    less: float
    confidence: float


def common_odds_ratios(
    strata: TableArrays, level: ArrayLike | None = None, *, confidence: float = 0.95
) -> CommonOddsRatios:
    """Mantel-Haenszel odds ratio and test of every level, each over its own strata.

    Parameters
    ----------
    strata : TableArrays
        One table per stratum of each level, in any order.
    level : array of int, shape (len(strata),), optional
        Number of the level that each table belongs to, from 0; by default all tables
        are strata of one level.
    confidence : float, default 0.95
        Between 0 and 1.

    Returns
    -------
    CommonOddsRatios
        One entry per level, up to the largest number given.

    References
    ----------
    .. [1] N. Mantel and W. Haenszel, JNCI 22:719-748, 1959.
    .. [2] J. Robins, N. Breslow and S. Greenland, Biometrics 42:311-323, 1986.

    Examples
    --------
    Penicillin in rabbits, five strata, two of them without information.

    >>> rabbits = TableArrays(exposed_cases=[0, 3, 6, 5, 2], exposed_controls=[6, 3, 0, 1, 0],
    ...                       unexposed_cases=[0, 0, 2, 6, 5], unexposed_controls=[5, 6, 4, 0, 0])
    >>> result = common_odds_ratios(rabbits)
    >>> result.odds_ratio, result.informative
    (array([7.]), array([3]))
    """
    alpha = check_confidence(confidence)
    group = np.zeros(len(strata), np.int64) if level is None else np.asarray(level, np.int64)
    keep = strata.testable
    count = int(group.max(initial=0)) + 1
    tables, group = strata.take(keep), group[keep]
    a, b, c, d = (x.astype(np.float64) for x in tables.counts)
    n = tables.total.astype(np.float64)

    def total(values: Floats) -> Floats:
        return np.asarray(np.bincount(group, weights=values, minlength=count), np.float64)

    with np.errstate(divide="ignore", invalid="ignore"):
        r, s, p, q = a * d / n, b * c / n, (a + d) / n, (b + c) / n
        sum_r, sum_s = total(r), total(s)
        variance = total(p * r) / (2 * sum_r**2) + total(q * s) / (2 * sum_s**2)
        variance += total(p * s + q * r) / (2 * sum_r * sum_s)
        log_se = np.where((sum_r > 0) & (sum_s > 0), np.sqrt(variance), np.nan)
        ratio = sum_r / sum_s
        margin = np.exp(-float(ndtri(alpha / 2)) * log_se)
        gap = np.abs(total(a - (a + b) * (a + c) / n))
        spread = total((a + b) * (c + d) * (a + c) * (b + d) / (n**2 * (n - 1)))
        plain, corrected = gap**2 / spread, np.maximum(gap - 0.5, 0.0) ** 2 / spread
    return CommonOddsRatios(
        odds_ratio=ratio,
        low=ratio / margin,
        high=ratio * margin,
        log_se=log_se,
        chi_square=plain,
        p_value=_p_value(plain),
        chi_square_corrected=corrected,
        p_value_corrected=_p_value(corrected),
        informative=np.bincount(group, minlength=count).astype(np.int64),
        confidence=confidence,
    )


def _p_value(chi_square: Floats) -> Floats:
    """Upper tail on one degree of freedom, 1 where there is no statistic."""
    return np.asarray(chdtrc(1.0, np.nan_to_num(chi_square, nan=0.0)), np.float64)


def homogeneity(strata: TableArrays) -> Homogeneity:
    """Test whether the odds ratio is the same in all strata.

    Parameters
    ----------
    strata : TableArrays
        One table per stratum.

    Returns
    -------
    Homogeneity
        Three statistics with their p-values.

    References
    ----------
    .. [1] N. E. Breslow and N. E. Day, Statistical Methods in Cancer Research 1, 1980.
    .. [2] R. E. Tarone, Biometrika 72:91-95, 1985.
    .. [3] B. Woolf, Annals of Human Genetics 19:251-253, 1955.
    """
    kept = strata.take(strata.testable)
    ratio = float(common_odds_ratios(kept).odds_ratio[0]) if len(kept) else np.nan
    freedom = len(kept) - 1
    if freedom < 1 or not 0.0 < ratio < np.inf:
        nan = float("nan")
        return Homogeneity(nan, 1.0, nan, 1.0, nan, 1.0, max(freedom, 0))
    a, b, c, d = (x.astype(np.float64) for x in kept.counts)
    exposed, cases, unexposed = a + b, a + c, c + d
    linear = unexposed - cases + ratio * (exposed + cases)
    product = ratio * exposed * cases
    fitted = 2.0 * product / (linear + np.sqrt(linear**2 + 4.0 * (1.0 - ratio) * product))
    variance = 1.0 / (
        1 / fitted
        + 1 / (exposed - fitted)
        + 1 / (cases - fitted)
        + 1 / (unexposed - cases + fitted)
    )
    breslow_day = float(((a - fitted) ** 2 / variance).sum())
    tarone = breslow_day - float((a - fitted).sum() ** 2 / variance.sum())
    woolf = float("nan")
    if min(x.min() for x in (a, b, c, d)) > 0:
        weight = 1.0 / (1 / a + 1 / b + 1 / c + 1 / d)
        log_ratio = np.log(a * d / (b * c))
        woolf = float((weight * (log_ratio - np.average(log_ratio, weights=weight)) ** 2).sum())
    return Homogeneity(
        breslow_day=breslow_day,
        breslow_day_p=float(chdtrc(freedom, breslow_day)),
        tarone=tarone,
        tarone_p=float(chdtrc(freedom, tarone)),
        woolf=woolf,
        woolf_p=1.0 if np.isnan(woolf) else float(chdtrc(freedom, woolf)),
        degrees_of_freedom=freedom,
    )


def exact_common_odds_ratio(
    strata: TableArrays, *, confidence: float = 0.95
) -> ExactCommonOddsRatio:
    """Exact test and limits for one odds ratio, given the margins of every stratum.

    Parameters
    ----------
    strata : TableArrays
        One table per stratum.
    confidence : float, default 0.95
        Between 0 and 1.

    Returns
    -------
    ExactCommonOddsRatio
        The two-sided p-value adds up all totals of exposed cases that are no more
        probable than the observed one.

    References
    ----------
    .. [1] C. R. Mehta, N. R. Patel and R. Gray, JASA 80:969-973, 1985.
    """
    alpha = check_confidence(confidence)
    kept = strata.take(strata.testable)
    if not len(kept):
        nan = float("nan")
        return ExactCommonOddsRatio(nan, nan, nan, 1.0, 1.0, 1.0, confidence)
    a, b, c, d = (x.astype(np.float64) + 0.5 for x in kept.counts)
    rough = float(np.log((a * d / (a + b + c + d)).sum() / (b * c / (a + b + c + d)).sum()))
    # Each tilt resolves the probabilities around its own mean best.
    roads = np.array([_sum_log_pmf(kept, tilt) for tilt in (-rough, 0.0, rough)])
    log_pmf = np.take_along_axis(roads[:, 1], roads[:, 0].argmax(axis=0)[None], axis=0)[0]
    observed = int(np.minimum(kept.exposed_cases, kept.unexposed_controls).sum())
    steps = np.array([observed]), np.array([len(log_pmf) - 1 - observed])
    family = TiltedFamilies(log_pmf, *steps, *steps)
    ratio, low, high = np.exp(estimate_and_limits(family, np.array([rough]), alpha)[:3, 0])
    no_more_probable = log_pmf <= log_pmf[observed] + RELATIVE_SLACK
    parts = (log_pmf[no_more_probable], log_pmf[observed:], log_pmf[: observed + 1])
    two, greater, less = (min(1.0, float(np.exp(logsumexp(x)))) for x in parts)
    return ExactCommonOddsRatio(
        float(ratio), float(low), float(high), two, greater, less, confidence
    )


def _sum_log_pmf(strata: TableArrays, tilt: float) -> Floats:
    """Log probabilities of the total of exposed cases, computed at a tilt and without it.

    Returns
    -------
    array of float, shape (2, k)
        At the tilt, and converted back to no association.
    """
    pmf, log_scale = np.ones(1), 0.0
    for a, b, c, d in zip(*strata.counts, strict=True):
        step = np.arange(-min(a, d), min(b, c) + 1)
        log_weight = -(
            log_factorial(a + step) + log_factorial(b - step)
            + log_factorial(c - step) + log_factorial(d + step)
        )  # fmt: skip
        tilted: Floats = log_weight + tilt * (step - step[0])
        pmf = np.convolve(pmf, np.exp(tilted - logsumexp(tilted)))
        log_scale += float(logsumexp(tilted) - logsumexp(log_weight))
    with np.errstate(divide="ignore"):
        log_pmf = np.log(pmf)
    return np.array([log_pmf, log_pmf - tilt * np.arange(len(pmf)) + log_scale])
