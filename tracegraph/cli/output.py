"""Print results to stdout and remarks to stderr."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pandas as pd
from rich.console import Console
from rich.table import Table
from rich.text import Text

from tracegraph.domain.errors import TraceGraphError

if TYPE_CHECKING:
    from tracegraph.report.tables import DisplayTable


def remark(text: str) -> None:
    """Print a remark to stderr."""
    print(text, file=sys.stderr)


def write_bytes(path: Path, content: bytes) -> None:
    """Write a file and say so.

    Raises
    ------
    TraceGraphError
        If it cannot be written.
    """
    try:
        path.write_bytes(content)
    except OSError as error:
        raise TraceGraphError(
            f"{path} cannot be written: {error.strerror}. Choose another place."
        ) from error
    remark(f"Wrote {path}.")


def print_json(value: Any) -> None:
    """Print plain values as JSON; a number that does not exist is null."""
    print(json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False))


def print_csv(frame: pd.DataFrame) -> None:
    """Print a frame as CSV that is safe to open in a spreadsheet."""
    from tracegraph.report.safe_csv import to_csv

    print(to_csv(frame), end="")


def print_display(table: DisplayTable) -> None:
    """Print a table of the report as an aligned table, with its caption."""
    print_table(table.texts(), right=table.right)
    print(table.caption)


def print_table(frame: pd.DataFrame, *, right: frozenset[str] = frozenset()) -> None:
    """Print a frame of texts as an aligned table.

    Parameters
    ----------
    frame : DataFrame
        Texts, already rounded; cells are printed literally.
    right : frozenset of str
        Columns to align at the right.
    """
    console = Console(file=sys.stdout, width=None if sys.stdout.isatty() else 200)
    table = Table(box=None, pad_edge=False, header_style="bold")
    for column in frame.columns:
        table.add_column(
            Text(str(column)),
            justify="right" if column in right else "left",
            overflow="fold",
        )
    for row in frame.itertuples(index=False):
        table.add_row(*(Text("" if pd.isna(cell) else str(cell)) for cell in row))
    console.print(table)
