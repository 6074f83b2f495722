"""``tracegraph suspect``: one suspect from all sides, and beside another."""

from __future__ import annotations

from typing import Annotated

import typer

from tracegraph.cli.defining import defines_cases
from tracegraph.cli.options import Format, FormatOption, StoreOption, audited_reason
from tracegraph.cli.output import print_csv, print_display, print_json
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="suspect")(suspect)


@defines_cases
def suspect(
    definition: CaseDefinition,
    family: Annotated[str, typer.Option("--family", metavar="F", help="Family of the suspect.")],
    level: Annotated[str, typer.Option("--level", metavar="L", help="Its level.")],
    beside_family: Annotated[
        str | None, typer.Option("--beside-family", metavar="F", help="Family of another suspect.")
    ] = None,
    beside_level: Annotated[
        str | None, typer.Option("--beside-level", metavar="L", help="Its level.")
    ] = None,
    people: Annotated[
        str | None, typer.Option("--people", metavar="REASON", help="Why people are asked for.")
    ] = None,
    store: StoreOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Look at one suspect from all sides, and tell it from another.

    Example: tracegraph suspect --symptom void --family "hull: mold" --level S22-H2
    """
    from tracegraph.analysis.suspect import examine_suspect
    from tracegraph.report.suspect import suspect_as_json, suspect_sentences
    from tracegraph.report.suspect_tables import suspect_tables
    from tracegraph.store import open_store

    if (beside_family is None) != (beside_level is None):
        raise DefinitionError(
            "--beside-family and --beside-level go together; only one was given. Give both."
        )
    other = None
    if beside_family is not None and beside_level is not None:
        other = (beside_family, beside_level)
    with open_store(store) as records:
        found = examine_suspect(
            records,
            definition,
            family,
            level,
            beside=other,
            people_reason=audited_reason(records, people),
        )
    if output is Format.json:
        print_json(suspect_as_json(found))
    elif output is Format.csv:
        print_csv(found.models)
    else:
        print(found.definition.sentence())
        for text in suspect_sentences(found):
            print(text)
        for heading, table in suspect_tables(found):
            print(f"\n{heading}:")
            print_display(table)
