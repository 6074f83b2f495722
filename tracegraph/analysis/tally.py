"""Four counts for every level of a store, from arrays kept in memory.

The totals of a population are kept: another case definition on the same hulls at risk
touches only the rows of its affected hulls.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock

import numpy as np

from tracegraph.analysis.counting import Counts, Ints, count_exposure
from tracegraph.analysis.matched.loading import stored_exposure
from tracegraph.analysis.matched.population import COMPLETE, DOES_NOT_APPLY, ExposureMatrix
from tracegraph.stats.arrays import Bools
from tracegraph.stats.contingency import TableArrays
from tracegraph.store import Connection, Store

_POPULATIONS = 8
"""Populations whose totals are kept; the one asked for least lately gives way."""


@dataclass(frozen=True, eq=False)
class Tally:
    """Some hulls, counted by level and by family.

    Parameters
    ----------
    exposed : array of int, shape (l,)
        Hulls that carry each level.
    partly : array of int, shape (l,)
        Those of them whose record of the family is otherwise incomplete.
    applies, complete : array of int, shape (f,)
        Hulls that were asked the family's question; those with a complete record of it.
    """

    exposed: Ints
    partly: Ints
    applies: Ints
    complete: Ints


class Totals:
    """Tallies of whole populations over one exposure, kept for the next definition."""

    def __init__(self, matrix: ExposureMatrix) -> None:
        self._matrix = matrix
        self._kept: OrderedDict[bytes, Tally] = OrderedDict()
        self._lock = Lock()

    def of(self, population: Bools) -> Tally:
        """Tally of the marked hulls, counted in one pass over all rows or kept from before."""
        key = np.packbits(population).tobytes()
        with self._lock:
            found = self._kept.pop(key, None) or tally_of_many(self._matrix, population)
            self._kept[key] = found
            if len(self._kept) > _POPULATIONS:
                self._kept.popitem(last=False)
            return found

    def __len__(self) -> int:
        return len(self._kept)


def count_stored(store: Store, session: Connection, *, people: bool = False) -> Counts:
    """Count the cohort of a session over every family and level of its store.

    Parameters
    ----------
    store : Store
        Where the records are.
    session : Connection
        Of the same store; holds the temporary table ``cohort`` (``hull_id``,
        ``affected`` 0 or 1).
    people : bool, default False
        Whether families of people are counted too.

    Returns
    -------
    Counts
        The same as :func:`~tracegraph.analysis.counting.count_exposure` counts by SQL, which
        is left to do it where another engine answers the shared texts.
    """
    if not session.answers_itself:
        return count_exposure(session, people=people)
    exposure = stored_exposure(store)
    matrix = exposure.matrix
    totals = store.kept("totals of populations", lambda _: Totals(matrix))
    assert isinstance(totals, Totals)
    cohort = session.whole_numbers("rank/cohort")
    place = np.searchsorted(exposure.hull_id, cohort["hull_id"])
    population = np.zeros(len(exposure.hull_id), np.bool_)
    population[place] = True
    every = totals.of(population)
    cases = tally_of_few(matrix, place[cohort["affected"] > 0])
    shown = every.exposed > 0
    if not people:
        shown &= ~exposure.of_people[matrix.level_family]
    level = np.flatnonzero(shown)
    family = matrix.level_family[level]
    total = every.complete[family] + every.partly[level]
    affected = cases.complete[family] + cases.partly[level]
    return Counts(
        level_id=matrix.level_id[level],
        family_id=matrix.family_id[family],
        tables=TableArrays.from_margins(
            exposed_cases=cases.exposed[level],
            exposed=every.exposed[level],
            cases=affected,
            total=total,
        ),
        unknown=every.applies[family] - total,
        unknown_affected=cases.applies[family] - affected,
    )


def tally_of_many(matrix: ExposureMatrix, hulls: Bools) -> Tally:
    """Count the marked hulls in one pass over all rows."""
    partly = np.zeros(matrix.levels, np.int64)
    for family in np.flatnonzero(matrix.partly_recorded):
        levels = slice(int(matrix.family_start[family]), int(matrix.family_start[family + 1]))
        open_record = hulls & (matrix.record[family] != COMPLETE)
        partly[levels] = matrix.count_among(open_record, levels)
    record = matrix.record
    return Tally(
        exposed=matrix.exposed if hulls.all() else matrix.count_among(hulls),
        partly=partly,
        applies=np.array([(row[hulls] != DOES_NOT_APPLY).sum() for row in record], np.int64),
        complete=np.array([(row[hulls] == COMPLETE).sum() for row in record], np.int64),
    )


def tally_of_few(matrix: ExposureMatrix, hulls: Ints) -> Tally:
    """Count a few hulls, given by position, by their own rows alone."""
    record = matrix.record[:, hulls]
    levels = matrix.levels_of(hulls)
    place = np.repeat(np.arange(len(hulls)), np.diff(matrix.hull_start)[hulls])
    open_record = record[matrix.level_family[levels], place] != COMPLETE
    return Tally(
        exposed=np.bincount(levels, minlength=matrix.levels),
        partly=np.bincount(levels[open_record], minlength=matrix.levels),
        applies=(record != DOES_NOT_APPLY).sum(axis=1),
        complete=(record == COMPLETE).sum(axis=1),
    )
