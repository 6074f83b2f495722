"""Adjustment of p-values for the number of questions asked.

A p-value of nan stands for a question that could not be tested: it stays nan and is not
counted. Results come back in the caller's order.
"""

from __future__ import annotations

from typing import Literal, TypeAlias, get_args

import numpy as np
from numpy.typing import ArrayLike

from tracegraph.stats.arrays import Bools, Floats, Ints

Method: TypeAlias = Literal[
    "bonferroni", "holm", "hochberg", "benjamini-hochberg", "benjamini-yekutieli"
]

_LN10 = float(np.log(10.0))


def adjust(p_values: ArrayLike, method: Method = "benjamini-hochberg") -> Floats:
    """Adjust p-values for multiple testing.

    Parameters
    ----------
    p_values : array of float, shape (n,)
        In [0, 1], or nan for what was not tested.
    method : str, default "benjamini-hochberg"
        "bonferroni", "holm" and "hochberg" bound the chance of any false alarm;
        "benjamini-hochberg" and "benjamini-yekutieli" bound the expected share of false
        alarms among the findings, the latter under any dependence.

    Returns
    -------
    array of float, shape (n,)
        Adjusted values in the given order, nan where the input is nan; the number of
        tests is that of the other entries.

    Raises
    ------
    ValueError
        If a value lies outside [0, 1] or the method is unknown.

    References
    ----------
    .. [1] Y. Benjamini and Y. Hochberg, JRSS B 57:289-300, 1995.
    .. [2] Y. Benjamini and D. Yekutieli, Annals of Statistics 29:1165-1188, 2001.
    .. [3] S. Holm, Scandinavian Journal of Statistics 6:65-70, 1979.
    .. [4] Y. Hochberg, Biometrika 75:800-802, 1988.

    Examples
    --------
    >>> adjust([0.01, float("nan"), 0.02, 0.5])
    array([0.03,  nan, 0.03, 0.5 ])
    """
    p = np.asarray(p_values, np.float64)
    known = p[~np.isnan(p)]
    if ((known < 0.0) | (known > 1.0)).any():
        raise ValueError(
            f"p-values must lie in [0, 1]; got {known.min():g} to {known.max():g}. "
            "Logarithms go to adjust_log10."
        )
    factor, step_up = _factors(len(known), method)
    order = np.argsort(known, kind="stable")
    adjusted = _enforce_order(known[order] * factor, step_up)
    return _put_back(p, order, np.minimum(adjusted, 1.0))


def adjust_repeated(p_values: ArrayLike, repeats: ArrayLike) -> Floats:
    """Benjamini's and Hochberg's adjustment where many tests have the same p-value.

    Parameters
    ----------
    p_values : array of float, shape (k,)
        In [0, 1], or nan for what was not tested.
    repeats : array of int, shape (k,)
        How many tests each stands for.

    Returns
    -------
    array of float, shape (k,)
        What :func:`adjust` gives when every p-value is written out as often as it stands.

    Examples
    --------
    >>> adjust_repeated([0.01, 0.5], [2, 1]), adjust([0.01, 0.01, 0.5])
    (array([0.015, 0.5  ]), array([0.015, 0.015, 0.5  ]))
    """
    p, count = np.asarray(p_values, np.float64), np.asarray(repeats, np.int64)
    here = ~np.isnan(p)
    order = np.argsort(p[here], kind="stable")
    through = np.cumsum(count[here][order])
    total = through[-1] if len(through) else 0
    adjusted = _enforce_order(p[here][order] * (total / through), step_up=True)
    return _put_back(p, order, np.minimum(adjusted, 1.0))


def adjust_log10(log10_p: ArrayLike, method: Method = "benjamini-hochberg") -> Floats:
    """Adjust p-values given by their decimal logarithms, so that nothing underflows.

    Parameters
    ----------
    log10_p : array of float, shape (n,)
        At most 0, or nan for what was not tested.
    method : str, default "benjamini-hochberg"
        As in `adjust`.

    Returns
    -------
    array of float, shape (n,)
        Decimal logarithms of the adjusted values, nan where the input is nan.

    Raises
    ------
    ValueError
        If a logarithm is above 0 or the method is unknown.

    Examples
    --------
    >>> adjust_log10([-1088.5, -870.0, -500.0]).round(3)
    array([-1088.023,  -869.824,  -500.   ])
    """
    p = np.asarray(log10_p, np.float64)
    known = p[~np.isnan(p)]
    if (known > 0.0).any():
        raise ValueError(
            f"log10 of a p-value is at most 0; got {known.max():g}. Plain p-values go to adjust."
        )
    factor, step_up = _factors(len(known), method)
    order = np.argsort(known, kind="stable")
    adjusted = _enforce_order(known[order] + np.log10(factor), step_up)
    return _put_back(p, order, np.minimum(adjusted, 0.0))


def _factors(count: int, method: Method) -> tuple[Floats, bool]:
    """Factor for each p-value in ascending order, and whether the method steps up."""
    rank = np.arange(1.0, count + 1.0)
    if method == "bonferroni":
        return np.full(count, float(count)), False
    if method in ("holm", "hochberg"):
        return count + 1.0 - rank, method == "hochberg"
    if method == "benjamini-hochberg":
        return count / rank, True
    if method == "benjamini-yekutieli":
        return count / rank * (1.0 / rank).sum(), True
    raise ValueError(f"method must be one of {', '.join(get_args(Method))}; got {method!r}.")


def _enforce_order(scaled: Floats, step_up: bool) -> Floats:
    """Make the adjusted values rise with the p-values they belong to."""
    if step_up:
        lowered: Floats = np.minimum.accumulate(scaled[::-1])[::-1]
        return lowered
    raised: Floats = np.maximum.accumulate(scaled)
    return raised


def _put_back(original: Floats, order: Ints, adjusted: Floats) -> Floats:
    """Return adjusted values to the caller's order, nan where the input was nan."""
    result = np.full(original.shape, np.nan)
    unsorted = np.empty(len(order))
    unsorted[order] = adjusted
    result[~np.isnan(original)] = unsorted
    return result


def tarone_count(smallest: ArrayLike, alpha: float = 0.05) -> int:
    """Tarone's number of tests to pay for when some can never be significant.

    Parameters
    ----------
    smallest : array of float, shape (n,)
        Smallest p-value each test can reach; nan counts as never.
    alpha : float, default 0.05
        Chance of any false alarm that is accepted.

    Returns
    -------
    int
        The smallest k for which at most k tests can reach ``alpha / k``; at least 1.
        A test is then significant when its p-value is at most ``alpha / k``. The rule is
        not monotone in ``alpha``: fix it beforehand.

    References
    ----------
    .. [1] R. E. Tarone, Biometrics 46:515-522, 1990.
    .. [2] G. Hommel and F. Krummenauer, Biometrics 54:673-681, 1998 (the weakness).

    Examples
    --------
    >>> tarone_count([1/8, 1/78, 1/988, 1/18278], alpha=0.05)
    3
    """
    reachable = np.sort(np.asarray(smallest, np.float64))
    reachable = reachable[~np.isnan(reachable)]
    k = np.arange(1, len(reachable) + 1)
    able = np.searchsorted(reachable, alpha / k, side="right")
    enough = k[able <= k]
    return int(enough[0]) if len(enough) else 1


def tarone_adjust(p_values: ArrayLike, smallest: ArrayLike) -> Floats:
    """Adjust p-values by Tarone's rule.

    Parameters
    ----------
    p_values, smallest : array of float, shape (n,)
        Observed p-values and the smallest that each test can reach; nan where untested.

    Returns
    -------
    array of float, shape (n,)
        The smallest chance of any false alarm at which each test is significant: its
        p-value times the number of tests that can reach it, at most 1.

    References
    ----------
    .. [1] R. E. Tarone, Biometrics 46:515-522, 1990.
    """
    p, low = np.asarray(p_values, np.float64), np.asarray(smallest, np.float64)
    reachable = np.sort(low[~np.isnan(low)])
    able = np.searchsorted(reachable, p * (1.0 + 1e-12), side="right")
    return np.where(np.isnan(p), np.nan, np.minimum(1.0, p * able))


def able_to_signal(smallest: ArrayLike, alpha: float = 0.05) -> Bools:
    """Tell the tests that could be significant from those that are too thin.

    Parameters
    ----------
    smallest : array of float, shape (n,)
        Smallest p-value each test can reach; nan where untested.
    alpha : float, default 0.05
        Chance of any false alarm that is accepted.

    Returns
    -------
    array of bool, shape (n,)
        Where the smallest p-value is within ``alpha / tarone_count``. Restricting
        another adjustment to these tests looks at the margins only, never at the result.

    References
    ----------
    .. [1] P. B. Gilbert, Applied Statistics 54:143-158, 2005.
    """
    low = np.asarray(smallest, np.float64)
    result: Bools = np.nan_to_num(low, nan=2.0) <= alpha / tarone_count(low, alpha)
    return result
