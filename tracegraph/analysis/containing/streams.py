"""Which uses of a material draw on one stock: its streams, found in the records themselves.

White and navy gelcoat may both be written down as gelcoat, each pump may have its own
drum, each model its own hose. Within such a stream lots follow one another; across streams
they seem to jump. Attributes of the use split the material into streams when that makes
the records, each hidden in turn, more probable.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracegraph.stats.arrays import Floats, Ints
from tracegraph.stats.neighbours import Memory, Uses, learn_memory

MOST_SPLITS = 6
"""Attributes that are used at most."""

RARE = 0.01
"""An option on a smaller share of the uses, or missing on so few, splits nothing."""

PLANT = "plant"
"""Attribute that splits wherever it is given: stores of several plants are several."""

_OPTION = "option: "
_QUICK = (0.0, 0.35, 0.7)


@dataclass(frozen=True, eq=False)
class Streams:
    """Uses sorted into streams.

    Attributes
    ----------
    names : tuple of str
        Attributes that split them.
    code : array of int, shape (n,)
        Stream of each use, in the order given; -1 where an attribute is missing.
    cells : DataFrame
        One row per stream, by code: its attributes.
    order : array of int, shape (m,)
        The uses that have a stream, in the order of ``uses``.
    uses : Uses
        These uses.
    memory : Memory
        How far neighbours are asked.
    """

    names: tuple[str, ...]
    code: Ints
    cells: pd.DataFrame
    order: Ints
    uses: Uses
    memory: Memory


def sort_into_streams(
    time: Floats, values: Ints, attributes: pd.DataFrame, *, others: float | None = None
) -> Streams:
    """Find the attributes that tell which uses follow one another.

    Parameters
    ----------
    time : array of float, shape (n,)
        When each use was.
    values : array of int, shape (n, k)
        What it carried, as for :class:`~tracegraph.stats.neighbours.Uses`.
    attributes : DataFrame
        One column of text for each attribute (null where missing), one row per use. The
        first column always splits, and so does :data:`PLANT`.
    others : float, optional
        Things that a use out of order may have carried.

    Returns
    -------
    Streams
        Attributes are added one at a time, the best first, while the gain in log
        probability is more than the log of the number of records and 3.
    """
    columns = list(attributes.columns)
    codes = {
        name: pd.factorize(attributes[name], sort=True)[0].astype(np.int64) for name in columns
    }
    recorded = int((values >= 0).any(axis=1).sum())
    chosen = [columns[0], *(name for name in columns[1:] if name == PLANT)]
    best = _score(time, values, codes, chosen, others)
    enough = 3.0 + np.log(max(recorded, 1))
    while len(chosen) <= MOST_SPLITS:
        scores = {
            name: _score(time, values, codes, [*chosen, name], others)
            for name in columns
            if name not in chosen
        }
        if not scores:
            break
        name = max(scores, key=lambda one: scores[one])
        if scores[name] < best + enough:
            break
        chosen.append(name)
        best = scores[name]
    return _sorted(time, values, attributes, codes, chosen, others)


def option_columns(options: pd.Series, among: Sequence[str] | None = None) -> pd.DataFrame:
    """One yes-or-no column for each option that some hulls have and others have not.

    Parameters
    ----------
    options : Series of str
        Options of each use's hull, separated by semicolons; null where nothing is known.
    among : sequence of str, optional
        Names of columns to give instead, of which those that are no options are passed over.

    Returns
    -------
    DataFrame
        Columns named ``option: ...``; empty when options tell nothing.

    Examples
    --------
    >>> option_columns(pd.Series(["navy; t-top", "navy", "white"]))["option: navy"].tolist()
    ['yes', 'yes', 'no']
    """
    names, place = np.unique(options.fillna("").astype(str), return_inverse=True)
    held = [{word.strip() for word in name.split(";")} - {""} for name in names]
    known = sorted({f"{_OPTION}{option}" for some in held for option in some})
    columns = {}
    for name in known if among is None else [one for one in among if one.startswith(_OPTION)]:
        having = np.array([name.removeprefix(_OPTION) in some for some in held], bool)[place]
        if among is not None or RARE <= having.mean() <= 1.0 - RARE:
            columns[name] = np.where(having, "yes", "no")
    return pd.DataFrame(columns, index=options.index)


def _joined(codes: Mapping[str, Ints], names: list[str]) -> Ints:
    """One code for each combination; -1 where any is missing."""
    result = np.zeros(len(codes[names[0]]), np.int64)
    missing = np.zeros(len(result), np.bool_)
    for name in names:
        result = result * (int(codes[name].max(initial=0)) + 2) + codes[name] + 1
        missing |= codes[name] < 0
    return np.where(missing, -1, result)


def _laid_out(time: Floats, values: Ints, code: Ints) -> tuple[Ints, Uses]:
    order = np.lexsort((time, code))
    order = order[code[order] >= 0]
    return order, Uses(code[order], time[order], values[order])


def _score(
    time: Floats, values: Ints, codes: Mapping[str, Ints], names: list[str], others: float | None
) -> float:
    code = _joined(codes, names)
    _, uses = _laid_out(time, values, code)
    lost = int((values[code < 0] >= 0).any(axis=1).sum())
    # A record without the attribute tells its neighbours nothing; it pays as a stray.
    return learn_memory(uses, others, tried=_QUICK).score - 3.0 * lost


def _sorted(
    time: Floats,
    values: Ints,
    attributes: pd.DataFrame,
    codes: Mapping[str, Ints],
    names: list[str],
    others: float | None,
) -> Streams:
    joined = _joined(codes, names)
    found, first = np.unique(joined, return_index=True)
    kept = found >= 0
    code = np.where(joined >= 0, np.searchsorted(found[kept], joined), -1).astype(np.int64)
    order, uses = _laid_out(time, values, code)
    cells = attributes.iloc[first[kept]][names].reset_index(drop=True)
    return Streams(tuple(names), code, cells, order, uses, learn_memory(uses, others))
