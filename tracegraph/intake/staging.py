"""Rows of one sheet as text, inside the database, before they are read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Protocol

import pyarrow as pa

from tracegraph.domain.records import Role
from tracegraph.intake.compose import compose
from tracegraph.intake.headers import Headers
from tracegraph.intake.ledger import Remark
from tracegraph.intake.rules import ReadingRules, SerialDates
from tracegraph.store import Build

_BATCH = 50_000
CellNote = tuple[int, int, str, str | None, str]  # row, column, as written, value, rule


@dataclass(frozen=True)
class BrokenRow:
    """A row that cannot be cut into columns.

    Attributes
    ----------
    row : int
        Line, counted from 1.
    text : str
        As written.
    reason : str
        Why.
    """

    row: int
    text: str
    reason: str


@dataclass
class Page:
    """One sheet whose rows stand as text in the temporary table ``page``.

    Attributes
    ----------
    headers : Headers
        One per column; column i of the table is called ``c<i>``, counted from 0.
    row_sql : str
        Expression for the line or sheet row of a record.
    encoding : str or None
        How bytes became text.
    delimiter : str or None
        What cut its lines.
    header_row : int or None
        Line or sheet row of the header.
    titles : int
        Filled or blank lines above the header.
    broken : list of BrokenRow
        Rows that could not be cut.
    blank : int
        Blank lines that are not in the table.
    remarks : list of Remark
        What a reader should know.
    notes : list of CellNote
        Cells whose form told more than their text.
    printable : bool
        Whether all text is known to be printable ASCII.
    days_from : {"1900", "1904"} or None
        Where the file itself says that its counts of days begin.
    """

    headers: Headers
    row_sql: str
    encoding: str | None = None
    delimiter: str | None = None
    header_row: int | None = None
    titles: int = 0
    broken: list[BrokenRow] = field(default_factory=list)
    blank: int = 0
    remarks: list[Remark] = field(default_factory=list)
    notes: list[CellNote] = field(default_factory=list)
    printable: bool = False
    days_from: SerialDates | None = None

    @property
    def columns(self) -> list[str]:
        """Names of the text columns in the table ``page``."""
        return [f"c{i}" for i in range(len(self.headers.names))]


class Sheet(Protocol):
    """One table of text that a file holds."""

    @property
    def name(self) -> str | None:
        """Name of the sheet of a workbook."""

    @property
    def stem(self) -> str:
        """Name by which it may be known as one of the record tables."""

    @property
    def headers(self) -> Headers:
        """Headers of its columns."""

    @property
    def share_read(self) -> float | None:
        """Share that is staged, 0 to 1; None where the database reads the file itself."""

    def stage(self, build: Build, roles: Mapping[int, set[Role]], rules: ReadingRules) -> Page:
        """Fill the staging table.

        Parameters
        ----------
        build : Build
            The build being loaded.
        roles : mapping of int to set of Role
            What each column will be read as.
        rules : ReadingRules
            How its text is read.
        """

    def sample(self, most: int) -> list[list[str]]:
        """First rows below the header, as text."""


def clear_page(build: Build) -> None:
    """Drop the rows of the sheet before."""
    build.run("intake/clear_page")


def make_page(build: Build, width: int) -> None:
    """Make an empty staging table of some columns."""
    clear_page(build)
    columns = ", ".join(f"c{i} VARCHAR" for i in range(width))
    build.execute(compose("intake/make_page", columns=columns))


def fill_page(build: Build, width: int, rows: Iterable[tuple[int, Sequence[str]]]) -> None:
    """Put rows into the temporary table ``page``.

    Parameters
    ----------
    build : Build
        The build being loaded.
    width : int
        Number of columns.
    rows : iterable of (int, sequence of str)
        Row number and its texts; blank text counts as none.
    """
    make_page(build, width)
    schema = pa.schema(
        [("source_row", pa.int64()), *((f"c{i}", pa.string()) for i in range(width))]
    )
    for batch in _batches(iter(rows)):
        numbers = [number for number, _ in batch]
        columns = zip(*(row for _, row in batch), strict=True)
        texts = [[text or None for text in column] for column in columns]
        append_page(build, pa.table([numbers, *texts], schema=schema))


def append_page(build: Build, batch: pa.Table) -> None:
    """Put a batch of rows, as text, into the temporary table ``page``."""
    build.register("batch", batch)
    build.run("intake/append_page")
    build.unregister("batch")


def _batches(
    rows: Iterator[tuple[int, Sequence[str]]],
) -> Iterator[list[tuple[int, Sequence[str]]]]:
    while batch := list(islice(rows, _BATCH)):
        yield batch
