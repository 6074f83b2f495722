"""``tracegraph compare``: what hulls share and where they part."""

from __future__ import annotations

from typing import Annotated

import typer

from tracegraph.cli.options import Format, FormatOption, StoreOption
from tracegraph.cli.output import print_csv, print_json, print_table

SHOWN = 20


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="compare")(compare)


def compare(
    hulls: Annotated[list[str], typer.Argument(help="Two or more hull numbers.")],
    people: Annotated[
        str | None, typer.Option("--people", help="Reason for showing families of people.")
    ] = None,
    store: StoreOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Show what hulls share and where they part.

    Example: tracegraph compare S22-0412 S22-0413
    """
    from tracegraph.analysis.comparison import compare as compare_records
    from tracegraph.report.genealogy_json import compare_json
    from tracegraph.store import open_store

    with open_store(store) as records:
        found = compare_records(records, hulls, people_reason=people)
    if output is Format.json:
        print_json(compare_json(found))
    elif output is Format.csv:
        print_csv(found.families)
    else:
        shared = found.shared.head(SHOWN)[["family", "level", "carry", "applies"]]
        print(f"Shared by {' and '.join(found.hulls)}: {len(found.shared)} answers, rarest first.")
        print_table(
            shared.astype("object").rename(columns={"carry": "hulls with it", "applies": "of"}),
            right=frozenset({"hulls with it", "of"}),
        )
        apart = found.families[found.families["differ"]]
        print(f"\nThey part on {len(apart)} questions.")
        print_table(apart[["family", *found.hulls]].head(SHOWN).astype("object"))
