"""One table of what questions cost at 1 to 100 million exposures.

Run: python -m tests.benchmarks.bench_table [--rows 1e6 1e7 3e7 1e8] [--keep DIR]

Every question is asked in a process of its own, whose largest resident size is its memory.
Random plants of 200 families: half of them lots used one after another, 24 levels in 5,000
hulls each. The floor is the database's own grouped count of the same rows with the affected
hulls joined; the loop is a pandas group-by and ``scipy.stats.fisher_exact`` for each level,
timed on a sample of the levels and extrapolated.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import duckdb
import numpy as np
import scipy
from scipy.stats import fisher_exact

from tests.support.plant_on_disk import SYMPTOMS, fill_random_plant
from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.matched.loading import stored_exposure
from tracegraph.analysis.matched.ranking import rank_matched
from tracegraph.analysis.ranking import rank
from tracegraph.domain.definition import CaseDefinition
from tracegraph.store import StoreDirectory, open_store
from tracegraph.store.writer import new_build

FAMILIES, CASES, SAMPLE = 200, 300, 2_000
LOOP_UP_TO, MATCHED_UP_TO = 30_000_000, 30_000_000

COMPUTING = " (computing)"

Found = dict[str, float]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=float, nargs="*", default=[1e6, 1e7, 3e7, 1e8])
    parser.add_argument("--questions", nargs="*", default=list(QUESTIONS), choices=list(QUESTIONS))
    parser.add_argument("--keep", type=Path, help="Folder for the stores; used again when given.")
    parser.add_argument("--ask", choices=list(QUESTIONS), help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.ask:
        found = QUESTIONS[given.ask](given.keep)
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
        print(json.dumps({**found, f"{given.ask}: peak GiB": peak}))
        return
    print(
        f"{datetime.now(UTC):%Y-%m-%d}, {os.cpu_count()} cores, Python "
        f"{platform.python_version()}, DuckDB {duckdb.__version__}, numpy {np.__version__}, "
        f"scipy {scipy.__version__}; seconds"
    )
    with tempfile.TemporaryDirectory() as scratch:
        for rows in map(int, given.rows):
            store = (given.keep or Path(scratch)) / f"plant-{rows}"
            make(store, rows)
            print(f"\n{rows:,} exposures, {rows // FAMILIES:,} hulls", flush=True)
            found: Found = {}
            for question in given.questions:
                if not too_large(question, rows):
                    found |= ask(question, store)
            show(found)


def make(store: Path, rows: int) -> None:
    directory = StoreDirectory(store)
    if directory.current() is None:
        hulls = rows // FAMILIES
        with directory.loading(), new_build(directory) as build:
            fill_random_plant(build, hulls, FAMILIES, hulls * 24 // 5, CASES)


def too_large(question: str, rows: int) -> bool:
    return rows > {"loop": LOOP_UP_TO, "matched": MATCHED_UP_TO}.get(question, rows)


def ask(question: str, store: Path) -> Found:
    """Ask one question in a process of its own."""
    command = [sys.executable, "-m", "tests.benchmarks.bench_table", "--ask", question]
    done = subprocess.run(
        [*command, "--keep", str(store)], capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise SystemExit(f"{question} failed:\n{done.stderr}")
    found: Found = json.loads(done.stdout.splitlines()[-1])
    return found


def show(found: Found) -> None:
    for name, value in found.items():
        print(f"  {name:<52}{value:>10.3f}")
    warm = f"rank by Fisher, warm{COMPUTING}"
    for name in ("loop in all", f"floor{COMPUTING}", f"floor, rows alone{COMPUTING}"):
        if name in found and warm in found:
            print(f"  {name + ' / ranking warm':<52}{found[name] / found[warm]:>10.2f}")
    sys.stdout.flush()


def timed(name: str, action: Callable[[], object], runs: int = 1) -> Found:
    """Median seconds on the clock, and of computing over all threads, which others disturb less."""
    clock, computing = [], []
    for _ in range(runs):
        begin, busy = time.perf_counter(), time.process_time()
        action()
        clock.append(time.perf_counter() - begin)
        computing.append(time.process_time() - busy)
    return {name: statistics.median(clock), f"{name}{COMPUTING}": statistics.median(computing)}


def by_fisher(place: Path) -> Found:
    begin = time.perf_counter()
    with open_store(place) as store:
        found = {"open": time.perf_counter() - begin}
        asked = [CaseDefinition(symptoms=(name,), landmark_months=24) for name in SYMPTOMS]
        ask = iter(asked)

        def once(definition: CaseDefinition) -> None:
            rank(store, definition, order="fisher")

        found |= timed("rank by Fisher, first of a process", lambda: once(next(ask)))
        found |= timed("another definition on the same hulls", lambda: once(next(ask)), 5)
        found |= timed("rank by Fisher, warm", lambda: once(asked[0]), 5)
    return found


def time_matched(place: Path) -> Found:
    found: Found = {}
    with open_store(place) as store:
        found |= timed("exposure read, once a process", lambda: stored_exposure(store))
        asked = CaseDefinition(symptoms=(SYMPTOMS[0],))
        rank(store, asked, resamples=19)
        found |= timed(
            "rank time-matched, 199 resamples", lambda: rank(store, asked, resamples=199)
        )
        with store.session() as session:
            cohort = draw_cohort(session, asked)
            found |= timed(
                "time-matched part, 999 resamples",
                lambda: rank_matched(store, session, cohort, resamples=999),
            )
            found["rounds"] = len(rank_matched(store, session, cohort, resamples=19).rounds)
    return found


def floor(place: Path) -> Found:
    """The database's own grouped count of the rows: with the affected hulls, and without."""
    build = StoreDirectory(place).require_current()
    with duckdb.connect(str(build), read_only=True) as raw:
        raw.execute(
            "CREATE TEMP TABLE affected AS SELECT DISTINCT hull_id FROM claim_index "
            "WHERE symptom = 'blister'"
        )
        joined = (
            "SELECT e.family_id, e.level_id, count(*), count(a.hull_id) FROM exposure AS e "
            "LEFT JOIN affected AS a USING (hull_id) GROUP BY ALL"
        )
        alone = "SELECT family_id, level_id, count(*) FROM exposure GROUP BY ALL"
        found = timed("floor", lambda: raw.execute(joined).fetchnumpy(), 5)
        return found | timed("floor, rows alone", lambda: raw.execute(alone).fetchnumpy(), 5)


def loop(place: Path) -> Found:
    """What one would write without this package."""
    build = StoreDirectory(place).require_current()
    with duckdb.connect(str(build), read_only=True) as raw:
        exposure = raw.execute("SELECT family_id, level_id, hull_id FROM exposure").df()
        text = "SELECT DISTINCT hull_id FROM claim_index WHERE symptom = 'blister'"
        cases = set(raw.execute(text).df()["hull_id"])
    begin = time.perf_counter()
    exposure["affected"] = exposure["hull_id"].isin(cases)
    counts = exposure.groupby(["family_id", "level_id"])["affected"].agg(["sum", "count"])
    total = exposure.groupby("family_id")["affected"].agg(["sum", "count"])
    grouped = time.perf_counter() - begin
    begin = time.perf_counter()
    for (family, _), row in counts.iloc[:: max(1, len(counts) // SAMPLE)][:SAMPLE].iterrows():
        a, exposed = int(row["sum"]), int(row["count"])
        c = int(total.loc[family, "sum"]) - a
        d = int(total.loc[family, "count"]) - exposed - c
        fisher_exact([[a, exposed - a], [c, d]])
    sampled = time.perf_counter() - begin
    return {
        "levels": len(counts),
        "pandas group-by": grouped,
        "scipy on 2,000 levels": sampled,
        "loop in all": grouped + sampled * len(counts) / min(SAMPLE, len(counts)),
    }


QUESTIONS: dict[str, Callable[[Path], Found]] = {
    "fisher": by_fisher,
    "floor": floor,
    "loop": loop,
    "matched": time_matched,
}

if __name__ == "__main__":
    main()
