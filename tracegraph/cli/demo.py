"""``tracegraph demo``: the sample yard, from its folder of records to the open app."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import pandas as pd
import typer

from tracegraph.cli.app import PORT, serve
from tracegraph.cli.load import load_with_progress
from tracegraph.cli.output import print_table, remark
from tracegraph.report.bundle import bundled


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="demo")(demo)


def demo(
    store: Annotated[
        Path | None,
        typer.Option(help="Directory for the sample's store; a folder of its own when left out."),
    ] = None,
    port: Annotated[int, typer.Option(help="Port on localhost.")] = PORT,
    app: Annotated[bool, typer.Option("--app/--no-app", help="Open the app at the end.")] = True,
) -> int:
    """Load the sample, print its suspects, open the app.

    Example: tracegraph demo --no-app
    """
    from tracegraph.analysis.first_suspects import top_factors
    from tracegraph.report.overview import noticed
    from tracegraph.report.words import CAUTIONS
    from tracegraph.store import default_store_path, open_store

    where = store if store is not None else default_store_path().with_name("sample")
    remark("The sample yard is invented: no real boat, maker or person stands behind a record.")
    report = load_with_progress(bundled("sample_builds"), where, fresh=True)
    seen = sum(file.seen for file in report.files)
    set_aside = sum(file.set_aside for file in report.files)
    print(
        f"Loaded {seen:,} rows of {len(report.files)} files into {where}; "
        f"{set_aside:,} set aside with their reason."
    )
    with open_store(where) as records:
        found = top_factors(records)
    loud = noticed(found).sort_values("score", ascending=False, kind="stable")
    print("\nFirst suspect of each cluster in which something stands out:\n")
    print_table(_suspects(loud), right=frozenset({"expected", "evidence", "Fisher p"}))
    quiet = [
        f"{row.symptom} ({row.affected})"
        for row in found[~found["symptom"].isin(loud["symptom"])].itertuples()
    ]
    print(f"\nNothing stands out for (affected hulls): {', '.join(quiet)}.")
    for text in CAUTIONS:
        remark(text)
    return serve(where, port) if app else 0


def _suspects(found: pd.DataFrame) -> pd.DataFrame:
    from tracegraph.report.numbers import amount, chance, of

    rows = [
        {
            "symptom": row["symptom"],
            "first suspect": f"{row['family']} {row['level']}",
            "cases with it": f"{row['matched_cases']:.0f}",
            "expected": amount(row["expected"]),
            "evidence": f"{row['evidence']} of 4",
            "affected with it": of(int(row["affected_exposed"]), int(row["exposed"])),
            "others": of(int(row["affected_unexposed"]), int(row["unexposed"])),
            "Fisher p": chance(row["p_fisher"], row["log10_p_fisher"]),
        }
        for row in found.to_dict("records")
    ]
    return pd.DataFrame(rows)
