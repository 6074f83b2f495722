"""Small plants written out by hand, as records in a build that lives in memory."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracegraph.domain.records import TABLE_BY_NAME, Role
from tracegraph.store import Build, in_memory_build

_TYPES = {
    Role.NUMBER: "DOUBLE",
    Role.SHARE: "DOUBLE",
    Role.WHOLE: "BIGINT",
    Role.DATE: "DATE",
    Role.TIME: "TIMESTAMP",
    Role.FLAG: "BOOLEAN",
}

Row = dict[str, Any]


def build_of(**tables: list[Row]) -> Build:
    """An in-memory build holding the given rows; fields left out are null."""
    build = in_memory_build()
    for name, rows in tables.items():
        insert(build, name, rows)
    return build


def insert(build: Build, name: str, rows: list[Row]) -> None:
    table = TABLE_BY_NAME[name]
    unknown = {key for row in rows for key in row} - set(table.field_names)
    assert not unknown, f"{name} has no {unknown}"
    texts = pd.DataFrame(
        {
            field.name: pd.Series(
                [None if row.get(field.name) is None else str(row[field.name]) for row in rows],
                dtype="str",
            )
            for field in table.fields
        }
    )
    build.register("given_rows", texts)
    columns = ", ".join(f'"{field.name}"' for field in table.fields)
    casts = ", ".join(
        f'CAST("{field.name}" AS {_TYPES.get(field.role, "VARCHAR")})' for field in table.fields
    )
    build.execute(
        f"INSERT INTO {name} ({columns}, source_id, source_row) "
        f"SELECT {casts}, 1, row_number() OVER () FROM given_rows"
    )
    build.unregister("given_rows")
