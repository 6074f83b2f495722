"""The schema in the .sql files holds what the list of records says."""

from __future__ import annotations

from pathlib import Path

import pytest

from tracegraph.domain.records import TABLES, RecordTable, Role
from tracegraph.store import StoreDirectory, in_memory_build
from tracegraph.store.writer import new_build

TYPES = {
    Role.NUMBER: "DOUBLE",
    Role.SHARE: "DOUBLE",
    Role.WHOLE: "BIGINT",
    Role.DATE: "DATE",
    Role.TIME: "TIMESTAMP",
    Role.FLAG: "BOOLEAN",
}


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_record_tables_match_the_list_of_fields(table: RecordTable) -> None:
    found = in_memory_build().rows(
        "SELECT column_name, data_type, NOT is_nullable FROM duckdb_columns() "
        "WHERE table_name = $name ORDER BY column_index",
        {"name": table.name},
    )
    wanted = [(f.name, TYPES.get(f.role, "VARCHAR"), f.required) for f in table.fields]
    assert found == [*wanted, ("source_id", "INTEGER", True), ("source_row", "BIGINT", True)]


def test_every_column_of_a_file_is_explained(tmp_path: Path) -> None:
    directory = StoreDirectory(tmp_path)
    with directory.loading(), new_build(directory) as build:
        silent = build.rows(
            "SELECT table_name, column_name FROM duckdb_columns() WHERE NOT internal "
            "AND comment IS NULL AND column_name NOT IN ('source_id', 'source_row')"
        )
    assert silent == []


def test_identities_name_fields_of_their_table() -> None:
    for table in TABLES:
        names = set(table.field_names)
        assert set(table.identity) <= names
        assert {name for group in table.one_of for name in group} <= names
