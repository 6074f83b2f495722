"""Fisher's exact test for one table or for very many at once, with mid-p.

The work per table is one log probability, two short tail sums and one bisection,
whatever the size of the margins; equal tables are computed once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias, get_args

import numpy as np

from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.contingency import ContingencyTable, TableArrays
from tracegraph.stats.hypergeometric import log_factorial, log_probability, relative_tail

Alternative: TypeAlias = Literal["two-sided", "greater", "less"]

RELATIVE_SLACK = 1e-7
"""Two tables whose probabilities differ by less than this share count as equally probable.

Ties are frequent (mirror tables) and rounding must not break them; the value is that of
R's ``fisher.test``.
"""

_LN10 = float(np.log(10.0))


@dataclass(frozen=True)
class ExactTest:
    """Result of Fisher's exact test on one table.

    Parameters
    ----------
    table : ContingencyTable
        What was tested.
    alternative : {"two-sided", "greater", "less"}
        Which departure was asked for; "greater" means that the exposed fail more often.
    p_value : float
        In [0, 1]; 1.0 when a margin is empty. May underflow to 0 below 1e-308.
    log10_p_value : float
        Its decimal logarithm, which never underflows.
    mid_p : float
        The p-value with the observed table counted by half; two-sided it is twice the
        smaller one-sided mid-p.
    testable : bool
        False when a margin is empty, so that nothing can be compared.
    """

    table: ContingencyTable
    alternative: Alternative
    p_value: float
    log10_p_value: float
    mid_p: float
    testable: bool


@dataclass(frozen=True, eq=False)
class ExactTests:
    """Fisher's exact tests of many tables; every array has one entry per table.

    Parameters
    ----------
    two_sided, greater, less : array of float, shape (n,)
        p-values in [0, 1]; 1.0 where a margin is empty.
    mid_p, mid_p_greater, mid_p_less : array of float, shape (n,)
        The same with the observed table counted by half; ``mid_p`` is twice the smaller
        one-sided value, at most 1.
    log10_two_sided, log10_greater, log10_less, log10_mid_p : array of float, shape (n,)
        Decimal logarithms, formed in log space, so that order survives where the
        p-values underflow.
    testable : array of bool, shape (n,)
        Where no margin is empty.
    """

    two_sided: Floats
    greater: Floats
    less: Floats
    mid_p: Floats
    mid_p_greater: Floats
    mid_p_less: Floats
    log10_two_sided: Floats
    log10_greater: Floats
    log10_less: Floats
    log10_mid_p: Floats
    testable: Bools


def fisher_exact(table: ContingencyTable, *, alternative: Alternative = "two-sided") -> ExactTest:
    """Fisher's exact test of association between exposure and failure.

    Parameters
    ----------
    table : ContingencyTable
        Four counts, non-negative integers.
    alternative : {"two-sided", "greater", "less"}
        "greater" asks whether the exposed fail more often. "two-sided" adds up every
        table with the same margins that is no more probable than the observed one.

    Returns
    -------
    ExactTest
        ``p_value`` in [0, 1]; 1.0 and ``testable`` false when a margin is empty.

    Raises
    ------
    ValueError
        If the alternative is none of the three.

    References
    ----------
    .. [1] R. A. Fisher, The Design of Experiments, 1935, ch. II.

    Examples
    --------
    The tea-tasting table; by counting, p = 17/70.

    >>> tea = ContingencyTable(exposed_cases=3, exposed_controls=1,
    ...                        unexposed_cases=1, unexposed_controls=3)
    >>> round(fisher_exact(tea, alternative="greater").p_value, 6)
    0.242857
    """
    if alternative not in get_args(Alternative):
        raise ValueError(
            f'alternative must be "two-sided", "greater" or "less"; got {alternative!r}. '
            "Choose one of the three."
        )
    tests = fisher_exact_many(table.as_arrays())
    p, log10_p, mid_p = {
        "two-sided": (tests.two_sided, tests.log10_two_sided, tests.mid_p),
        "greater": (tests.greater, tests.log10_greater, tests.mid_p_greater),
        "less": (tests.less, tests.log10_less, tests.mid_p_less),
    }[alternative]
    return ExactTest(
        table=table,
        alternative=alternative,
        p_value=float(p[0]),
        log10_p_value=float(log10_p[0]),
        mid_p=float(mid_p[0]),
        testable=table.testable,
    )


def fisher_exact_many(tables: TableArrays) -> ExactTests:
    """Fisher's exact test of every table: two-sided, one-sided, mid-p, and logarithms.

    Parameters
    ----------
    tables : TableArrays
        The tables; equal ones are computed once.

    Returns
    -------
    ExactTests
        One entry per table in the given order; p-values are 1 and ``testable`` is false
        where a margin is empty.

    Notes
    -----
    Relative error is about 1e-12 for totals up to ten million. The tail on the far side
    of the mode starts at the first table no more probable than the observed one, found
    by bisection; tails are summed outward by the ratio of neighbouring probabilities.

    Examples
    --------
    >>> lots = TableArrays(exposed_cases=[8, 900], exposed_controls=[2, 0],
    ...                    unexposed_cases=[1, 0], unexposed_controls=[5, 2700])
    >>> tests = fisher_exact_many(lots)
    >>> tests.two_sided.round(6)
    array([0.034965, 0.      ])
    >>> tests.log10_two_sided.round(3)
    array([  -1.456, -877.375])
    """
    testable = tables.testable
    kept = tables.take(testable)
    first, inverse = kept.distinct()
    columns = _distinct_tests(kept.take(first))
    spread = []
    for column in columns:
        whole = np.zeros(len(tables))
        whole[testable] = column[inverse]
        spread.append(whole)
    two, greater, less, mid_greater, mid_less = spread
    mid = np.minimum(0.0, np.minimum(mid_greater, mid_less) + np.log(2.0))
    # Adding 0.0 turns the -0.0 of log 1 into 0.0.
    return ExactTests(
        two_sided=np.exp(two),
        greater=np.exp(greater),
        less=np.exp(less),
        mid_p=np.exp(mid),
        mid_p_greater=np.exp(mid_greater),
        mid_p_less=np.exp(mid_less),
        log10_two_sided=two / _LN10 + 0.0,
        log10_greater=greater / _LN10 + 0.0,
        log10_less=less / _LN10 + 0.0,
        log10_mid_p=mid / _LN10 + 0.0,
        testable=testable,
    )


def smallest_p(tables: TableArrays, *, alternative: Alternative = "greater") -> Floats:
    """Smallest p-value that the margins of each table allow.

    Parameters
    ----------
    tables : TableArrays
        Only the margins matter.
    alternative : {"two-sided", "greater", "less"}
        For which test.

    Returns
    -------
    array of float, shape (n,)
        In (0, 1]; 1.0 where a margin is empty.

    Examples
    --------
    A lot of one hull among 40 with 5 claims cannot get below 5/40.

    >>> lot = TableArrays.from_margins(exposed_cases=1, exposed=1, cases=5, total=40)
    >>> smallest_p(lot).round(6)
    array([0.125])
    """
    most = np.minimum(tables.exposed, tables.cases)
    fewest = np.maximum(0, tables.exposed - tables.controls)

    def moved(a: Ints) -> ExactTests:
        return fisher_exact_many(
            TableArrays.from_margins(
                exposed_cases=a, exposed=tables.exposed, cases=tables.cases, total=tables.total
            )
        )

    if alternative == "greater":
        return moved(most).greater
    if alternative == "less":
        return moved(fewest).less
    return np.minimum(moved(most).two_sided, moved(fewest).two_sided)


def _distinct_tests(tables: TableArrays) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Natural logs of the p-values and mid-p-values of testable tables."""
    a, b, c, d = tables.counts
    up = b * c <= (a + 1) * (d + 1)
    # Exchange the columns where the table lies below the mode: the near tail then
    # always runs upwards, and there is one case to treat instead of two.
    a, b = np.where(up, a, b), np.where(up, b, a)
    c, d = np.where(up, c, d), np.where(up, d, c)

    log_p = log_probability(a, b, c, d)
    near = relative_tail(a, b, c, d)
    log_near = np.where(np.minimum(a, d) == 0, 0.0, np.minimum(0.0, log_p + np.log(near)))
    log_near_mid = np.minimum(log_p + np.log(near - 0.5), 0.0)
    # The other tail holds the mode, so it is never small and the complement is safe.
    own = np.exp(log_p)
    above = own * (near - 1.0)
    log_other = np.log1p(-np.minimum(above, 1.0 - own))
    log_other_mid = np.log1p(-np.minimum(above + 0.5 * own, 1.0 - 0.5 * own))

    log_far = _far_tail(a, b, c, d)
    log_two = np.minimum(0.0, np.logaddexp(log_near, log_far))
    return (
        log_two,
        np.where(up, log_near, log_other),
        np.where(up, log_other, log_near),
        np.where(up, log_near_mid, log_other_mid),
        np.where(up, log_other_mid, log_near_mid),
    )


def _far_tail(a: Ints, b: Ints, c: Ints, d: Ints) -> Floats:
    """Log probability of the tables below the mode that are no more probable than given.

    Parameters
    ----------
    a, b, c, d : array of int, shape (n,)
        Tables at or above the mode.

    Returns
    -------
    array of float, shape (n,)
        Minus infinity where there is no such table.
    """
    # Number of units to move down from the observed table: at least `least`, so as to
    # stand below the mode, at most `most`, where a count reaches zero.
    mode = ((a + b + 1) * (a + c + 1)) // (a + b + c + d + 2)
    least = np.maximum(1, a - mode + 1)
    most = np.minimum(a, d)
    limit = _log_weight(a, b, c, d) - RELATIVE_SLACK
    low, high = least.copy(), np.maximum(most + 1, least)
    open_ = np.flatnonzero(low < high)
    while open_.size:
        middle = (low[open_] + high[open_]) // 2
        weight = _log_weight(
            a[open_] - middle, b[open_] + middle, c[open_] + middle, d[open_] - middle
        )
        fits = weight >= limit[open_]
        high[open_] = np.where(fits, middle, high[open_])
        low[open_] = np.where(fits, low[open_], middle + 1)
        open_ = open_[low[open_] < high[open_]]
    result = np.full(len(a), -np.inf)
    found = np.flatnonzero(low <= most)
    down = low[found]
    a, b, c, d = a[found] - down, b[found] + down, c[found] + down, d[found] - down
    result[found] = log_probability(a, b, c, d) + np.log(relative_tail(b, a, d, c))
    return result


def _log_weight(a: Ints, b: Ints, c: Ints, d: Ints) -> Floats:
    """Sum of the log factorials of the counts: larger means less probable."""
    return log_factorial(a) + log_factorial(b) + log_factorial(c) + log_factorial(d)
