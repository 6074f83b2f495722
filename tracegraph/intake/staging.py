"""Rows of one sheet as text, inside the database, before they are read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice

import pyarrow as pa

from tracegraph.intake.headers import Headers
from tracegraph.intake.ledger import Remark
from tracegraph.store import Build

PAGE = "page"
_BATCH = 50_000


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
    sheet : str or None
        Name of the sheet.
    encoding : str or None
        How bytes became text.
    sha256 : str
        Fingerprint of the file.
    titles : int
        Filled or blank lines above the header.
    broken : list of BrokenRow
        Rows that could not be cut.
    blank : int
        Blank lines that are not in the table.
    remarks : list of Remark
        What a reader should know.
    printable : bool
        Whether all text is known to be printable ASCII.
    """

    headers: Headers
    row_sql: str
    sheet: str | None = None
    encoding: str | None = None
    sha256: str = ""
    titles: int = 0
    broken: list[BrokenRow] = field(default_factory=list)
    blank: int = 0
    remarks: list[Remark] = field(default_factory=list)
    printable: bool = False

    @property
    def columns(self) -> list[str]:
        """Names of the text columns in the table ``page``."""
        return [f"c{i}" for i in range(len(self.headers.names))]


def clear_page(build: Build) -> None:
    """Drop the rows of the sheet before."""
    build.run("intake/clear_page")


def fill_page(build: Build, width: int, rows: Iterable[tuple[int, Sequence[str | None]]]) -> None:
    """Put rows into the temporary table ``page``.

    Parameters
    ----------
    build : Build
        The build being loaded.
    width : int
        Number of columns.
    rows : iterable of (int, sequence of str or None)
        Row number and its texts; blank text counts as none.
    """
    clear_page(build)
    columns = ", ".join(f"c{i} VARCHAR" for i in range(width))
    build.execute(f"CREATE TEMP TABLE page (source_row BIGINT, {columns})")
    schema = pa.schema(
        [("source_row", pa.int64()), *((f"c{i}", pa.string()) for i in range(width))]
    )
    for batch in _batches(iter(rows)):
        numbers = [number for number, _ in batch]
        texts = [
            [text or None for text in column] for column in zip(*(r for _, r in batch), strict=True)
        ]
        build.register("batch", pa.table([numbers, *texts], schema=schema))
        build.execute("INSERT INTO page SELECT * FROM batch")
        build.unregister("batch")


def _batches(
    rows: Iterator[tuple[int, Sequence[str | None]]],
) -> Iterator[list[tuple[int, Sequence[str | None]]]]:
    while batch := list(islice(rows, _BATCH)):
        yield batch
