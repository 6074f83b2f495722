"""Time the loading of large files against the database reading them as text.

Run: python -m tests.benchmarks.bench_load [--rows 10000000 --damaged 500]

What is timed is intake: files to record tables, repeats and spellings settled. Linking and
exposure have benchmarks of their own. The yardstick reads the same file as text into a
table and counts its rows, in the same database under the same limit of memory.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import duckdb
import psutil
import xlsxwriter

from tests.intake.damage import load_damaged
from tests.intake.yard import Yard
from tracegraph.intake import finishing, load_folder
from tracegraph.store import StoreDirectory

OPERATIONS = """
COPY (
    SELECT
        'OP-' || lpad(CAST(i AS VARCHAR), 8, '0') AS operation_id,
        ['gelcoat spray', 'skin coat', 'laminate', 'cure'][i % 4 + 1] AS step,
        'PT-' || lpad(CAST(i // 20 AS VARCHAR), 7, '0') AS part_serial,
        'ST-' || (i % 12) AS station,
        'GUN-' || (i % 7) AS equipment,
        'P' || (i * 7919 % 40) AS operator,
        strftime(TIMESTAMP '2020-01-01' + to_minutes(i % 2000000), '%Y-%m-%d %H:%M') AS started_at,
        strftime(TIMESTAMP '2020-01-02' + to_minutes(i % 2000000), '%Y-%m-%d %H:%M') AS finished_at
    FROM range(CAST($rows AS BIGINT)) AS r(i)
) TO '{path}' (HEADER)
"""
READINGS = """
COPY (
    SELECT
        'OP-' || lpad(CAST(i // 2 AS VARCHAR), 8, '0') AS operation_id,
        ['ambient_temp', 'relative_humidity'][i % 2 + 1] AS quantity,
        round(15 + (i * 7919 % 1000) / 100.0, 2) AS value,
        ['degC', '%'][i % 2 + 1] AS unit
    FROM range(CAST($rows AS BIGINT)) AS r(i)
) TO '{path}' (HEADER)
"""
YARDSTICK = """
CREATE TABLE lines AS SELECT * FROM read_csv('{path}', all_varchar = true, header = true);
"""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=10_000_000)
    parser.add_argument("--damaged", type=int, default=500)
    given = parser.parse_args()
    finishing.link_records = lambda *_, **__: None  # type: ignore[assignment]  # not timed here
    finishing.build_exposure = lambda *_, **__: None  # type: ignore[assignment]  # not timed here
    for table, text in (("operations", OPERATIONS), ("readings", READINGS)):
        with tempfile.TemporaryDirectory() as base:
            large_text(Path(base), table, text, given.rows)
    with tempfile.TemporaryDirectory() as base:
        large_workbook(Path(base))
    with tempfile.TemporaryDirectory() as base:
        begin = time.perf_counter()
        load_damaged(Yard(Path(base)), given.damaged, seed=500)
        say(f"{given.damaged} damaged files", time.perf_counter() - begin)


def large_text(base: Path, table: str, text: str, rows: int) -> None:
    folder = base / "records"
    folder.mkdir()
    path = folder / f"{table}.csv"
    with duckdb.connect() as writing:
        writing.execute(text.format(path=path), {"rows": rows})
    size = path.stat().st_size / 2**20
    print(f"{table}.csv: {rows:,} rows, {size:,.0f} MB")
    yardstick = timed(lambda: read_as_text(path, base))
    counting = timed(lambda: count_only(path))
    with peak_memory() as peak:
        ours = timed(lambda: load_folder(folder, StoreDirectory(base / "store")))
    say("  read as text into a table and counted", yardstick)
    say("  only counted", counting)
    say("  loaded", ours)
    print(f"  ratio to reading as text {ours / yardstick:14.1f}")
    print(f"  peak memory              {peak[0] / 2**20:14,.0f} MB")


def read_as_text(path: Path, base: Path) -> None:
    with duckdb.connect(str(base / "yardstick.duckdb")) as base_line:
        base_line.execute("SET memory_limit = '2500MB'")
        base_line.execute(YARDSTICK.format(path=path))
        base_line.execute("SELECT count(*) FROM lines").fetchall()


def count_only(path: Path) -> None:
    with duckdb.connect() as base_line:
        base_line.execute(f"SELECT count(*) FROM read_csv('{path}', all_varchar = true)").fetchall()


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
        timed(lambda: load_folder(folder, StoreDirectory(base / "store"))),
    )


def timed(work: Callable[[], object]) -> float:
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


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


def say(what: str, seconds: float) -> None:
    print(f"{what:<42}{seconds:10.2f} s")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
