"""``tracegraph trace``: everything upstream of a thing, and what came of it."""

from __future__ import annotations

import json
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any

import pandas as pd
import typer

from tracegraph.cli.options import Format, FormatOption, StoreOption
from tracegraph.cli.output import print_csv, print_json, remark, write_bytes


class Direction(StrEnum):
    """Which way to walk."""

    up = "up"
    down = "down"
    both = "both"


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="trace")(trace)


def trace(
    identifier: Annotated[
        str, typer.Argument(metavar="ID", help="Claim, hull, HIN, part, lot, drum or mold number.")
    ],
    direction: Annotated[Direction, typer.Option(help="Which way to walk.")] = Direction.both,
    depth: Annotated[
        int | None, typer.Option(help="Steps after which the walk ends.", min=1)
    ] = None,
    graphml: Annotated[
        Path | None,
        typer.Option("--graphml", metavar="FILE", help="Write the graph as GraphML too."),
    ] = None,
    prov: Annotated[
        Path | None,
        typer.Option("--prov", metavar="FILE", help="Write the graph as W3C PROV-JSON too."),
    ] = None,
    epcis: Annotated[
        Path | None,
        typer.Option(
            "--epcis", metavar="FILE", help="Write it as GS1 EPCIS 2.0 events too, without people."
        ),
    ] = None,
    store: StoreOption = None,
    output: FormatOption = Format.table,
) -> None:
    """Trace a claim, hull, part or lot.

    Example: tracegraph trace C-10412 --graphml claim.graphml
    """
    from tracegraph.analysis.tracing import trace as trace_records
    from tracegraph.genealogy.export import graphml_text, prov_json
    from tracegraph.report.genealogy_json import epcis_json, trace_json
    from tracegraph.report.tree import tree_text
    from tracegraph.store import open_store

    with open_store(store) as records:
        found = trace_records(records, identifier, direction=direction.value, depth=depth)
    if output is Format.json:
        print_json(trace_json(found))
    elif output is Format.csv:
        edges = [
            (source, data["relation"], target)
            for source, target, data in found.graph.edges(data=True)
        ]
        print_csv(pd.DataFrame(edges, columns=["source", "relation", "target"]))
    else:
        print(tree_text(found))
    if graphml is not None:
        write_bytes(graphml, graphml_text(found.graph).encode())
    if prov is not None:
        _write_json(prov, prov_json(found.graph))
    if epcis is not None:
        document = epcis_json(found)
        _write_json(epcis, document)
        undated = len(document["tg:undated"])
        if undated:
            remark(f"{undated} things have no time on record and are named beside the events.")


def _write_json(path: Path, document: dict[str, Any]) -> None:
    write_bytes(path, json.dumps(document, ensure_ascii=False, indent=1).encode())
