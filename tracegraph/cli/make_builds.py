"""``tracegraph make-builds``: invented records with a known answer."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import pandas as pd
import typer

from tracegraph.cli.output import print_table, remark


def add_to(cli: typer.Typer) -> None:
    """Add the command."""
    cli.command(name="make-builds")(make_builds)


def make_builds(
    out: Annotated[Path, typer.Argument(help="Folder to write; made if it is not there.")],
    hulls: Annotated[int, typer.Option(help="How many hulls.", min=1)] = 1200,
    seed: Annotated[int, typer.Option(help="Same seed, same bytes.")] = 1,
    scenario: Annotated[
        str, typer.Option(help="Which planted causes; a wrong name lists them.")
    ] = "sample",
    plant: Annotated[
        str | None,
        typer.Option(
            metavar="NAME",
            help="One of several plants: those of one seed share their numbers and the lots they "
            "bought, and have claims of their own.",
        ),
    ] = None,
) -> None:
    """Write invented records with an answer key.

    Example: tracegraph make-builds ./yard --hulls 600 --seed 7 --scenario one-lot
    """
    from tracegraph.synthetic import make_builds as make

    made = make(out, hulls=hulls, seed=seed, scenario=scenario, plant=plant)
    print_table(
        pd.DataFrame(
            {"file": list(made.files), "rows": [f"{rows:,}" for rows in made.files.values()]}
        ),
        right=frozenset({"rows"}),
    )
    remark(
        f"Synthetic records of {hulls:,} hulls in {out}; the planted causes are in answer_key.json."
    )
