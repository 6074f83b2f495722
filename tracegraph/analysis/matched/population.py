"""Who was at risk for how long, and who carried what: the two inputs of the method.

Both are plain arrays over the same hulls, so that a store, frames in a notebook and a
simulated plant feed the same code.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt
from numpy.typing import ArrayLike
from scipy.sparse import csr_array

from tracegraph.stats.arrays import Bools, Floats, Ints

Ints32 = npt.NDArray[np.int32]
Bytes = npt.NDArray[np.int8]

DOES_NOT_APPLY, INCOMPLETE, COMPLETE = 0, 1, 2
"""What the record of one hull says about one family."""

NOT_AT_RISK = -1


@dataclass(frozen=True, eq=False)
class Population:
    """Follow-up and first claims of every hull; every array has one entry per hull.

    Parameters
    ----------
    exit_month : array of int, shape (h,)
        Last whole month in service in which the hull could have made its first claim:
        that of the claim, else the last month of follow-up; -1 for hulls never at risk.
    case : array of bool, shape (h,)
        True where the first claim came in ``exit_month``.
    follow_months : array of int, shape (h,)
        Last whole month to which the hull would have been followed without a claim.
    margins : dict of str to array of int
        For each baseline difference (model, build period) the code of every hull, from 0.
    built_day : array of float, shape (h,)
        Day of building, counted from any day; nan where not recorded.
    late_cases : int, default 0
        Claims left out because they came after the follow-up of their hull.
    free : frozenset of str
        Margins whose differences are taken as they are, not shrunken: causes set aside.
    strata : frozenset of str
        Margins across which cases and hulls are not compared when rate ratios are
        estimated: causes set aside.
    """

    exit_month: Ints
    case: Bools
    follow_months: Ints
    margins: dict[str, Ints]
    built_day: Floats
    late_cases: int = 0
    free: frozenset[str] = frozenset()
    strata: frozenset[str] = frozenset()

    @classmethod
    def from_follow_up(
        cls,
        follow_months: ArrayLike,
        case_month: ArrayLike,
        margins: dict[str, Ints],
        built_day: ArrayLike,
    ) -> Population:
        """Settle exits from months of follow-up and months of first claims.

        Parameters
        ----------
        follow_months : array of int, shape (h,)
            Whole months each hull was followed; negative: not at risk.
        case_month : array of int, shape (h,)
            Month of its first claim; negative: none.
        margins, built_day
            As in the class.

        Returns
        -------
        Population
            A claim after the follow-up is no case; the hull stays until its follow-up
            ends.

        Examples
        --------
        >>> people = Population.from_follow_up([12, 12, 3], [-1, 5, 7], {}, [0.0, 1.0, 2.0])
        >>> people.exit_month, people.case, people.late_cases
        (array([12,  5,  3]), array([False,  True, False]), 1)
        """
        follow = np.asarray(follow_months, np.int64)
        month = np.asarray(case_month, np.int64)
        claimed = (month >= 0) & (follow >= 0)
        case = claimed & (month <= follow)
        return cls(
            exit_month=np.where(case, month, np.maximum(follow, NOT_AT_RISK)),
            case=case,
            follow_months=np.maximum(follow, NOT_AT_RISK),
            margins=margins,
            built_day=np.asarray(built_day, np.float64),
            late_cases=int((claimed & ~case).sum()),
        )

    def __len__(self) -> int:
        return len(self.exit_month)

    def among(self, hulls: Bools) -> Population:
        """The same population with only the marked hulls at risk."""
        return replace(
            self,
            exit_month=np.where(hulls, self.exit_month, NOT_AT_RISK),
            follow_months=np.where(hulls, self.follow_months, NOT_AT_RISK),
            case=self.case & hulls,
        )

    @cached_property
    def at_risk(self) -> Bools:
        """Hulls at risk for any time, array of bool, shape (h,)."""
        result: Bools = self.exit_month >= 0
        return result

    @cached_property
    def cases(self) -> Ints:
        """Positions of the hulls with a case, array of int, shape (c,)."""
        return np.flatnonzero(self.case)

    @cached_property
    def months(self) -> Ints:
        """Months in service in which cases came, ascending, array of int, shape (m,)."""
        return np.unique(self.exit_month[self.case])

    @cached_property
    def sets_joined(self) -> Ints:
        """In how many risk sets each hull was: the first so many of ``months``."""
        return np.searchsorted(self.months, self.exit_month, side="right").astype(np.int64)

    @cached_property
    def sets_open(self) -> Ints:
        """In how many risk sets each hull would have been without a claim of its own."""
        return np.searchsorted(self.months, self.follow_months, side="right").astype(np.int64)


@dataclass(frozen=True, eq=False)
class ExposureMatrix:
    """Which hull carries which level, both ways, and whose records are complete.

    Parameters
    ----------
    level_start : array of int, shape (l + 1,)
        Where the hulls of each level begin in ``level_hulls``.
    level_hulls : array of int32
        Positions of the hulls of each level, ascending within a level.
    level_family : array of int, shape (l,)
        Position of the family of each level, ascending.
    record : array of int8, shape (f, h)
        ``DOES_NOT_APPLY``, ``INCOMPLETE`` or ``COMPLETE`` for each family and hull. A hull
        with an incomplete record is exposed to the levels recorded and unknown for all
        others; unknown is never unexposed.
    level_id, family_id : array of int
        Numbers of levels and families where they came from.
    """

    level_start: Ints
    level_hulls: Ints32
    level_family: Ints
    record: Bytes
    level_id: Ints
    family_id: Ints

    @classmethod
    def from_rows(
        cls,
        level: ArrayLike,
        hull: ArrayLike,
        level_family: ArrayLike,
        record: ArrayLike,
        *,
        level_id: ArrayLike | None = None,
        family_id: ArrayLike | None = None,
    ) -> ExposureMatrix:
        """Sort rows of exposure both ways.

        Parameters
        ----------
        level, hull : array of int, shape (n,)
            One row for each level that a hull carries; repeated rows count once.
        level_family : array of int, shape (l,)
            Family of each level, ascending.
        record : array of int, shape (f, h)
            As in the class.
        level_id, family_id : array of int, optional
            Numbers to report; positions when left out.

        Returns
        -------
        ExposureMatrix
            Positions as given.

        Raises
        ------
        ValueError
            If the families do not ascend, or a hull carries a level of a family that does
            not apply to it.

        Examples
        --------
        >>> matrix = ExposureMatrix.from_rows([1, 0, 1], [0, 1, 0], [0, 0], [[2, 2]])
        >>> matrix.level_hulls, matrix.hull_levels, matrix.exposed
        (array([1, 0], dtype=int32), array([1, 0], dtype=int32), array([1, 1]))
        """
        family = np.asarray(level_family, np.int64)
        states = np.asarray(record, np.int8)
        families, hulls = states.shape
        if (np.diff(family) < 0).any():
            raise ValueError("Levels must be given family by family, in ascending order.")
        rows, columns = _in_order(np.asarray(level), np.asarray(hull), hulls)
        if (states[family[rows], columns] == DOES_NOT_APPLY).any():
            raise ValueError(
                "A hull carries a level of a family whose record says that it does not apply."
            )
        return cls(
            level_start=_starts(rows, len(family)),
            level_hulls=columns,
            level_family=family,
            record=states,
            level_id=_numbers(level_id, len(family)),
            family_id=_numbers(family_id, families),
        )

    @classmethod
    def of_one_level(cls, carried: Bools, record: ArrayLike) -> ExposureMatrix:
        """A single level, carried by the marked hulls, of a family with the given records."""
        hulls = np.flatnonzero(carried)
        states = np.asarray(record, np.int8)[None, :]
        return cls.from_rows(np.zeros(len(hulls), np.int64), hulls, [0], states)

    @cached_property
    def _by_hull(self) -> tuple[Ints, Ints32]:
        """Where the levels of each hull begin, and the levels of one hull after another."""
        carried = np.ones(len(self.level_hulls), np.int8)
        shape = (self.levels, self.record.shape[1])
        turned = csr_array((carried, self.level_hulls, self.level_start), shape=shape).tocsc()
        return turned.indptr.astype(np.int64), turned.indices.astype(np.int32, copy=False)

    @property
    def hull_start(self) -> Ints:
        """Where the levels of each hull begin in ``hull_levels``, shape (h + 1,)."""
        return self._by_hull[0]

    @property
    def hull_levels(self) -> Ints32:
        """Positions of the levels of each hull, made when first asked for."""
        return self._by_hull[1]

    @property
    def levels(self) -> int:
        """Number of levels."""
        return len(self.level_family)

    @property
    def families(self) -> int:
        """Number of families."""
        return len(self.family_id)

    @property
    def exposed(self) -> Ints:
        """Hulls that carry each level, array of int, shape (l,)."""
        return np.diff(self.level_start)

    @cached_property
    def family_start(self) -> Ints:
        """Where the levels of each family begin, array of int, shape (f + 1,)."""
        return np.searchsorted(self.level_family, np.arange(self.families + 1)).astype(np.int64)

    @cached_property
    def partly_recorded(self) -> Bools:
        """Families in which a hull with an incomplete record carries a level, shape (f,)."""
        found = np.zeros(self.families, np.bool_)
        for family in np.flatnonzero((self.record == INCOMPLETE).any(axis=1)):
            hulls = self.hulls_of_family(int(family))
            found[family] = bool((self.record[family, hulls] == INCOMPLETE).any())
        return found

    def hulls_of(self, level: int) -> Ints32:
        """Positions of the hulls that carry a level, ascending."""
        return self.level_hulls[self.level_start[level] : self.level_start[level + 1]]

    def hulls_of_family(self, family: int) -> Ints32:
        """Hulls of all levels of a family, level by level."""
        first, last = self.family_start[family], self.family_start[family + 1]
        return self.level_hulls[self.level_start[first] : self.level_start[last]]

    def entries(self, levels: Ints) -> tuple[Ints, Ints32]:
        """Hulls of many levels laid end to end.

        Returns
        -------
        place, hull : array of int
            Place in ``levels``, and a hull that carries that level.
        """
        where, index = _spans(self.level_start, levels)
        return where, self.level_hulls[index]

    def count_among(self, hulls: Bools, levels: slice = slice(None)) -> Ints:
        """How many of the marked hulls carry each level, in one pass over their rows."""
        first, last = self.level_start[:-1][levels], self.level_start[1:][levels]
        result = np.zeros(len(first), np.int64)
        carried = np.flatnonzero(last > first)
        if len(carried):
            marked = hulls[self.level_hulls[first[0] : last[-1]]].view(np.uint8)
            result[carried] = np.add.reduceat(marked, first[carried] - first[0], dtype=np.int64)
        return result

    def levels_of(self, hulls: Ints) -> Ints32:
        """Levels of many hulls laid end to end; a hull named twice counts twice."""
        start, levels = self._by_hull
        spans = zip(start[hulls].tolist(), start[hulls + 1].tolist(), strict=True)
        return np.concatenate([levels[:0], *(levels[first:last] for first, last in spans)])

    def carries(self, level: int) -> Bools:
        """Whether each hull carries a level, array of bool, shape (h,)."""
        result = np.zeros(self.record.shape[1], np.bool_)
        result[self.hulls_of(level)] = True
        return result

    def known(self, level: int) -> Bools:
        """Whether it is known of each hull that it carries a level or not."""
        result: Bools = self.record[self.level_family[level]] == COMPLETE
        result[self.hulls_of(level)] = True
        return result


def _spans(start: Ints, which: Ints) -> tuple[Ints, Ints]:
    """Indices ``start[i]`` to ``start[i + 1]`` of every ``i`` of ``which``, end to end."""
    size = start[which + 1] - start[which]
    place = np.repeat(np.arange(len(which)), size)
    offset = start[which] - (np.cumsum(size) - size)
    return place, np.arange(len(place)) + offset[place]


def _starts(sorted_values: Ints32, count: int) -> Ints:
    """Where each of the values 0 to ``count - 1`` begins, and the end."""
    size = np.bincount(sorted_values, minlength=count)
    return np.concatenate([[0], np.cumsum(size)]).astype(np.int64)


def _in_order(level: Ints, hull: Ints, hulls: int) -> tuple[Ints32, Ints32]:
    """Rows sorted by level, then hull, each once."""
    rising = (level[1:] > level[:-1]) | ((level[1:] == level[:-1]) & (hull[1:] > hull[:-1]))
    if not rising.all():
        key = np.unique(level.astype(np.int64) * hulls + hull)
        level, hull = key // hulls, key % hulls
    return level.astype(np.int32, copy=False), hull.astype(np.int32, copy=False)


def _numbers(given: ArrayLike | None, count: int) -> Ints:
    return np.arange(count) if given is None else np.asarray(given, np.int64)
