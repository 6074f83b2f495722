"""Fixed bands for measured values: edges from the whole production, set before any claim is seen.

A search for the best cut would find one in noise; edges that know nothing of the claims
cannot. The edges are the quintiles of all values, rounded to the coarseness of the spread.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from tracegraph.domain.units import unit_sign

FEW_VALUES = 6
"""Up to this many distinct values, each value is a level of its own."""


@dataclass(frozen=True)
class Band:
    """One band of a measured family.

    Attributes
    ----------
    level : str
        Its name: edges and unit.
    low, high : float
        Lower edge, included, and upper edge, excluded; infinite at the ends.
    """

    level: str
    low: float
    high: float


def quintile_edges(quintiles: Sequence[float], *, whole: bool = False) -> list[float]:
    """Inner edges, rounded to the coarseness of the spread; equal edges fall together.

    Parameters
    ----------
    quintiles : sequence of float
        The 20, 40, 60 and 80 % points of all values.
    whole : bool, default False
        Whether all values are whole numbers; then the edges are too.

    Returns
    -------
    list of float
        Strictly rising.

    Examples
    --------
    >>> quintile_edges([18.337, 20.012, 22.741, 25.16])
    [18.3, 20.0, 22.7, 25.2]
    >>> quintile_edges([1.0, 1.0, 1.0, 8.0])
    [1.0, 8.0]
    >>> quintile_edges([2.4, 3.8, 5.2, 6.6], whole=True)
    [3.0, 4.0, 6.0, 7.0]
    """
    if whole:
        return sorted({float(math.ceil(q)) for q in quintiles})
    spread = quintiles[-1] - quintiles[0]
    if spread > 0:
        digits = max(0, 1 - math.floor(math.log10(spread)))
        rounded = [round(q, digits) for q in quintiles]
    else:
        rounded = list(quintiles)
    return sorted(set(rounded))


def bands(quintiles: Sequence[float], unit: str | None, *, whole: bool = False) -> list[Band]:
    """Bands of one family.

    Parameters
    ----------
    quintiles : sequence of float
        The 20, 40, 60 and 80 % points of all values.
    unit : str or None
        Unit of the values, shown in the names.
    whole : bool, default False
        Whether all values are whole numbers; then a band names its first and last value.

    Returns
    -------
    list of Band
        Two to five bands, lowest first, that cover all numbers.

    Examples
    --------
    >>> [band.level for band in bands([10, 12, 14, 16], "degC")]
    ['below 10 °C', '10 to 12 °C', '12 to 14 °C', '14 to 16 °C', '16 °C and above']
    >>> [band.level for band in bands([2.4, 3.8, 5.2, 6.6], "pulls", whole=True)]
    ['below 3 pulls', '3 pulls', '4 to 5 pulls', '6 pulls', '7 pulls and above']
    """
    edges = quintile_edges(quintiles, whole=whole)
    sign = f" {unit_sign(unit)}" if unit else ""
    ends = [-math.inf, *edges, math.inf]
    named = []
    for low, high in pairwise(ends):
        if low == -math.inf:
            level = f"below {_short(high)}{sign}"
        elif high == math.inf:
            level = f"{_short(low)}{sign} and above"
        elif whole:
            last = high - 1
            level = (
                f"{_short(low)}{sign}" if last == low else f"{_short(low)} to {_short(last)}{sign}"
            )
        else:
            level = f"{_short(low)} to {_short(high)}{sign}"
        named.append(Band(level, low, high))
    return named


def single_values(values: Sequence[float], unit: str | None) -> list[Band]:
    """One level for each of a few distinct values.

    Parameters
    ----------
    values : sequence of float
        The distinct values.
    unit : str or None
        Unit of the values, shown in the names.

    Returns
    -------
    list of Band
        Lowest first; together they cover all numbers from the smallest value on.
    """
    ordered = sorted(values)
    sign = f" {unit_sign(unit)}" if unit else ""
    ends = [*ordered[1:], math.inf]
    return [
        Band(f"{_short(low)}{sign}", low, high) for low, high in zip(ordered, ends, strict=True)
    ]


def _short(value: float) -> str:
    return f"{value:.6g}"
