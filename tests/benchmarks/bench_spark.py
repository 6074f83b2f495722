"""Count ten million exposures by DuckDB, by Spark in this process and by a Spark Connect server.

Run: python -m tests.benchmarks.bench_spark [--hulls 50000 --families 200 --levels 240000]

The counts of the three are compared to the last one, and so is the ranking by Fisher's test.
Spark runs in this process in a process of its own: one process takes one kind of session.
"""

from __future__ import annotations

import argparse
import multiprocessing
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd

from tests.support import spark_server
from tests.support.plants import random_plant
from tracegraph.analysis.ranking import rank
from tracegraph.domain.definition import CaseDefinition
from tracegraph.store import Store
from tracegraph.store.publishing import publish
from tracegraph.store.reader import as_store
from tracegraph.store.spark import open_spark

BLISTERS = CaseDefinition(symptoms=("blister",))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hulls", type=int, default=50_000)
    parser.add_argument("--families", type=int, default=200)
    parser.add_argument("--levels", type=int, default=240_000)
    parser.add_argument("--cases", type=int, default=300)
    parser.add_argument("--runs", type=int, default=5)
    given = parser.parse_args()
    plant = (given.hulls, given.families, given.levels, given.cases)
    with tempfile.TemporaryDirectory() as base:
        folder = Path(base) / "published"
        store = as_store(random_plant(*plant))
        print(f"exposures {given.hulls * given.families:,}, levels {given.levels:,}")
        begin = time.perf_counter()
        publish(store, folder)
        size = sum(path.stat().st_size for path in folder.rglob("*.parquet")) / 2**20
        print(f"published                  {time.perf_counter() - begin:>8.2f} s   {size:,.0f} MB")
        own = timed("DuckDB", store, given.runs)
        with multiprocessing.get_context("spawn").Pool(1) as alone:
            local = alone.apply(in_this_process, (plant, str(folder), given.runs))
        same(own, local)
        with spark_server.running(Path(base)) as address:
            engine = open_spark(str(folder), store.version, address)
            store.count_by(engine)
            same(own, timed("Spark, through a server", store, given.runs))
            engine.close()


def in_this_process(plant: tuple[int, int, int, int], folder: str, runs: int) -> pd.DataFrame:
    store = as_store(random_plant(*plant))
    begin = time.perf_counter()
    store.count_by(open_spark(folder, store.version))
    print(f"Spark starts               {time.perf_counter() - begin:>8.2f} s", flush=True)
    return timed("Spark, in this process", store, runs)


def timed(name: str, store: Store, runs: int) -> pd.DataFrame:
    def once() -> pd.DataFrame:
        return rank(store, BLISTERS, order="fisher").frame

    first, seconds = clocked(once), [clocked(once)[0] for _ in range(runs)]
    print(
        f"{name:<26} {statistics.median(seconds):>8.2f} s   "
        f"(min {min(seconds):.2f}, first {first[0]:.2f})",
        flush=True,
    )
    return first[1]


def clocked(once: Callable[[], pd.DataFrame]) -> tuple[float, pd.DataFrame]:
    begin = time.perf_counter()
    frame = once()
    return time.perf_counter() - begin, frame


def same(own: pd.DataFrame, other: pd.DataFrame) -> None:
    pd.testing.assert_frame_equal(own, other, check_exact=True)
    counts = own.filter(regex="exposed|unknown").to_numpy(np.int64)
    print(f"  the same ranking, {len(own):,} rows, {counts.sum():,} counted", flush=True)


if __name__ == "__main__":
    main()
