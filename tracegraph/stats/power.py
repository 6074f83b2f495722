"""What Fisher's test could have found: its exact power for lots of a given size."""

from __future__ import annotations

import numpy as np
from scipy.stats import binom

from tracegraph.stats.contingency import TableArrays
from tracegraph.stats.exact import Alternative, fisher_exact_many

_NEGLIGIBLE = 1e-13


def fisher_power(
    share: float,
    other_share: float,
    units: int,
    other_units: int,
    *,
    alpha: float = 0.05,
    alternative: Alternative = "greater",
) -> float:
    """Chance that Fisher's test comes out significant, over both random counts.

    Parameters
    ----------
    share, other_share : float
        True shares of cases among the exposed and the unexposed, in [0, 1].
    units, other_units : int
        Exposed and unexposed units.
    alpha : float, default 0.05
        A p-value of at most this is significant. For one lot among many divide by the
        number that is paid for.
    alternative : {"two-sided", "greater", "less"}, default "greater"
        "greater" looks for more cases among the exposed.

    Returns
    -------
    float
        Power; with equal shares, the true size of the test. Pairs of counts rarer than
        1e-13 are left out.

    Examples
    --------
    A lot of 60 at 10 % among 940 hulls at 3 %, alone and as one of fifty lots.

    >>> round(fisher_power(0.10, 0.03, 60, 940), 3)
    0.666
    >>> round(fisher_power(0.10, 0.03, 60, 940, alpha=0.05 / 50), 3)
    0.209
    """
    first, second = binom(units, share), binom(other_units, other_share)
    low, high = first.ppf(_NEGLIGIBLE), first.ppf(1.0 - _NEGLIGIBLE)
    a = np.arange(max(0, int(low)), int(high) + 1)
    low, high = second.ppf(_NEGLIGIBLE), second.ppf(1.0 - _NEGLIGIBLE)
    c = np.arange(max(0, int(low)), int(high) + 1)
    exposed_cases, unexposed_cases = (x.ravel() for x in np.meshgrid(a, c, indexing="ij"))
    tests = fisher_exact_many(
        TableArrays(
            exposed_cases=exposed_cases,
            exposed_controls=units - exposed_cases,
            unexposed_cases=unexposed_cases,
            unexposed_controls=other_units - unexposed_cases,
        )
    )
    p = {"two-sided": tests.two_sided, "greater": tests.greater, "less": tests.less}[alternative]
    chance = np.outer(first.pmf(a), second.pmf(c)).ravel()
    return float(chance[p <= alpha * (1.0 + 1e-12)].sum())


def smallest_detectable_share(
    other_share: float,
    units: int,
    other_units: int,
    *,
    alpha: float = 0.05,
    power: float = 0.8,
) -> float:
    """Smallest share of cases among the exposed that would be found often enough.

    Parameters
    ----------
    other_share : float
        Share of cases among the unexposed.
    units, other_units : int
        Exposed and unexposed units.
    alpha : float, default 0.05
        Level of the one-sided test.
    power : float, default 0.8
        How often it should be found.

    Returns
    -------
    float
        A share to 0.001; nan when even a lot that fails throughout would be missed too
        often.

    Examples
    --------
    >>> smallest_detectable_share(0.03, 60, 940)
    0.118
    """

    def found(thousandths: int) -> bool:
        return (
            fisher_power(thousandths / 1000, other_share, units, other_units, alpha=alpha) >= power
        )

    low, high = int(np.floor(other_share * 1000)), 1000
    if not found(high):
        return float("nan")
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if found(middle) else (middle, high)
    return high / 1000
