"""``tracegraph conditions``: temperatures, humidity, film, waits and mold pulls, as measured."""

from __future__ import annotations

from typing import Annotated

import typer

from tracegraph.cli.defining import Words, defines_cases
from tracegraph.cli.options import Format, FormatOption, StoreOption
from tracegraph.cli.output import print_csv, print_display, print_json
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError

TOP = 20


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="conditions")(conditions)


@defines_cases
def conditions(
    definition: CaseDefinition,
    kind: Annotated[
        Words,
        typer.Option(
            "--kind",
            metavar="WORD",
            help="Kind of condition, as 'ambient condition' or 'mold condition'; may be repeated.",
        ),
    ] = None,
    family: Annotated[
        str | None,
        typer.Option("--family", metavar="F", help="One condition, looked at from all sides."),
    ] = None,
    top: Annotated[
        int, typer.Option("--top", metavar="N", help="Rows to print; 0: all.", min=0)
    ] = TOP,
    store: StoreOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Test measured conditions of the work without cutting them into classes.

    Example: tracegraph conditions --symptom porosity --kind "ambient condition"

    Example: tracegraph conditions --symptom void --family "hull: mold pulls since repair"
    """
    from tracegraph.analysis.conditions.detail import examine_condition
    from tracegraph.analysis.conditions.table import rank_conditions
    from tracegraph.report.conditions import (
        condition_as_json,
        conditions_as_json,
        conditions_sentences,
        conditions_table,
        detail_sentences,
        detail_tables,
    )
    from tracegraph.store import open_store

    if kind and family is not None:
        raise DefinitionError("--kind narrows the list and --family names one of it; give one.")
    with open_store(store) as records:
        if family is not None:
            one = examine_condition(records, definition, family)
        else:
            found = rank_conditions(records, definition, kinds=kind or ())
    if family is not None:
        if output is Format.json:
            print_json(condition_as_json(one))
        elif output is Format.csv:
            print_csv(one.bands)
        else:
            print(one.definition.sentence())
            for text in detail_sentences(one):
                print(text)
            for heading, table in detail_tables(one):
                print(f"\n{heading}:")
                print_display(table)
    elif output is Format.json:
        print_json(conditions_as_json(found, top or None))
    elif output is Format.csv:
        print_csv(found.frame if top == 0 else found.frame.head(top))
    else:
        print(found.definition.sentence())
        for text in conditions_sentences(found):
            print(text)
        print()
        print_display(conditions_table(found, top or None))
