"""Which engine counts: the options, and putting it behind a store."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from tracegraph.domain.errors import DefinitionError

if TYPE_CHECKING:
    from tracegraph.store import Store


class EngineName(StrEnum):
    """What counts the exposure."""

    duckdb = "duckdb"
    spark = "spark"


EngineOption = Annotated[
    EngineName,
    typer.Option("--engine", help="What counts: the store itself, or Spark on published tables."),
]
PublishedOption = Annotated[
    str | None,
    typer.Option(
        "--published",
        metavar="DIR|URL",
        help="Where Spark finds the tables of tracegraph publish.",
    ),
]
RemoteOption = Annotated[
    str | None,
    typer.Option(
        "--spark-remote",
        metavar="URL",
        help="Spark Connect server, as sc://host:15002; Spark on this machine when left out.",
    ),
]


def use_engine(
    records: Store, engine: EngineName, published: str | None, remote: str | None
) -> None:
    """Have a store counted by the engine asked for.

    Raises
    ------
    DefinitionError
        If the options do not go together.
    StoreError
        If Spark or the published tables cannot be reached.
    """
    if engine is EngineName.duckdb:
        for option, value in (("--published", published), ("--spark-remote", remote)):
            if value is not None:
                raise DefinitionError(f"{option} goes with --engine spark.")
        return
    if published is None:
        raise DefinitionError(
            "--engine spark needs --published DIR or URL: "
            "the tables that tracegraph publish --to DIR wrote."
        )
    from tracegraph.store.spark import open_spark

    records.count_by(open_spark(published, records.version, remote))
