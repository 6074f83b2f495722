"""A reader never sees half a load, and a failed load leaves the earlier build in force."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from tracegraph.domain.errors import StoreBusyError, StoreError
from tracegraph.store import StoreDirectory, open_store
from tracegraph.store.writer import new_build


def publish(directory: StoreDirectory, version: str) -> Path:
    with directory.loading(), new_build(directory) as build:
        build.execute("INSERT INTO meta VALUES ('data_version', $v)", {"v": version})
    current = directory.current()
    assert current is not None
    return current


def test_empty_store_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="tracegraph load FOLDER"):
        open_store(tmp_path / "nothing")


def test_published_build_is_in_force_and_open_readers_keep_theirs(tmp_path: Path) -> None:
    directory = StoreDirectory(tmp_path)
    publish(directory, "one")
    with open_store(tmp_path) as first:
        publish(directory, "two")
        with open_store(tmp_path) as second:
            assert (first.version, second.version) == ("one", "two")
            assert first.meta("data_version") == "one"
            assert first.path != second.path


def test_failed_load_leaves_the_earlier_build_and_no_litter(tmp_path: Path) -> None:
    directory = StoreDirectory(tmp_path)
    publish(directory, "one")
    before = sorted(path.name for path in tmp_path.iterdir())
    with pytest.raises(ZeroDivisionError), directory.loading(), new_build(directory):
        raise ZeroDivisionError
    with open_store(tmp_path) as store:
        assert store.version == "one"
    with directory.loading():
        pass
    assert sorted(path.name for path in tmp_path.iterdir()) == before


def test_old_builds_go_one_load_later(tmp_path: Path) -> None:
    directory = StoreDirectory(tmp_path)
    for version in ("one", "two", "three", "four"):
        publish(directory, version)
    assert sorted(p.name for p in tmp_path.glob("builds-*")) == [
        "builds-3.duckdb",
        "builds-4.duckdb",
    ]


def test_second_load_is_refused_while_one_runs(tmp_path: Path) -> None:
    directory = StoreDirectory(tmp_path)
    second = StoreDirectory(tmp_path)
    with directory.loading(), pytest.raises(StoreBusyError, match="Another"), second.loading():
        pass


def test_pointer_to_nowhere_is_said(tmp_path: Path) -> None:
    (tmp_path / "current").write_text("../elsewhere.duckdb")
    with pytest.raises(StoreError, match="not a build"):
        open_store(tmp_path)


def test_reader_is_locked_down(tmp_path: Path) -> None:
    publish(StoreDirectory(tmp_path), "one")
    secret = tmp_path / "secret.csv"
    secret.write_text("a\n1\n")
    with open_store(tmp_path) as store:
        for text in (
            f"SELECT * FROM read_csv('{secret}')",
            "CREATE TABLE t (a INTEGER)",
            "SET enable_external_access = true",
            f"COPY meta TO '{tmp_path / 'out.csv'}'",
        ):
            with pytest.raises(Exception, match=r"(?i)permission|read-only|locked|disabled"):
                store.rows(text)


def test_one_build_opens_twice_in_one_process(tmp_path: Path) -> None:
    publish(StoreDirectory(tmp_path), "one")
    with open_store(tmp_path) as first, open_store(tmp_path) as second:
        assert first.version == second.version
    with open_store(tmp_path) as third:
        assert third.version == "one"


def test_sessions_of_many_threads_do_not_disturb_each_other(tmp_path: Path) -> None:
    publish(StoreDirectory(tmp_path), "one")
    failures: list[BaseException] = []

    def work(store_number: int) -> None:
        try:
            for round_number in range(20):
                with store.session() as session:
                    session.execute(
                        "CREATE TEMP TABLE t AS SELECT $n AS n",
                        {"n": store_number * 100 + round_number},
                    )
                    assert session.scalar("SELECT n FROM t") == store_number * 100 + round_number
        except BaseException as error:
            failures.append(error)

    with open_store(tmp_path) as store:
        threads = [threading.Thread(target=work, args=(n,)) for n in range(6)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    assert failures == []


def test_store_of_another_schema_asks_for_a_new_load(tmp_path: Path) -> None:
    directory = StoreDirectory(tmp_path)
    with directory.loading(), new_build(directory) as build:
        build.execute("UPDATE meta SET value = '0' WHERE key = 'schema_version'")
    with pytest.raises(StoreError, match="Load the records anew"):
        open_store(tmp_path)
