"""Four counts for every level: the only work that grows with the plant."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from tracegraph.domain.kinds import PEOPLE
from tracegraph.stats.contingency import TableArrays
from tracegraph.store import Connection, Store

Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Counts:
    """Counts of one cohort, one entry per level that any of its hulls carries.

    Attributes
    ----------
    level_id : array of int, shape (n,)
        Which level.
    family_id : array of int, shape (n,)
        Its family.
    tables : TableArrays
        Affected and not affected among known hulls that carry the level and those that
        do not.
    unknown : array of int, shape (n,)
        Hulls to which the family applies, but whose record does not say.
    unknown_affected : array of int, shape (n,)
        The affected among them.
    """

    level_id: Ints
    family_id: Ints
    tables: TableArrays
    unknown: Ints
    unknown_affected: Ints


def count_exposure(session: Connection, *, people: bool = False) -> Counts:
    """Count the cohort of a session over every family and level.

    Parameters
    ----------
    session : Connection
        Holds the temporary table ``cohort`` (``hull_id``, ``affected`` 0 or 1).
    people : bool, default False
        Whether families of people are counted too.

    Returns
    -------
    Counts
        In the order of families and levels.

    Notes
    -----
    A hull with several levels of one family counts once for each. A hull with one blank
    among several recorded levels is exposed to those and unknown for all others.
    """
    columns = session.shared_arrays("exposure_counts", {"people": people, "people_kind": PEOPLE})
    families = _plain(columns["family_id"])
    levels = np.ma.filled(columns["level_id"], -1).astype(np.int64)
    size = int(families.max(initial=0)) + 1

    def per_family(name: str) -> Ints:
        total = np.zeros(size, np.int64)
        np.add.at(total, families, _plain(columns[name]))
        return total

    applies, applies_affected = per_family("first_hulls"), per_family("first_affected")
    known, known_affected = per_family("known_hulls"), per_family("known_affected")

    real = levels > 0
    family = families[real]
    exposed = _plain(columns["hulls"])[real]
    exposed_cases = _plain(columns["affected"])[real]
    total = known[family] + _plain(columns["part_hulls"])[real]
    cases = known_affected[family] + _plain(columns["part_affected"])[real]
    return Counts(
        level_id=levels[real],
        family_id=family,
        tables=TableArrays.from_margins(
            exposed_cases=exposed_cases, exposed=exposed, cases=cases, total=total
        ),
        unknown=applies[family] - total,
        unknown_affected=applies_affected[family] - cases,
    )


def level_names(store: Store) -> pd.DataFrame:
    """Names of all levels.

    Returns
    -------
    DataFrame
        Indexed by ``level_id``: ``level``, ``family_id``, ``family``, ``kind``, ``part``,
        ``step``, ``stage``; of those four words each is kept once (categories). Shared: not
        to be changed.
    """
    kept = store.kept("names of levels", _read_names)
    assert isinstance(kept, pd.DataFrame)
    return kept


def _read_names(store: Store) -> pd.DataFrame:
    names = store.frame("rank/names").set_index("level_id")
    families = store.frame("rank/families").set_index("family_id")
    place = families.index.get_indexer(pd.Index(names["family_id"]))
    for word in ("family", "kind", "part", "step"):
        codes, words = pd.factorize(families[word])
        names[word] = pd.Categorical.from_codes(codes[place], categories=words)
    names["stage"] = families["stage"].to_numpy()[place]
    return names


def _plain(column: npt.NDArray[Any]) -> Ints:
    return np.ma.getdata(column).astype(np.int64)
