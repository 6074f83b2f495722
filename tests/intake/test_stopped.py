"""A load that is stopped, or runs out of room, leaves the earlier records in force."""

from __future__ import annotations

import random
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.intake.yard import Yard
from tests.support.begun_load import begin

ROWS = 150_000
KILLS = 20
LAST_KILL = 0.8  # seconds; spread over what a load of these rows takes
LOAD = """
import sys
from pathlib import Path
from tracegraph.domain.errors import TraceGraphError
from tracegraph.intake import load_folder
from tracegraph.store import StoreDirectory
try:
    load_folder(Path(sys.argv[1]), StoreDirectory(Path(sys.argv[2])))
except TraceGraphError as error:
    print(type(error).__name__, error)
    sys.exit(2)
"""


LASTING = {"acts.lock", "audit.jsonl", "builds-1.duckdb", "current", "folders.json", "loading.lock"}
"""Files that a store keeps, however often a load is begun."""


def start(yard: Yard, *, largest_file: int) -> subprocess.Popen[str]:
    def limit() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (largest_file, largest_file))

    command = [sys.executable, "-c", LOAD, str(yard.folder), str(yard.directory.path)]
    return subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, preexec_fn=limit, cwd=Path(__file__).parents[2]
    )


@pytest.fixture
def loaded(yard: Yard) -> Yard:
    """A yard with one hull in force, and many operations waiting to be loaded."""
    yard.load_files(hulls__csv="hull_serial,model\nBT-1,S22\n")
    lines = (f"OP-{n},bond,BT-1,2026-01-05 07:00,P-{n * 7919 % ROWS}\n" for n in range(ROWS))
    header = "operation_id,step,hull_serial,started_at,operator\n"
    yard.write("operations.csv", header + "".join(lines))
    return yard


def assert_untouched(yard: Yard) -> None:
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    assert yard.rows("SELECT count(*) FROM operations") == [(0,)]


def test_a_killed_load_leaves_the_earlier_records_and_no_growing_litter(loaded: Yard) -> None:
    chance = random.Random(7)
    for moment in range(KILLS):
        process = begin(loaded.folder, loaded.directory.path)
        time.sleep((moment + chance.random()) / KILLS * LAST_KILL)
        process.kill()
        process.join()
        assert process.exitcode == -signal.SIGKILL
        assert_untouched(loaded)
        files = [path for path in loaded.directory.path.rglob("*") if path.is_file()]
        litter = [path for path in files if path.name not in LASTING]
        assert len(litter) <= 2, litter
    report = loaded.load()
    assert report.changed
    assert loaded.rows("SELECT count(*) FROM operations") == [(ROWS,)]
    left = {path.name.split(".")[0] for path in loaded.directory.path.iterdir()}
    assert left <= {"acts", "audit", "builds-1", "builds-2", "current", "folders", "loading"}


def test_a_full_disk_is_told_in_one_line(loaded: Yard) -> None:
    process = start(loaded, largest_file=2 * 2**20)
    said, _ = process.communicate()
    assert process.returncode == 2, said
    [line] = said.splitlines()
    assert line.startswith("StoreError The load ran out of room")
    assert "earlier records stay in force" in line
    assert_untouched(loaded)
