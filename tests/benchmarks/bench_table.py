"""One table of what questions cost at 1 to 100 million exposures.

Run: python -m tests.benchmarks.bench_table [--rows 1e6 1e7 3e7 1e8] [--keep DIR]

Every question is asked in a process of its own, whose largest resident size is its memory.
Random plants of 200 families: half of them lots used one after another, 24 levels in 5,000
hulls each. The floor is the database's own grouped count of the same rows with the affected
hulls joined; the loop is a pandas group-by and ``scipy.stats.fisher_exact`` for each level,
timed on a sample of the levels and extrapolated. Loads and traces need records, which a
random plant has not: they are of invented plants with as many exposures, or as many hulls.
Asked about all sizes, it puts its tables into docs/performance.md.
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

from tests.benchmarks.cost_tables import tables, written_into
from tests.support.big_plant import fill_big_plant
from tests.support.plant_on_disk import SYMPTOMS, fill_random_plant
from tracegraph.analysis.cluster import cluster_cases
from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.containment import contain
from tracegraph.analysis.matched.loading import stored_exposure
from tracegraph.analysis.matched.ranking import rank_matched
from tracegraph.analysis.overview import claim_rates, pareto, totals
from tracegraph.analysis.ranking import rank
from tracegraph.analysis.tracing import trace
from tracegraph.domain.definition import CaseDefinition
from tracegraph.intake import load_folder
from tracegraph.linkage import link_records
from tracegraph.store import StoreDirectory, open_store
from tracegraph.store.writer import new_build
from tracegraph.synthetic import make_builds

SIZES = (1e6, 1e7, 3e7, 1e8)
FAMILIES, CASES, SAMPLE = 200, 300, 2_000
EXPOSURES_OF_A_HULL = 447
"""Of an invented plant, as loaded from files."""

UP_TO = {
    "load": 1_000_000,
    "trace": 1_000_000,
    "contain": 10_000_000,
    "loop": 30_000_000,
    "matched": 30_000_000,
}
"""Largest size at which a question is asked, so that the whole takes minutes."""

ENOUGH, ALWAYS = 420, ("fisher", "floor")
"""Seconds after which only these questions are asked."""

PAGE = Path(__file__).parents[2] / "docs/performance.md"
COMPUTING = " (computing)"

Found = dict[str, float]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=float, nargs="*", default=list(SIZES))
    parser.add_argument("--questions", nargs="*", default=list(QUESTIONS), choices=list(QUESTIONS))
    parser.add_argument("--keep", type=Path, help="Folder for the stores; used again when given.")
    parser.add_argument("--ask", choices=list(QUESTIONS), help=argparse.SUPPRESS)
    parser.add_argument("--about", type=int, default=0, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.ask:
        found = QUESTIONS[given.ask](given.keep, given.about)
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
        print(json.dumps({**found, f"{given.ask}: peak": peak}))
        return
    began = time.perf_counter()
    machine = (
        f"{datetime.now(UTC):%Y-%m-%d}, {os.cpu_count()} cores, Python "
        f"{platform.python_version()}, DuckDB {duckdb.__version__}, numpy {np.__version__}, "
        f"scipy {scipy.__version__}; load of the machine at the start {os.getloadavg()[0]:.1f}"
    )
    print(machine)
    by_size: dict[int, Found] = {}
    with tempfile.TemporaryDirectory() as scratch:
        for rows in map(int, given.rows):
            store = (given.keep or Path(scratch)) / f"plant-{rows}"
            begin = time.perf_counter()
            make(store, rows)
            print(f"\n{rows:,} exposures, written in {time.perf_counter() - begin:.0f} s")
            found: Found = {}
            for question in given.questions:
                late = time.perf_counter() - began > ENOUGH and question not in ALWAYS
                if late:
                    print(f"  {question} is left out: {ENOUGH} s are over")
                elif rows <= UP_TO.get(question, rows):
                    found |= ask(question, store, rows)
                    since = time.perf_counter() - began
                    print(f"  {question}, {since:.0f} s since the start", flush=True)
            show(found)
            by_size[rows] = found
    text = tables(machine, by_size)
    print(text)
    if given.rows == list(SIZES) and given.questions == list(QUESTIONS):
        PAGE.write_text(written_into(PAGE.read_text(encoding="utf-8"), text), encoding="utf-8")


def make(store: Path, rows: int) -> None:
    directory = StoreDirectory(store)
    if directory.current() is None:
        hulls = rows // FAMILIES
        with directory.loading(), new_build(directory) as build:
            fill_random_plant(build, hulls, FAMILIES, hulls * 24 // 5, CASES)


def ask(question: str, store: Path, rows: int) -> Found:
    """Ask one question in a process of its own."""
    command = [sys.executable, "-m", "tests.benchmarks.bench_table", "--ask", question]
    done = subprocess.run(
        [*command, "--keep", str(store), "--about", str(rows)],
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        raise SystemExit(f"{question} failed:\n{done.stderr}")
    found: Found = json.loads(done.stdout.splitlines()[-1])
    return found


def show(found: Found) -> None:
    for name, value in found.items():
        print(f"  {name:<52}{value:>10.3f}")
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


def by_fisher(place: Path, rows: int) -> Found:
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


def time_matched(place: Path, rows: int) -> Found:
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


def floor(place: Path, rows: int) -> Found:
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


def loop(place: Path, rows: int) -> Found:
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


def loading(_: Path, rows: int) -> Found:
    """Plain files of an invented plant, from the first byte to a store in force."""
    with tempfile.TemporaryDirectory() as scratch:
        folder, store = Path(scratch) / "records", StoreDirectory(Path(scratch) / "store")
        make_builds(folder, hulls=rows // EXPOSURES_OF_A_HULL, seed=3, scenario="sample")
        return timed("load", lambda: load_folder(folder, store))


def tracing(_: Path, rows: int) -> Found:
    """One claim back to its lots, and one lot forward to its hulls."""
    hulls = rows // FAMILIES
    with tempfile.TemporaryDirectory() as scratch:
        directory = StoreDirectory(Path(scratch) / "store")
        with directory.loading(), new_build(directory) as build:
            fill_big_plant(build, hulls)
            link_records(build)
        lot = f"lot:material 3|L-3-{hulls // 2 // 500:05d}"
        with open_store(directory.path) as store:
            return timed("trace a claim", lambda: trace(store, f"C0-{hulls // 2:06d}"), 5) | timed(
                "trace a lot", lambda: trace(store, lot, direction="down"), 5
            )


def containing(place: Path, rows: int) -> Found:
    asked = CaseDefinition(symptoms=(SYMPTOMS[0],))
    with open_store(place) as store:
        return timed("contain", lambda: contain(store, "family 1", "level 5")) | timed(
            "contain, with cases",
            lambda: contain(store, "family 1", "level 5", definition=asked),
        )


def paging(place: Path, rows: int) -> Found:
    """What the first page shows of claims and hulls, and the cases of a cluster."""
    with open_store(place) as store:

        def once() -> None:
            totals(store)
            pareto(store)
            claim_rates(store, CaseDefinition())
            cluster_cases(store, CaseDefinition(symptoms=(SYMPTOMS[0],)))

        return timed("page data", once, 3)


QUESTIONS: dict[str, Callable[[Path, int], Found]] = {
    "load": loading,
    "fisher": by_fisher,
    "floor": floor,
    "loop": loop,
    "matched": time_matched,
    "trace": tracing,
    "contain": containing,
    "page": paging,
}

if __name__ == "__main__":
    main()
