"""Queries of a real PostgreSQL server: the same rules, ledger and rows as of a file."""

from __future__ import annotations

import threading
import time
from datetime import date
from pathlib import Path

import pytest

from tests.intake.yard import Yard
from tests.support.postgres_server import Server
from tracegraph.domain.errors import IntakeError
from tracegraph.intake.databases import write_rows
from tracegraph.intake.mapping import QueryRule

SECRET = "PLANT_PASSWORD"


@pytest.fixture
def server(postgres: Server, monkeypatch: pytest.MonkeyPatch) -> Server:
    """The session's server with an empty table of boats, its password in the environment."""
    monkeypatch.setenv(SECRET, postgres.password)
    postgres.run(
        "DROP TABLE IF EXISTS boats",
        "CREATE TABLE boats (serial text, model text, done date, at timestamptz, weight numeric)",
    )
    return postgres


def mapping(server: Server, sql: str = "SELECT * FROM boats ORDER BY serial") -> str:
    return f"""
[[queries]]
name = "hulls"
url = "{server.url}"
password_env = "{SECRET}"
sql = "{sql}"
[[queries.tables]]
table = "hulls"
columns = {{ hull_serial = "serial", model = "model", completed_on = "done" }}
"""


def rule(server: Server, sql: str) -> QueryRule:
    return QueryRule.model_validate(
        {
            "name": "q",
            "url": server.url,
            "password_env": SECRET,
            "sql": sql,
            "tables": [{"table": "hulls", "columns": {"hull_serial": "a", "model": "a"}}],
        }
    )


def test_a_query_loads_like_a_file(server: Server, yard: Yard) -> None:
    server.run(
        "INSERT INTO boats VALUES ('0042', 'S22', '2026-01-05', now(), 1.50), "
        "('BT,2', E'S22\\nlong', NULL, NULL, NULL), (NULL, 'S26', NULL, NULL, NULL)"
    )
    yard.write("intake.toml", mapping(server))
    yard.load()
    assert yard.rows("SELECT hull_serial, completed_on FROM hulls ORDER BY ALL") == [
        ("0042", date(2026, 1, 5)),
        ("BT,2", None),
    ]
    ledger = yard.ledger("query hulls")
    assert (ledger.seen, ledger.loaded, ledger.set_aside) == (3, 2, 1)
    # The same rows again change nothing; a row gone from the answer is gone from the store.
    assert not yard.load().changed
    server.run("DELETE FROM boats WHERE serial = '0042'")
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT,2"]


def test_rows_know_the_query_they_came_from(server: Server, yard: Yard) -> None:
    server.run("INSERT INTO boats VALUES ('BT-1', 'S22', NULL, NULL, NULL)")
    yard.write("intake.toml", mapping(server))
    yard.load()
    assert "query hulls" in str(yard.rows("SELECT name FROM sources"))


@pytest.mark.parametrize(
    ("sql", "message"),
    [
        ("SELECT nextval('numbers') AS a", "read-only transaction"),
        ("WITH x AS (DELETE FROM boats RETURNING serial) SELECT serial AS a FROM x", "modifying"),
    ],
)
def test_a_query_only_reads(
    server: Server, yard: Yard, tmp_path: Path, sql: str, message: str
) -> None:
    server.run(
        "DROP SEQUENCE IF EXISTS numbers",
        "CREATE SEQUENCE numbers",
        "INSERT INTO boats VALUES ('BT-1', 'S22', NULL, NULL, NULL)",
    )
    with pytest.raises(IntakeError, match=message):
        write_rows(rule(server, sql), yard.folder, tmp_path / "out", {SECRET: server.password})
    assert server.run("SELECT count(*) FROM boats") == [(1,)]


def test_a_wrong_password_is_said_and_not_shown(server: Server, yard: Yard, tmp_path: Path) -> None:
    with pytest.raises(IntakeError, match="refused") as raised:
        write_rows(
            rule(server, "SELECT 1 AS a"), yard.folder, tmp_path / "out", {SECRET: "wrong-secret"}
        )
    assert "wrong-secret" not in str(raised.value)


def test_an_unknown_table_is_said(server: Server, yard: Yard, tmp_path: Path) -> None:
    with pytest.raises(IntakeError, match='"yachts" does not exist'):
        write_rows(
            rule(server, "SELECT a FROM yachts"),
            yard.folder,
            tmp_path / "out",
            {SECRET: server.password},
        )


def test_rows_stream_without_the_whole_answer_in_memory(
    server: Server, yard: Yard, tmp_path: Path
) -> None:
    # While the answer is still being made by the server, rows are written already.
    slow = rule(
        server,
        "SELECT n AS a, CASE WHEN n % 10000 = 0 THEN pg_sleep(0.05) END AS nap "
        "FROM generate_series(1, 200000) AS n",
    )
    out = tmp_path / "out"
    sizes: list[int] = []
    done = threading.Event()

    def watch() -> None:
        while not done.is_set():
            sizes.append(out.stat().st_size if out.exists() else 0)
            time.sleep(0.02)

    watcher = threading.Thread(target=watch)
    watcher.start()
    try:
        rows = write_rows(slow, yard.folder, out, {SECRET: server.password})
    finally:
        done.set()
        watcher.join()
    assert rows == 200_000
    whole = out.stat().st_size
    assert any(0 < size < whole / 2 for size in sizes)
