"""``tracegraph audit``: who did, or tried, what not everybody may do."""

from __future__ import annotations

from typing import Annotated

import typer

from tracegraph.cli.options import Format, FormatOption, StoreOption
from tracegraph.cli.output import print_csv, print_display, print_json


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="audit")(audit)


def audit(
    refused: Annotated[
        bool, typer.Option("--refused", help="Only what was refused.", show_default=False)
    ] = False,
    store: StoreOption = None,
    output: FormatOption = Format.table,
) -> None:
    """List who loaded, settled numbers, wrote about holds and cases, or had people shown.

    Example: tracegraph audit --refused --store ./store
    """
    from tracegraph.report.audit import audit_table
    from tracegraph.store import default_store_path
    from tracegraph.store.audit import read_audit

    lines = read_audit(store if store is not None else default_store_path())
    table = audit_table([line for line in lines if not (refused and line.allowed)])
    if output is Format.json:
        print_json(table.frame.to_dict("records"))
    elif output is Format.csv:
        print_csv(table.frame)
    elif table.frame.empty:
        print("Nothing.")
    else:
        print_display(table)
