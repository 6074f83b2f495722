"""``tracegraph build-months``: claims by period of building and months in service."""

from __future__ import annotations

from typing import Annotated

import typer

from tracegraph.cli.defining import defines_cases
from tracegraph.cli.options import Format, FormatOption, StoreOption
from tracegraph.cli.output import print_csv, print_display, print_json
from tracegraph.domain.definition import CaseDefinition

PERIOD, WIDTH = 3, 3


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="build-months")(build_months)


@defines_cases
def build_months(
    definition: CaseDefinition,
    period: Annotated[
        int,
        typer.Option(
            "--period", metavar="N", help="Months of building to a row: 1, 2, 3, 4, 6 or 12."
        ),
    ] = PERIOD,
    width: Annotated[
        int, typer.Option("--width", metavar="N", help="Months in service to a column.")
    ] = WIDTH,
    store: StoreOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Lay claims out by period of building and months in service.

    What not all hulls have reached yet is marked, so that a young period does not look good.

    Example: tracegraph build-months --symptom blister --period 1 --format csv
    """
    from tracegraph.analysis.timing.cohorts import build_cohorts
    from tracegraph.report.build_months import (
        against_expected_table,
        build_month_sentences,
        build_months_as_json,
        triangle_table,
    )
    from tracegraph.store import open_store

    with open_store(store) as records:
        found = build_cohorts(records, definition, width=width, period=period)
    if output is Format.json:
        print_json(build_months_as_json(found))
    elif output is Format.csv:
        print_csv(found.cells)
    else:
        print(found.definition.sentence())
        for text in build_month_sentences(found):
            print(text)
        print("\nFirst claims per 100 hulls, by months in service:")
        print_display(triangle_table(found))
        print("\nAgainst hulls followed as long:")
        print_display(against_expected_table(found))
