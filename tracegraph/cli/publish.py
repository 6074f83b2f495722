"""``tracegraph publish``: the tables another engine counts."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tracegraph.cli.options import StoreOption


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="publish")(publish)


def publish(
    to: Annotated[
        Path, typer.Option("--to", metavar="DIR", help="Folder to write; replaced when it exists.")
    ],
    store: StoreOption = None,
) -> None:
    """Write who was exposed to what as Parquet, for counting on another engine.

    Example: tracegraph publish --to published
    """
    from tracegraph.store import open_store
    from tracegraph.store.publishing import publish as publish_tables

    with open_store(store) as records:
        written = publish_tables(records, to)
    for table, rows in written.rows.items():
        print(f"{table}: {rows:,} rows")
    print(f"Published records {written.data_version} to {written.folder}.")
