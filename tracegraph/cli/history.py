"""``tracegraph history``: how one hull was built, against its peers and the limits."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from tracegraph.cli.options import Format, FormatOption, StoreOption
from tracegraph.cli.output import print_csv, print_display, print_json, remark

if TYPE_CHECKING:
    from tracegraph.analysis.peers import PeerReview


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="history")(history)


def history(
    identifier: Annotated[
        str, typer.Argument(metavar="ID", help="Hull, HIN, job, claim, part or component number.")
    ],
    readings: Annotated[
        bool,
        typer.Option("--readings", help="Print each reading with its place among peers too."),
    ] = False,
    store: StoreOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Review one hull against its peers and the limits.

    Example: tracegraph history S22-0412 --readings
    """
    from tracegraph.analysis.peers import review
    from tracegraph.report.genealogy_json import review_json
    from tracegraph.store import open_store

    with open_store(store) as records:
        found = review(records, identifier)
    if output is Format.json:
        print_json(review_json(found))
    elif output is Format.csv:
        print_csv(found.history.measures if readings else found.findings)
    else:
        _print(found, readings=readings)


def _print(found: PeerReview, *, readings: bool) -> None:
    from tracegraph.report.history import (
        claims_table,
        hull_headline,
        hull_sentences,
        inspections_table,
        parts_table,
    )
    from tracegraph.report.peers import findings_table, readings_table, review_sentences

    print(hull_headline(found.history.hull))
    for text in hull_sentences(found.history):
        print(text)
    counts, *cautions = review_sentences(found)
    print(f"\n{counts}")
    if len(found.findings):
        print_display(findings_table(found))
    for title, table in (
        ("Claims", claims_table(found.history)),
        ("Parts and bought items", parts_table(found.history)),
        ("Checks, every attempt", inspections_table(found.history)),
    ):
        print(f"\n{title}:")
        print_display(table)
    if readings:
        print("\nReadings, conditions and waits:")
        print_display(readings_table(found))
    for text in cautions:
        remark(text)
