"""Time the exact test, odds ratio and risk ratio limits over very many levels.

Run from the repository root: ``python tests/benchmarks/bench_fisher.py``.
Prints the best of five runs; nothing is asserted.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from scipy import stats

from tracegraph.stats.contingency import TableArrays
from tracegraph.stats.exact import fisher_exact_many
from tracegraph.stats.odds_ratio import odds_ratios
from tracegraph.stats.risk_ratio import risk_ratios


def best_of_five(run: Callable[[], object]) -> float:
    times = []
    for _ in range(5):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return min(times)


def levels(
    rng: np.random.Generator, count: int, total: object, cases: object, largest: int
) -> TableArrays:
    """Make tables of one cluster under no association."""
    exposed = rng.integers(1, largest, count)
    total, cases = np.broadcast_to(total, count), np.broadcast_to(cases, count)
    return TableArrays.from_margins(
        exposed_cases=rng.hypergeometric(cases, total - cases, exposed),
        exposed=exposed,
        cases=cases,
        total=total,
    )


def main() -> None:
    rng = np.random.default_rng(20260309)
    settings = {
        "25,000 levels, 50,000 hulls, 100 cases": levels(rng, 25_000, 50_000, 100, 700),
        "25,000 levels, 50,000 hulls, 1,500 cases": levels(rng, 25_000, 50_000, 1_500, 3_000),
        "25,000 levels, every margin different": levels(
            rng,
            25_000,
            rng.integers(30_000, 50_000, 25_000),
            rng.integers(50, 1_500, 25_000),
            5_000,
        ),
        "240,138 levels, 50,000 hulls, 100 cases": levels(rng, 240_138, 50_000, 100, 680),
        "240,138 levels, 50,000 hulls, 1,500 cases": levels(rng, 240_138, 50_000, 1_500, 680),
    }
    for name, tables in settings.items():
        distinct = len(tables.distinct()[0])
        seconds = best_of_five(lambda tables=tables: fisher_exact_many(tables))
        print(f"fisher {name}: {seconds:.4f} s ({distinct:,} distinct)")

    for name in list(settings)[:2]:
        for measure in (odds_ratios, risk_ratios):
            tables = settings[name].take(np.arange(3_000))
            seconds = best_of_five(lambda tables=tables, measure=measure: measure(tables))
            distinct = len(tables.distinct()[0])
            print(f"{measure.__name__} of 3,000 of {name}: {seconds:.4f} s ({distinct:,} distinct)")

    tables = settings["25,000 levels, every margin different"].take(np.arange(2_000))
    got = fisher_exact_many(tables).two_sided
    start = time.perf_counter()
    expected = [
        stats.fisher_exact([[a, b], [c, d]]).pvalue
        for a, b, c, d in zip(*tables.counts, strict=True)
    ]
    seconds = time.perf_counter() - start
    worst = float(np.max(np.abs(got / np.array(expected) - 1)))
    print(
        f"scipy in a loop: {seconds / 2_000 * 1e3:.3f} ms a table; largest difference {worst:.1e}"
    )


if __name__ == "__main__":
    main()
