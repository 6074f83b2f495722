"""The pieces that a report is made of, whatever it is printed on."""

from __future__ import annotations

from dataclasses import dataclass

from tracegraph.report.tables import DisplayTable

ALARM, DATE, TITLE, HEADING, TEXT, SMALL, TABLE, FIGURE = (
    "alarm", "date", "title", "heading", "text", "small", "table", "figure",
)  # fmt: skip


@dataclass(frozen=True)
class Block:
    """A piece of a report.

    Attributes
    ----------
    kind : str
        ``alarm``, ``date``, ``title``, ``heading``, ``text``, ``small``, ``table`` or
        ``figure``.
    text : str
        Words; the SVG of a figure; empty for a table.
    head : tuple of str
        Column headings of a table.
    rows : tuple of tuple of str
        Its cells.
    wide : tuple of str
        Headings of the columns that hold long words.
    right : tuple of str
        Headings of the columns of numbers.
    """

    kind: str
    text: str = ""
    head: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    wide: tuple[str, ...] = ()
    right: tuple[str, ...] = ()


def table_block(table: DisplayTable, *wide: str) -> Block:
    """A table of the report as a piece of paper, its numbers written out.

    Parameters
    ----------
    table : DisplayTable
        What is shown.
    *wide : str
        Headings of the columns that hold long words.
    """
    texts = table.texts()
    return Block(
        TABLE,
        head=tuple(str(name) for name in texts.columns),
        rows=tuple(tuple(str(cell) for cell in row) for row in texts.itertuples(index=False)),
        wide=wide,
        right=tuple(sorted(table.right)),
    )
