"""Memory and the folder for what does not fit are settings."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tracegraph.domain.errors import StoreError
from tracegraph.store import StoreDirectory, open_store
from tracegraph.store.writer import new_build


@pytest.fixture
def place(tmp_path: Path) -> Path:
    directory = StoreDirectory(tmp_path / "store")
    with directory.loading(), new_build(directory):
        pass
    return directory.path


def setting(place: Path, name: str) -> str:
    with open_store(place) as store:
        return str(store.rows(f"SELECT current_setting('{name}')")[0][0])


def test_readers_take_two_gigabytes_unless_told(place, monkeypatch):
    assert setting(place, "memory_limit") == "1.8 GiB"
    monkeypatch.setenv("TRACEGRAPH_MEMORY", "300MB")
    assert setting(place, "memory_limit") == "286.1 MiB"


def test_what_does_not_fit_goes_to_the_folder_that_was_set(place, tmp_path, monkeypatch):
    monkeypatch.setenv("TRACEGRAPH_SPILL", str(tmp_path))
    monkeypatch.setenv("TRACEGRAPH_MEMORY", "60MB")
    assert setting(place, "temp_directory") == str(tmp_path / "tracegraph-spill")
    with open_store(place) as store, store.session() as session:
        groups = session.scalar(
            "SELECT count(*) FROM (SELECT i, count(*) FROM range(4000000) AS r(i) GROUP BY i)"
        )
    assert groups == 4_000_000


def test_a_load_spills_there_too(tmp_path, monkeypatch):
    spill = tmp_path / "spill"
    spill.mkdir()
    monkeypatch.setenv("TRACEGRAPH_SPILL", str(spill))
    directory = StoreDirectory(tmp_path / "store")
    with directory.loading(), new_build(directory) as build:
        folder = str(build.scalar("SELECT current_setting('temp_directory')"))
    assert Path(folder).parent == spill
    assert not list(spill.iterdir())


def test_the_database_works_on_as_many_cores_as_told(place, monkeypatch):
    monkeypatch.setenv("TRACEGRAPH_CORES", "3")
    assert setting(place, "threads") == "3"
    directory = StoreDirectory(place.with_name("other"))
    with directory.loading(), new_build(directory) as build:
        assert build.scalar("SELECT current_setting('threads')") == 3
    monkeypatch.delenv("TRACEGRAPH_CORES")
    assert int(setting(place, "threads")) == os.cpu_count()


@pytest.mark.parametrize("cores", ["0", "-1", "1.5", "all"])
def test_cores_that_are_no_number_are_refused(place, monkeypatch, cores):
    monkeypatch.setenv("TRACEGRAPH_CORES", cores)
    with pytest.raises(StoreError, match=r"TRACEGRAPH_CORES must be a number from 1 on; got"):
        open_store(place)


@pytest.mark.parametrize("amount", ["plenty", "-2GB", "0GB", "2"])
def test_an_amount_that_is_none_is_refused(place, monkeypatch, amount):
    monkeypatch.setenv("TRACEGRAPH_MEMORY", amount)
    with pytest.raises(StoreError, match=r"TRACEGRAPH_MEMORY must be an amount like 2GB; got"):
        open_store(place)


def test_a_spill_folder_must_be_there(place, tmp_path, monkeypatch):
    monkeypatch.setenv("TRACEGRAPH_SPILL", str(tmp_path / "nowhere"))
    with pytest.raises(StoreError, match="TRACEGRAPH_SPILL must be a folder that can be written"):
        open_store(place)
