"""Time the exact tests, rate ratios and Bayes factors of observed against expected cases.

Run from the repository root: ``python tests/benchmarks/bench_case_counts.py``.
Prints the best of three runs; nothing is asserted.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from tracegraph.stats.bayes_factor import bayes_factors
from tracegraph.stats.poisson_binomial import CaseCounts


def best_of_three(run: Callable[[], object]) -> float:
    times = []
    for _ in range(3):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return min(times)


def levels(rng: np.random.Generator, count: int, cases: int, expected: float) -> CaseCounts:
    """Make levels with 36 months in service, each with at least two exposed cases."""
    groups = rng.multinomial(cases, np.ones(36) / 36)
    share = np.exp(rng.normal(np.log(expected / cases), 1.0, (count, 1)))
    chance = np.minimum(0.9, share * np.exp(rng.normal(0.0, 0.3, (count, 36))))
    observed = np.maximum(2, rng.binomial(groups, chance).sum(axis=1))
    return CaseCounts(observed, chance, groups)


def main() -> None:
    rng = np.random.default_rng(20260309)
    for count, cases, expected in ((1_250, 60, 1.0), (1_250, 1_000, 5.0), (25_000, 60, 0.5)):
        counts = levels(rng, count, cases, expected)
        print(
            f"{count:,} levels, {cases:,} cases: "
            f"tests {best_of_three(counts.tests):.3f} s, "
            f"rate ratios {best_of_three(counts.rate_ratios):.3f} s, "
            f"Bayes factors {best_of_three(lambda counts=counts: bayes_factors(counts, 150)):.3f} s"
        )


if __name__ == "__main__":
    main()
