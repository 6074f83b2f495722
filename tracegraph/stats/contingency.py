"""The 2x2 table of exposure and outcome: one table, or very many side by side.

The four counts always carry their names, because a bare 2x2 array hides which row is
which. Exposed units are those that share the level under test; cases are the affected.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from numbers import Integral

import numpy as np
from numpy.typing import ArrayLike

from tracegraph.domain.errors import InvalidTableError
from tracegraph.stats.arrays import Bools, Ints

LARGEST_TOTAL = 1_000_000_000
"""Largest sum of four counts: products of two margins stay exact in 64 bits."""


@dataclass(frozen=True, kw_only=True)
class ContingencyTable:
    """Four counts of exposure against outcome.

    Parameters
    ----------
    exposed_cases, exposed_controls : int
        Exposed units with and without the outcome, not negative.
    unexposed_cases, unexposed_controls : int
        Unexposed units with and without the outcome, not negative.

    Raises
    ------
    InvalidTableError
        If a count is negative or not an integer.

    Examples
    --------
    >>> tea = ContingencyTable(exposed_cases=3, exposed_controls=1,
    ...                        unexposed_cases=1, unexposed_controls=3)
    >>> tea.cases, tea.exposed, tea.total
    (4, 4, 8)
    """

    exposed_cases: int
    exposed_controls: int
    unexposed_cases: int
    unexposed_controls: int

    def __post_init__(self) -> None:
        for field in fields(self):
            count = getattr(self, field.name)
            if isinstance(count, bool) or not isinstance(count, Integral) or count < 0:
                raise InvalidTableError(
                    f"{field.name} must be a count, 0 or more; got {count!r}. "
                    "Count units; do not pass shares or rates."
                )
            object.__setattr__(self, field.name, int(count))

    @property
    def exposed(self) -> int:
        """Units that share the level."""
        return self.exposed_cases + self.exposed_controls

    @property
    def unexposed(self) -> int:
        """Units known not to share the level."""
        return self.unexposed_cases + self.unexposed_controls

    @property
    def cases(self) -> int:
        """Units with the outcome."""
        return self.exposed_cases + self.unexposed_cases

    @property
    def controls(self) -> int:
        """Units without the outcome."""
        return self.exposed_controls + self.unexposed_controls

    @property
    def total(self) -> int:
        """All units."""
        return self.exposed + self.unexposed

    @property
    def testable(self) -> bool:
        """Whether no margin is empty."""
        return min(self.exposed, self.unexposed, self.cases, self.controls) > 0

    def as_arrays(self) -> TableArrays:
        """Give the same table as arrays of length one."""
        return TableArrays(
            exposed_cases=np.array([self.exposed_cases], np.int64),
            exposed_controls=np.array([self.exposed_controls], np.int64),
            unexposed_cases=np.array([self.unexposed_cases], np.int64),
            unexposed_controls=np.array([self.unexposed_controls], np.int64),
        )


@dataclass(frozen=True, kw_only=True, eq=False)
class TableArrays:
    """Many 2x2 tables, one per position of four arrays of equal length.

    Parameters
    ----------
    exposed_cases, exposed_controls : array of int, shape (n,)
        Exposed units with and without the outcome, not negative.
    unexposed_cases, unexposed_controls : array of int, shape (n,)
        Unexposed units with and without the outcome, not negative.

    Raises
    ------
    InvalidTableError
        If a count is negative or not an integer, if the arrays differ in length or
        are not one-dimensional, or if a total exceeds `LARGEST_TOTAL`.

    Examples
    --------
    >>> lots = TableArrays(exposed_cases=[3, 0], exposed_controls=[1, 5],
    ...                    unexposed_cases=[1, 0], unexposed_controls=[3, 7])
    >>> lots.testable
    array([ True, False])
    """

    exposed_cases: Ints
    exposed_controls: Ints
    unexposed_cases: Ints
    unexposed_controls: Ints

    def __post_init__(self) -> None:
        for field in fields(self):
            object.__setattr__(self, field.name, _counts(getattr(self, field.name), field.name))
        lengths = {field.name: len(getattr(self, field.name)) for field in fields(self)}
        if len(set(lengths.values())) > 1:
            raise InvalidTableError(
                f"The four arrays of counts must have one length; got {lengths}. "
                "Give one entry per table in each of them."
            )
        if len(self) and int(self.total.max()) > LARGEST_TOTAL:
            raise InvalidTableError(
                f"A table may hold at most {LARGEST_TOTAL:,} units; got {int(self.total.max()):,}. "
                "Check the counts for a sentinel value."
            )

    @classmethod
    def from_margins(
        cls, *, exposed_cases: ArrayLike, exposed: ArrayLike, cases: ArrayLike, total: ArrayLike
    ) -> TableArrays:
        """Build tables from the exposed cases and the margins, broadcast against each other.

        Parameters
        ----------
        exposed_cases, exposed, cases, total : int or array of int, shape (n,)
            Affected exposed units, exposed units, affected units, all units.

        Returns
        -------
        TableArrays
            One table per position.

        Raises
        ------
        InvalidTableError
            If the margins leave one of the four counts negative.
        """
        a, exposed, cases, total = (
            np.atleast_1d(x) for x in np.broadcast_arrays(exposed_cases, exposed, cases, total)
        )
        return cls(
            exposed_cases=a,
            exposed_controls=exposed - a,
            unexposed_cases=cases - a,
            unexposed_controls=total - exposed - cases + a,
        )

    def __len__(self) -> int:
        return len(self.exposed_cases)

    @property
    def exposed(self) -> Ints:
        """Units that share the level, per table."""
        return self.exposed_cases + self.exposed_controls

    @property
    def unexposed(self) -> Ints:
        """Units known not to share the level, per table."""
        return self.unexposed_cases + self.unexposed_controls

    @property
    def cases(self) -> Ints:
        """Units with the outcome, per table."""
        return self.exposed_cases + self.unexposed_cases

    @property
    def controls(self) -> Ints:
        """Units without the outcome, per table."""
        return self.exposed_controls + self.unexposed_controls

    @property
    def total(self) -> Ints:
        """All units, per table."""
        return self.exposed + self.unexposed

    @property
    def testable(self) -> Bools:
        """Where no margin is empty; elsewhere nothing can be compared."""
        result: Bools = (
            (self.exposed > 0) & (self.unexposed > 0) & (self.cases > 0) & (self.controls > 0)
        )
        return result

    @property
    def counts(self) -> tuple[Ints, Ints, Ints, Ints]:
        """The four arrays, exposed before unexposed, cases before controls."""
        return (
            self.exposed_cases,
            self.exposed_controls,
            self.unexposed_cases,
            self.unexposed_controls,
        )

    def take(self, where: Ints | Bools) -> TableArrays:
        """Select tables by position or mask."""
        a, b, c, d = (x[where] for x in self.counts)
        return TableArrays(
            exposed_cases=a, exposed_controls=b, unexposed_cases=c, unexposed_controls=d
        )

    def distinct(self) -> tuple[Ints, Ints]:
        """Find equal tables, so that each is computed once.

        Returns
        -------
        first : array of int, shape (k,)
            Position of one representative of each distinct table.
        inverse : array of int, shape (n,)
            For every table its number among the distinct ones.
        """
        return distinct_rows(self.total, self.cases, self.exposed, self.exposed_cases)


def distinct_rows(*columns: Ints) -> tuple[Ints, Ints]:
    """Find equal rows among columns of non-negative integers.

    Parameters
    ----------
    *columns : array of int, shape (n,)
        Columns of equal length.

    Returns
    -------
    first : array of int, shape (k,)
        Position of the first row of each kind.
    inverse : array of int, shape (n,)
        Number of every row's kind, from 0 to k - 1.

    Examples
    --------
    >>> first, inverse = distinct_rows(np.array([5, 7, 5]), np.array([1, 1, 1]))
    >>> first, inverse
    (array([0, 1]), array([0, 1, 0]))
    """
    key = np.zeros(len(columns[0]), np.int64)
    kinds = 1
    for column in columns:
        if not len(column):
            break
        low, high = int(column.min()), int(column.max())
        if kinds > 1 and kinds * (high - low + 1) > _looked_up(len(key)):
            first, key = _kinds(key, kinds)
            kinds = len(first)
        key = key * (high - low + 1) + (column - low)
        kinds *= high - low + 1
    return _kinds(key, kinds)


def _looked_up(rows: int) -> int:
    """Kinds up to which a table with an entry for each is quicker than sorting the rows."""
    return 4 * rows + 2**16


def _kinds(key: Ints, kinds: int) -> tuple[Ints, Ints]:
    """First row of each kind that occurs, and every row's number among them."""
    if kinds > _looked_up(len(key)):
        _, first, inverse = np.unique(key, return_index=True, return_inverse=True)
        return first.astype(np.int64), inverse.astype(np.int64)
    earliest = np.full(kinds, len(key), np.int64)
    np.minimum.at(earliest, key, np.arange(len(key)))
    found = np.flatnonzero(earliest < len(key))
    number = np.zeros(kinds, np.int64)
    number[found] = np.arange(len(found))
    return earliest[found], number[key]


def _counts(values: ArrayLike, name: str) -> Ints:
    """Check one array of counts and return it as 64-bit integers."""
    array = np.asarray(values)
    if array.ndim != 1:
        raise InvalidTableError(
            f"{name} must be a one-dimensional array of counts; got {array.ndim} dimensions. "
            "Flatten it first."
        )
    if array.size == 0:
        return np.zeros(0, np.int64)
    if array.dtype.kind not in "iu":
        raise InvalidTableError(
            f"{name} must hold whole numbers; got values of type {array.dtype}. "
            "Count units, and give tables without counts no row."
        )
    if int(array.min()) < 0:
        raise InvalidTableError(
            f"{name} must be 0 or more; got {int(array.min())} at position "
            f"{int(array.argmin())}. Check that exposed and affected units are part of the total."
        )
    return array.astype(np.int64)
