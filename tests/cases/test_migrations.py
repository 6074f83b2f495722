"""Case files of every earlier layout open on the newest, with all that was written."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import Connection, create_engine, insert, text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool

from tests.support.case_entries import opened, ranked, sealed
from tests.support.postgres_server import Server
from tracegraph.cases import CaseStore
from tracegraph.cases.engine import lay_out
from tracegraph.cases.tables import cases, entries
from tracegraph.domain.errors import CaseFileError


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """An empty database of its own."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'cases.sqlite'}"
    server: Server = request.getfixturevalue("postgres")
    name = f"cases_{abs(hash(tmp_path))}"
    with server.connect("postgres") as connection:
        connection.execute(f"CREATE DATABASE {name}".encode())
    host = server.url.partition("://")[2].rpartition("/")[0]
    return f"postgresql+psycopg://{host.replace('@', f':{server.password}@', 1)}/{name}"


def begun(url: str) -> Connection:
    return create_engine(url, poolclass=NullPool).connect()


def revision(url: str) -> str:
    with begun(url) as connection:
        return str(connection.execute(text("SELECT version_num FROM alembic_version")).scalar())


def test_an_empty_database_is_laid_out_as_the_newest(url: str) -> None:
    store = CaseStore(url)
    store.open_case("QL-1", {"title": "a"})
    assert revision(url) == "r0002"
    # Opening once more changes nothing.
    assert CaseStore(url).verify("C-0001").whole


def test_the_first_layout_with_entries_comes_up_to_the_newest(url: str) -> None:
    written = sealed(opened(), ranked())
    with begun(url) as connection, connection.begin():
        lay_out(connection, "r0001")
        connection.execute(insert(cases).values(case_no="C-0001", last=2, head=written[-1].sealed))
        for one in written:
            connection.execute(insert(entries).values(**vars(one)))
    assert revision(url) == "r0001"
    store = CaseStore(url)
    assert revision(url) == "r0002"
    assert store.entries("C-0001") == written
    store.append("C-0001", "QL-2", "noted", {"form": "note", "lines": []})
    assert store.verify("C-0001").entries == 3
    assert store.verify("C-0001").whole


def test_the_database_refuses_to_change_an_entry_but_lets_a_case_go(url: str) -> None:
    store = CaseStore(url)
    store.open_case("QL-1", {"title": "a"})
    with (
        pytest.raises(DBAPIError, match="never changed"),
        begun(url) as connection,
        connection.begin(),
    ):
        connection.execute(text("UPDATE entries SET who = 'QL-2'"))
    assert store.verify("C-0001").whole
    store.remove("C-0001", "QM-1", "kept long enough")
    assert store.numbers() == []


def test_a_newer_layout_is_left_alone(url: str) -> None:
    CaseStore(url).open_case("QL-1", {"title": "a"})
    with begun(url) as connection, connection.begin():
        connection.execute(text("UPDATE alembic_version SET version_num = 'r9999'"))
    with pytest.raises(CaseFileError, match=r"newer version of tracegraph \(r9999\)"):
        CaseStore(url)
    assert revision(url) == "r9999"
