"""``tracegraph join``: the stores of several plants as one."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import pandas as pd
import typer

from tracegraph.cli.options import Format, FormatOption, StoreOption
from tracegraph.cli.output import print_csv, print_json, print_table, remark
from tracegraph.domain.permission import OWNER


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="join")(join)


def join(
    stores: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[PLANT=]DIR",
            help="Store of each plant, with its name where its records do not tell it. "
            "[default: the stores joined before]",
            show_default=False,
        ),
    ] = None,
    store: StoreOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Join the stores of several plants into one that every command can ask.

    Example: tracegraph join north=./north-store south=./south-store --store ./joined

    Example: tracegraph join --store ./joined
    """
    from tracegraph.intake.joining import join_stores
    from tracegraph.store import StoreDirectory, default_store_path

    directory = StoreDirectory(store if store is not None else default_store_path())
    report = join_stores([_named(text) for text in stores or []], directory, by=OWNER)
    plants = pd.DataFrame(report.plants)
    if output is Format.json:
        print_json(report.as_dict())
        return
    if output is Format.csv:
        print_csv(plants)
        return
    shown = plants[["plant", "hulls", "claims", "store"]].astype("str")
    for name in ("hulls", "claims"):
        shown[name] = plants[name].map("{:,}".format)
    print_table(shown, right=frozenset({"hulls", "claims"}))
    for text in report.remarks:
        remark(text)
    if not report.changed:
        remark("Nothing new: the plants' records were joined before as they are.")
    remark(f"Store {report.store}, data version {report.version}.")


def _named(text: str) -> tuple[str | None, Path]:
    plant, mark, path = text.partition("=")
    return (plant, Path(path)) if mark else (None, Path(text))
