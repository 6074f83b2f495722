"""``tracegraph check``: how complete and linkable the records are."""

from __future__ import annotations

from typing import Annotated

import typer

from tracegraph.cli.options import Format, FormatOption, StoreOption
from tracegraph.cli.output import print_csv, print_json, print_table, remark


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="check")(check)


def check(
    top: Annotated[int, typer.Option("--top", help="Rows of each table.", min=1)] = 20,
    store: StoreOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Show how complete and linkable records are.

    Example: tracegraph check --format json
    """
    from tracegraph.analysis.completeness import completeness
    from tracegraph.analysis.records_state import records_state
    from tracegraph.report.records import (
        check_as_json,
        cost_sentence,
        links_table,
        months_table,
        questions_table,
        reasons_table,
    )
    from tracegraph.store import open_store

    with open_store(store) as records:
        state = records_state(records)
        score = completeness(records)
    if output is Format.json:
        print_json(check_as_json(state, score))
    elif output is Format.csv:
        print_csv(state.questions)
    else:
        for heading, table in (
            ("Rows set aside, by reason", reasons_table(state)),
            ("Links", links_table(state)),
            ("Share of the expected records that is there", months_table(score)),
            ("Questions with the most missing records", questions_table(state, top)),
        ):
            print(heading)
            print_table(table.texts(), right=table.right)
            print()
        print(cost_sentence(state))
        for text in state.remarks["text"]:
            remark(str(text))
