"""Time both orders of ten million exposures, end to end and the time-matched part alone.

Run: python -m tests.benchmarks.bench_matched [--hulls 50000 --families 200 --levels 240000]
"""

from __future__ import annotations

import argparse
import resource
import statistics
import time

from tests.support.plants import random_plant
from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.counting import level_names
from tracegraph.analysis.matched.loading import stored_exposure
from tracegraph.analysis.matched.ranking import rank_matched
from tracegraph.analysis.ranking import rank
from tracegraph.domain.definition import CaseDefinition
from tracegraph.store import Build
from tracegraph.store.reader import as_store


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hulls", type=int, default=50_000)
    parser.add_argument("--families", type=int, default=200)
    parser.add_argument("--levels", type=int, default=240_000)
    parser.add_argument("--cases", type=int, default=300)
    parser.add_argument("--resamples", type=int, nargs="*", default=[199, 999])
    parser.add_argument("--runs", type=int, default=5)
    given = parser.parse_args()
    build = random_plant(given.hulls, given.families, given.levels, given.cases)
    spread_out(build, given.hulls)
    store = as_store(build)
    level_names(store)
    begin = time.perf_counter()
    stored_exposure(store)
    print(f"exposures               {given.hulls * given.families:>12,}")
    print(f"fetched and sorted      {time.perf_counter() - begin:>12.2f} s   (once per build)")
    definition = CaseDefinition(symptoms=("blister",))
    for order in ("fisher", "evidence"):
        times, computing = [], []
        for _ in range(given.runs):
            begin, busy = time.perf_counter(), time.process_time()
            ranking = rank(store, definition, order=order)
            times.append(time.perf_counter() - begin)
            computing.append(time.process_time() - busy)
        print(
            f"rank by {order:<8}        {statistics.median(times):>12.2f} s   (min "
            f"{min(times):.2f}, computing {min(computing):.2f} s, {len(ranking.frame):,} levels)"
        )
    for resamples in given.resamples:
        begin = time.perf_counter()
        with store.session() as session:
            cohort = draw_cohort(session, definition)
            drawn = time.perf_counter()
            matched = rank_matched(store, session, cohort, resamples=resamples)
        end = time.perf_counter()
        print(
            f"{resamples:>5} resamples         {end - drawn:>12.2f} s   (cohort "
            f"{drawn - begin:.2f} s, {len(matched.rounds)} rounds, "
            f"{int(matched.population.case.sum())} cases)"
        )
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    print(f"peak memory             {peak:>12.2f} GiB (the random plant included)")


def spread_out(build: Build, hulls: int) -> None:
    """Five models built over three years, claims at all ages up to three years."""
    build.execute(
        "UPDATE hull_index SET model = concat('S', 18 + hash(hull_id) % 5), "
        "built_on = DATE '2018-01-01' + CAST(hull_id * 1095 // $n AS INTEGER), "
        "delivered_on = DATE '2018-02-01' + CAST(hull_id * 1095 // $n AS INTEGER)",
        {"n": hulls},
    )
    build.execute(
        "UPDATE claim_index SET "
        "failed_on = h.delivered_on + CAST(hash(claim_id) % 1095 AS INTEGER), "
        "opened_on = h.delivered_on + CAST(hash(claim_id) % 1095 AS INTEGER) "
        "FROM hull_index AS h WHERE h.hull_id = claim_index.hull_id AND symptom = 'blister'"
    )


if __name__ == "__main__":
    main()
