"""``tracegraph contain``: every hull that carries a suspect, or may carry it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tracegraph.cli.options import Format, FormatOption, StoreOption
from tracegraph.cli.output import print_csv, print_json, print_table, remark, write_bytes
from tracegraph.domain.definition import CaseDefinition

if TYPE_CHECKING:
    from tracegraph.analysis.containment import Containment

SHOWN = 25


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="contain")(contain)


def contain(
    family: Annotated[
        str, typer.Option("--family", metavar="FAMILY", help="Family of the suspect.")
    ],
    level: Annotated[str, typer.Option("--level", metavar="LEVEL", help="Level of the suspect.")],
    symptom: Annotated[
        list[str] | None,
        typer.Option(
            "--symptom", metavar="WORD", help="Symptom that makes a hull affected; may be repeated."
        ),
    ] = None,
    people: Annotated[
        str | None,
        typer.Option(
            "--people", metavar="REASON", help="Reason for asking about a family of people."
        ),
    ] = None,
    hold_list: Annotated[
        Path | None,
        typer.Option(
            "--hold-list", metavar="FILE", help="Write the hold list to a .csv or .xlsx file too."
        ),
    ] = None,
    store: StoreOption = None,
    output: FormatOption = Format.table,
) -> None:
    """List the hulls that carry a suspect.

    Example: tracegraph contain --family "hull: mold" --level S22-H2 --hold-list hold.xlsx
    """
    from tracegraph.analysis.containment import contain as contain_records
    from tracegraph.report.genealogy_json import contain_json
    from tracegraph.report.holdlist import about
    from tracegraph.store import open_store

    definition = CaseDefinition(symptoms=tuple(symptom)) if symptom else None
    with open_store(store) as records:
        found = contain_records(records, family, level, definition=definition, people_reason=people)
    if output is Format.json:
        print_json(contain_json(found))
    elif output is Format.csv:
        print_csv(found.hulls)
    else:
        counts = found.counts.reset_index()
        print_table(counts.astype("str"), right=frozenset(map(str, counts.columns[1:])))
        print()
        columns = [
            "hull_serial",
            "hin",
            "model",
            "grade",
            "place",
            "state",
            "months_in_service",
            "claims",
        ]
        print_table(found.hulls[columns].head(SHOWN).astype("object"))
        if len(found.hulls) > SHOWN:
            print(f"The first {SHOWN} of {len(found.hulls):,} hulls; --hold-list writes them all.")
        print()
        for text in about(found):
            remark(text)
    if hold_list is not None:
        _write(hold_list, found)


def _write(path: Path, found: Containment) -> None:
    from tracegraph.domain.errors import TraceGraphError
    from tracegraph.report.holdlist import hold_list_csv, hold_list_xlsx

    makers = {".csv": hold_list_csv, ".xlsx": hold_list_xlsx}
    if path.suffix.lower() not in makers:
        raise TraceGraphError(
            f"A hold list is written as .csv or .xlsx; got {path.name!r}. Choose one of the two."
        )
    write_bytes(path, makers[path.suffix.lower()](found))
