"""Time the whole load of a folder of large files against the database reading them as text.

Run: python -m tests.benchmarks.bench_load [--rows 10000000 --damaged 500]

Half of the rows are uses of a material, half are readings; identities are text of 36 marks,
so that 10 million rows are about 700 MB. Yardsticks read the same files as text: one counts
the rows, one counts the filled values of every column, one writes a table under the load's
own limit of memory. The last writes the columns that the store keeps, with their types and
the line of each row, and nothing else: no load can take less than that. Seconds on the clock
and seconds of computing are both shown: the second hardly moves when the machine has other
work.
"""

from __future__ import annotations

import argparse
import os
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import duckdb
import psutil
import xlsxwriter

from tests.intake.damage import load_damaged
from tests.intake.yard import Yard
from tracegraph.intake import load_folder
from tracegraph.store import StoreDirectory

USAGES = """
COPY (
    SELECT
        CAST(md5(CAST(i // 2 AS VARCHAR)) AS UUID) AS operation_id,
        ['gelcoat', 'resin', 'skin resin', 'core'][i % 4 + 1] AS material,
        'LOT-' || lpad(CAST(i // 4000 AS VARCHAR), 8, '0') AS lot_no,
        'DR-' || (i % 4000 // 100) AS drum_no,
        round(2 + (i * 7919 % 1000) / 100.0, 2) AS quantity,
        'kg' AS unit
    FROM range(CAST($rows AS BIGINT)) AS r(i)
) TO '{path}' (HEADER)
"""
READINGS = """
COPY (
    SELECT
        CAST(md5(CAST(i // 2 AS VARCHAR)) AS UUID) AS operation_id,
        ['ambient_temp', 'relative_humidity'][i % 2 + 1] AS quantity,
        round(15 + (i * 7919 % 1000) / 100.0, 2) AS value,
        ['degC', '%'][i % 2 + 1] AS unit
    FROM range(CAST($rows AS BIGINT)) AS r(i)
) TO '{path}' (HEADER)
"""
TABLES = {"usages": USAGES, "readings": READINGS}
NUMBERS = {"usages": "quantity", "readings": "value"}


@dataclass(frozen=True)
class Cost:
    """Seconds on the clock and seconds of computing over all threads."""

    clock: float
    computing: float


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=10_000_000)
    parser.add_argument("--damaged", type=int, default=500)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as base:
        large_folder(Path(base), given.rows)
    with tempfile.TemporaryDirectory() as base:
        large_workbook(Path(base))
    with tempfile.TemporaryDirectory() as base:
        say(
            f"{given.damaged} damaged files",
            cost(lambda: load_damaged(Yard(Path(base)), given.damaged, seed=500)),
        )


def large_folder(base: Path, rows: int) -> None:
    folder = base / "records"
    folder.mkdir()
    paths = [folder / f"{table}.csv" for table in TABLES]
    for path, text in zip(paths, TABLES.values(), strict=True):
        with duckdb.connect() as writing:
            writing.execute(text.format(path=path), {"rows": rows // 2})
    size = sum(path.stat().st_size for path in paths) / 2**20
    print(f"{rows:,} rows, {size:,.0f} MB", flush=True)
    yardsticks = {
        "rows counted": cost(lambda: count_rows(paths)),
        "values of every column counted": cost(lambda: count_values(paths)),
        "written to a table and counted": cost(lambda: read_into_tables(paths, base)),
        "written typed, with lines": cost(lambda: write_typed(paths, base)),
    }
    with peak_memory() as peak:
        ours = cost(lambda: load_folder(folder, StoreDirectory(base / "store")))
    for name, yardstick in yardsticks.items():
        say(f"  {name}", yardstick)
        print(
            f"    loading takes {ours.clock / yardstick.clock:.1f} times as long, "
            f"{ours.computing / yardstick.computing:.1f} times the computing"
        )
    say("  loaded", ours)
    print(f"  peak memory {peak[0] / 2**20:,.0f} MB", flush=True)


def count_rows(paths: list[Path]) -> None:
    with duckdb.connect() as reading:
        for path in paths:
            reading.execute(f"SELECT count(*) FROM {as_text(path)}").fetchall()


def count_values(paths: list[Path]) -> None:
    with duckdb.connect() as reading:
        for path in paths:
            reading.execute(f"SELECT count(COLUMNS(*)) FROM {as_text(path)}").fetchall()


def read_into_tables(paths: list[Path], base: Path) -> None:
    with duckdb.connect(str(base / "yardstick.duckdb")) as reading:
        reading.execute("SET memory_limit = '2500MB'")
        for path in paths:
            reading.execute(f"CREATE TABLE {path.stem} AS SELECT * FROM {as_text(path)}")
            reading.execute(f"SELECT count(*) FROM {path.stem}").fetchall()


def write_typed(paths: list[Path], base: Path) -> None:
    with duckdb.connect(str(base / "floor.duckdb")) as writing:
        writing.execute("SET memory_limit = '2500MB'")
        writing.execute("SET fsync_mode = 'NONE'")
        for path in paths:
            name = path.stem
            writing.execute(f"CREATE TEMP TABLE page AS SELECT * FROM {as_text(path)}")
            writing.execute(
                f"CREATE TABLE {name} AS SELECT * REPLACE (CAST({NUMBERS[name]} AS DOUBLE) "
                f"AS {NUMBERS[name]}), 1 AS source_id, rowid + 2 AS source_row FROM page"
            )
            writing.execute("DROP TABLE page")
        writing.execute("CHECKPOINT")


def as_text(path: Path) -> str:
    return f"read_csv('{path}', all_varchar = true, header = true)"


def large_workbook(base: Path) -> None:
    folder = base / "records"
    folder.mkdir()
    fields = ["hull_serial", "job_no", "hin", "model", "options", "completed_on", "dealer"]
    extra = [f"extra {n}" for n in range(20 - len(fields))]
    book = xlsxwriter.Workbook(str(folder / "hulls.xlsx"), {"constant_memory": True})
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, [*fields, *extra])
    for row in range(1, 50_001):
        cells = [f"BT-{row}", row, f"QZX{row:05d}C525", "S22", "tabs", "2026-01-05", "D-1"]
        sheet.write_row(row, 0, [*cells, *(row * 0.5 for _ in extra)])
    book.close()
    say(
        "workbook of 50,000 x 20 cells",
        cost(lambda: load_folder(folder, StoreDirectory(base / "store"))),
    )


def cost(work: Callable[[], object]) -> Cost:
    clock, computing = time.perf_counter(), time.process_time()
    work()
    return Cost(time.perf_counter() - clock, time.process_time() - computing)


@contextmanager
def peak_memory() -> Iterator[list[int]]:
    """Largest resident size of this process while the block runs, in bytes."""
    process, peak, over = psutil.Process(os.getpid()), [0], threading.Event()

    def watch() -> None:
        while not over.wait(0.05):
            peak[0] = max(peak[0], process.memory_info().rss)

    watcher = threading.Thread(target=watch)
    watcher.start()
    try:
        yield peak
    finally:
        over.set()
        watcher.join()


def say(what: str, found: Cost) -> None:
    print(f"{what:<42}{found.clock:10.2f} s{found.computing:10.2f} s of computing", flush=True)


if __name__ == "__main__":
    main()
