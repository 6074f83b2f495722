"""``tracegraph compare``: what hulls share and where they part."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from tracegraph.cli.options import Format, FormatOption, StoreOption, audited_reason
from tracegraph.cli.output import print_csv, print_display, print_json
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError

if TYPE_CHECKING:
    from tracegraph.store import Store

SHOWN = 20


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="compare")(compare)


def compare(
    hulls: Annotated[
        list[str] | None,
        typer.Argument(help="Two or more hull numbers; with --symptom any of the affected ones."),
    ] = None,
    symptom: Annotated[
        list[str] | None,
        typer.Option(
            "--symptom",
            metavar="WORD",
            help="Put unaffected hulls of the same model and days beside those affected by it.",
        ),
    ] = None,
    per_hull: Annotated[
        int | None,
        typer.Option(
            "--per-hull", metavar="N", help="Unaffected hulls beside each affected one.", min=1
        ),
    ] = None,
    people: Annotated[
        str | None, typer.Option("--people", help="Reason for showing families of people.")
    ] = None,
    store: StoreOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Show what hulls share and where they part.

    Example: tracegraph compare S22-0412 S22-0413

    Example: tracegraph compare --symptom blister
    """
    from tracegraph.store import open_store

    with open_store(store) as records:
        if symptom:
            _beside_unaffected(records, symptom, hulls or [], per_hull, people, output)
        elif per_hull is not None:
            raise DefinitionError("--per-hull goes with --symptom WORD; no symptom was given.")
        else:
            _hulls(records, hulls or [], people, output)


def _hulls(records: Store, hulls: list[str], people: str | None, output: Format) -> None:
    from tracegraph.analysis.comparison import compare as compare_records
    from tracegraph.report.comparison import apart_table, comparison_sentences, shared_table
    from tracegraph.report.genealogy_json import compare_json

    found = compare_records(records, hulls, people_reason=audited_reason(records, people))
    if output is Format.json:
        print_json(compare_json(found))
    elif output is Format.csv:
        print_csv(found.families)
    else:
        for text in comparison_sentences(found):
            print(text)
        print()
        print_display(shared_table(found, top=SHOWN))
        print()
        print_display(apart_table(found, top=SHOWN))


def _beside_unaffected(
    records: Store,
    symptoms: list[str],
    hulls: list[str],
    per_hull: int | None,
    people: str | None,
    output: Format,
) -> None:
    from tracegraph.analysis.contrast import PER_HULL, contrast
    from tracegraph.report.contrast import contrast_sentences, contrast_table
    from tracegraph.report.genealogy_json import contrast_json

    found = contrast(
        records,
        CaseDefinition(symptoms=tuple(symptoms)),
        hulls=hulls,
        per_hull=per_hull or PER_HULL,
        people_reason=audited_reason(records, people),
    )
    if output is Format.json:
        print_json(contrast_json(found))
    elif output is Format.csv:
        print_csv(found.levels)
    else:
        print(found.definition.sentence())
        for text in contrast_sentences(found):
            print(text)
        print()
        print_display(contrast_table(found, top=SHOWN))
