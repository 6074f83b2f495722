"""Time the ranking of one million exposures against a pandas group-by and a scipy loop.

Run: python -m tests.benchmarks.bench_rank [--hulls 10000 --families 100 --levels 25000]
"""

from __future__ import annotations

import argparse
import statistics
import time

import numpy as np
import pandas as pd
from scipy.stats import fisher_exact

from tests.support.plants import random_plant
from tracegraph.analysis.ranking import rank
from tracegraph.domain.definition import CaseDefinition
from tracegraph.store import Build
from tracegraph.store.reader import as_store


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hulls", type=int, default=10_000)
    parser.add_argument("--families", type=int, default=100)
    parser.add_argument("--levels", type=int, default=25_000)
    parser.add_argument("--cases", type=int, default=100)
    parser.add_argument("--runs", type=int, default=7)
    given = parser.parse_args()
    build = random_plant(given.hulls, given.families, given.levels, given.cases)
    store = as_store(build)
    definition = CaseDefinition(symptoms=("blister",), landmark_months=24)
    rank(store, definition, order="fisher")
    times = []
    for _ in range(given.runs):
        begin = time.perf_counter()
        ranking = rank(store, definition, order="fisher")
        times.append(time.perf_counter() - begin)
    ours = statistics.median(times)
    looped, p = pandas_and_scipy(build)
    compared = ranking.frame.set_index("level_id")["p_fisher"].sort_index()
    worst = float(np.max(np.abs(compared.to_numpy() / p.sort_index().to_numpy() - 1.0)))
    print(f"exposures           {given.hulls * given.families:>12,}")
    print(f"levels              {len(ranking.frame):>12,}")
    print(f"ranking, median     {ours:>12.3f} s   (min {min(times):.3f}, max {max(times):.3f})")
    print(f"pandas + scipy loop {looped:>12.3f} s")
    print(f"ratio               {looped / ours:>12.0f}")
    print(f"largest relative difference of p {worst:.1e}")


def pandas_and_scipy(build: Build) -> tuple[float, pd.Series]:
    """Seconds, and two-sided p per level, of the way a user would write it today."""
    exposure = build.frame_of("SELECT family_id, level_id, hull_id FROM exposure")
    cases = set(
        build.frame_of("SELECT hull_id FROM claim_index WHERE symptom = 'blister'")["hull_id"]
    )
    begin = time.perf_counter()
    exposure["affected"] = exposure["hull_id"].isin(cases)
    counts = exposure.groupby(["family_id", "level_id"])["affected"].agg(["sum", "count"])
    total = exposure.groupby("family_id")["affected"].agg(["sum", "count"])
    p = {}
    for (family, level), row in counts.iterrows():
        a, exposed = int(row["sum"]), int(row["count"])
        c = int(total.loc[family, "sum"]) - a
        d = int(total.loc[family, "count"]) - exposed - c
        p[level] = fisher_exact([[a, exposed - a], [c, d]]).pvalue
    return time.perf_counter() - begin, pd.Series(p)


if __name__ == "__main__":
    main()
