"""Hypergeometric probabilities of 2x2 tables with fixed margins, in log space.

Written on the four counts themselves, so that one formula serves every tail: moving one
unit into the exposed cases takes one from each neighbour and gives one to the far corner.
"""

from __future__ import annotations

from functools import lru_cache
from math import fsum, log, pi

import numpy as np
from scipy.special import gammaln, xlog1py

from tracegraph.stats.arrays import Floats, Ints

_SMALL = 32
_LARGEST_TABULATED = 2**21
_ROWS = 8192


def _small_stirling() -> Floats:
    """Exact rest of Stirling's formula for 0 to 31, where the series is too coarse."""
    rest = [
        fsum([log(i) for i in range(2, k + 1)] + [-k * log(k), float(k)]) for k in range(1, _SMALL)
    ]
    return np.array([0.0, *rest])


_STIRLING = _small_stirling()


def stirling_rest(k: Ints) -> Floats:
    """Compute what Stirling's leading term leaves out: ``log k! - (k log k - k)``.

    Parameters
    ----------
    k : array of int
        Non-negative integers.

    Returns
    -------
    array of float
        Zero for ``k = 0``; accurate to the last digits for every size, because the
        large terms are never formed.

    References
    ----------
    .. [1] C. Loader, Fast and accurate computation of binomial probabilities, 2000
       (the idea of separating the rest from the deviance).
    """
    x = np.maximum(k, _SMALL).astype(np.float64)
    inverse = 1.0 / x
    square = inverse * inverse
    series = inverse * (1 / 12 - square * (1 / 360 - square * (1 / 1260 - square / 1680)))
    return np.where(
        k < _SMALL, _STIRLING[np.minimum(k, _SMALL - 1)], 0.5 * np.log(2 * pi * x) + series
    )


@lru_cache(maxsize=4)
def _log_factorials(size: int) -> Floats:
    table: Floats = gammaln(np.arange(1.0, size + 1.0))
    table.setflags(write=False)
    return table


def log_factorial(k: Ints) -> Floats:
    """Compute ``log k!`` for many integers.

    Parameters
    ----------
    k : array of int
        Non-negative integers.

    Returns
    -------
    array of float
        Natural logarithms. Read from a table kept between calls while the largest
        entry is below two million.
    """
    if k.size == 0:
        return np.zeros(k.shape)
    largest = int(k.max())
    if largest < _LARGEST_TABULATED:
        return _log_factorials(max(1024, 1 << (largest + 1).bit_length()))[k]
    result: Floats = gammaln(k + 1.0)
    return result


def log_probability(a: Ints, b: Ints, c: Ints, d: Ints) -> Floats:
    """Log probability of tables given all their margins, under no association.

    Parameters
    ----------
    a, b, c, d : array of int, shape (n,)
        Exposed cases, exposed controls, unexposed cases, unexposed controls;
        no margin empty.

    Returns
    -------
    array of float, shape (n,)
        Natural logarithms, to about 1e-13 absolute for totals up to ten million: minus
        half the likelihood-ratio statistic plus the rests of Stirling's formula.
    """
    exposed, unexposed, cases, controls = a + b, c + d, a + c, b + d
    total = exposed + unexposed
    shift = (a * d - b * c) / total
    deviance = (
        xlog1py(a, shift / (exposed * (cases / total)))
        + xlog1py(b, -shift / (exposed * (controls / total)))
        + xlog1py(c, -shift / (unexposed * (cases / total)))
        + xlog1py(d, shift / (unexposed * (controls / total)))
    )
    result: Floats = -deviance - stirling_rest(total)
    for margin in (exposed, unexposed, cases, controls):
        result += stirling_rest(margin)
    for cell in (a, b, c, d):
        result -= stirling_rest(cell)
    return result


def relative_tail(a: Ints, b: Ints, c: Ints, d: Ints) -> Floats:
    """Sum of the tail from a table upwards, in units of that table's own probability.

    Parameters
    ----------
    a, b, c, d : array of int, shape (n,)
        Tables at or beyond the mode, so that one more exposed case is never more
        probable. For a lower tail pass the columns exchanged: ``(b, a, d, c)``.

    Returns
    -------
    array of float, shape (n,)
        At least 1. The part left out is below 1e-17 of the sum: the terms fall
        faster than a geometric series whose ratio is the last one computed.
    """
    total = np.ones(len(a))
    for start in range(0, len(a), _ROWS):
        rows = slice(start, start + _ROWS)
        _add_terms(total[rows], *(x[rows].astype(np.float64) for x in (a, b, c, d)))
    return total


def _add_terms(total: Floats, a: Floats, b: Floats, c: Floats, d: Floats) -> None:
    """Add the terms above the first one to ``total``, in place."""
    where = np.arange(len(a))
    term = np.ones(len(a))
    step, width = 0, 8
    while where.size:
        # One row per step up, one column per table.
        k = np.arange(step, step + width, dtype=np.float64)[:, None]
        terms: Floats = (b - k) * (c - k)
        terms /= (a + (k + 1.0)) * (d + (k + 1.0))
        last = terms[-1].copy()
        terms[0] *= term
        np.multiply.accumulate(terms, axis=0, out=terms)
        total[where] += terms.sum(axis=0)
        term = terms[-1]
        going = (term > 0.0) & (term * last > 1e-17 * total[where] * (1.0 - last))
        where, term = where[going], term[going]
        a, b, c, d = a[going], b[going], c[going], d[going]
        step += width
        width = min(2 * width, max(8, 2**16 // max(1, where.size)))
