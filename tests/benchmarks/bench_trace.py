"""Time traces in a large store on disk: one claim back, one lot forward.

Run: python -m tests.benchmarks.bench_trace [--hulls 50000] [--store DIR]
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.support.big_plant import LOT_HULLS, fill_big_plant
from tracegraph.analysis.tracing import Trace, trace
from tracegraph.linkage import link_records
from tracegraph.report.genealogy_json import epcis_json
from tracegraph.store import StoreDirectory, open_store
from tracegraph.store.writer import new_build


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hulls", type=int, default=50_000)
    parser.add_argument("--runs", type=int, default=7)
    parser.add_argument("--store", type=Path, help="Kept and used again when given.")
    parser.add_argument("--shuffled", action="store_true", help="Operation numbers at random.")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        place = given.store or Path(scratch) / "store"
        directory = StoreDirectory(place)
        if directory.current() is None:
            make(directory, given.hulls, shuffled=given.shuffled)
        measure(place, given.hulls, given.runs)


def make(directory: StoreDirectory, hulls: int, *, shuffled: bool) -> None:
    begin = time.perf_counter()
    with directory.loading(), new_build(directory) as build:
        records = fill_big_plant(build, hulls, shuffled=shuffled)
        written = time.perf_counter()
        link_records(build)
        linked = time.perf_counter()
        nodes, edges = (
            build.rows(f"SELECT count(*) FROM {table}")[0][0] for table in ("nodes", "edges_up")
        )
    print(f"records             {records:>14,}   written in {written - begin:.0f} s")
    print(f"nodes, edges        {nodes:>14,}, {edges:,}   linked in {linked - written:.0f} s")


def measure(place: Path, hulls: int, runs: int) -> None:
    begin = time.perf_counter()
    with open_store(place) as store:
        print(f"opening             {time.perf_counter() - begin:>14.3f} s")
        middle = hulls // 2
        lot = f"material 3|L-3-{middle // LOT_HULLS:05d}"
        for what, asked, direction in (
            ("claim back", f"C0-{middle:06d}", "up"),
            ("hull both ways", f"S22-{middle:06d}", "both"),
            ("lot forward", f"lot:{lot}", "down"),
        ):
            times, found = timed(lambda a=asked, d=direction: trace(store, a, direction=d), runs)
            reached = found.counts.set_index("kind")["downstream"].get("hull", 0)
            size = f"{found.graph.number_of_nodes():,} things"
            size += f", {reached} hulls" if direction == "down" else ""
            print(
                f"{what:<20}{times[0]:>14.3f} s first, {statistics.median(times[1:]):.3f} s after "
                f"({size})"
            )
        found = trace(store, f"S22-{middle:06d}", direction="up")
        begin = time.perf_counter()
        events = epcis_json(found)["epcisBody"]["eventList"]
        print(f"as EPCIS            {time.perf_counter() - begin:>14.3f} s ({len(events)} events)")


def timed(action: Callable[[], Trace], runs: int) -> tuple[list[float], Trace]:
    times = []
    for _ in range(runs):
        begin = time.perf_counter()
        found = action()
        times.append(time.perf_counter() - begin)
    return times, found


if __name__ == "__main__":
    main()
