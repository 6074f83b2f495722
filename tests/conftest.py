"""Rules for the whole suite."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from filelock import FileLock
from hypothesis import settings

from tests.support.postgres_server import Server, programs, running

SAMPLE = Path(__file__).resolve().parent.parent / "sample_builds"

# Machines are slow and shared; an example that takes long is no fault of the code.
settings.register_profile("tracegraph", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("tracegraph")


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Where CI is set, a test that was skipped has failed."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    skipped = reporter.stats.get("skipped", []) if reporter else []
    if os.environ.get("CI") and skipped and exitstatus == 0:
        names = ", ".join(sorted(report.nodeid for report in skipped))
        reporter.write_line(f"skipped where nothing may be skipped: {names}", red=True)
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


@pytest.fixture(scope="session")
def sample_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store directory with the sample yard loaded; for reading only."""
    from tracegraph.intake import load_folder
    from tracegraph.store import StoreDirectory

    # Workers of one run share the folder above their own, so that one of them loads for all.
    shared = tmp_path_factory.getbasetemp()
    if os.environ.get("PYTEST_XDIST_WORKER"):
        shared = shared.parent
    where = shared / "sample-store"
    with FileLock(shared / "sample-store.lock"):
        if not (where / "current").exists():
            load_folder(SAMPLE, StoreDirectory(where))
    return where


@pytest.fixture(scope="session")
def ranked_sample(sample_store: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample yard, all of whose clusters are ranked; for reading only."""
    from tracegraph.analysis.first_suspects import first_suspects
    from tracegraph.store import open_store

    where = sample_store.with_name("ranked-sample")
    with FileLock(where.with_suffix(".lock")):
        if not where.exists():
            unfinished = where.with_suffix(".unfinished")
            shutil.copytree(sample_store, unfinished)
            with open_store(unfinished) as store:
                list(first_suspects(store))
            unfinished.rename(where)
    return where


@pytest.fixture(scope="session")
def two_plants(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Stores ``north`` and ``south``, ``joined`` of both and ``alone`` of north; for reading.

    Every number of the two plants collides; a gelcoat lot that both bought is the cause.
    """
    from tracegraph.intake import load_folder
    from tracegraph.intake.joining import join_stores
    from tracegraph.store import StoreDirectory
    from tracegraph.synthetic import make_builds

    shared = tmp_path_factory.getbasetemp()
    if os.environ.get("PYTEST_XDIST_WORKER"):
        shared = shared.parent
    where = shared / "two-plants"
    with FileLock(shared / "two-plants.lock"):
        if not (where / "alone" / "current").exists():
            for plant in ("north", "south"):
                folder = where / f"records-{plant}"
                make_builds(folder, hulls=220, seed=3, scenario="one-lot", plant=plant)
                (folder / "ambient.csv.gz").unlink()
                load_folder(folder, StoreDirectory(where / plant))
            stores = [(None, where / plant) for plant in ("north", "south")]
            join_stores(stores, StoreDirectory(where / "joined"))
            join_stores(stores[:1], StoreDirectory(where / "alone"))
    return where


@pytest.fixture(scope="session")
def postgres() -> Iterator[Server]:
    """A PostgreSQL server of this session; skipped where none is installed."""
    folder = programs()
    if folder is None:
        pytest.skip("no PostgreSQL server is installed (Debian: postgresql)")
    with running(folder) as server:
        yield server
