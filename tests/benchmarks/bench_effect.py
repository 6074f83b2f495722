"""Verdicts of effect checks on simulated plants: python tests/benchmarks/bench_effect.py.

The method was chosen on seeds below 400,000.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.support.acted_plant import ACTED_ON, MOLDS, acted_plant
from tracegraph.analysis.effect import judge_sides, monthly_hazard, split_hulls
from tracegraph.stats.effect_check import VERDICTS

RUNS, FIRST_SEED = 400, 400_000
RATIOS = ((1, 1), (3, 3), (6, 6), (10, 10), (6, 1), (10, 1), (6, 3))


def main() -> None:
    """Print the verdicts of 400 plants for each kind of action."""
    print("months after | ratio before, after | " + " | ".join(VERDICTS))
    for months in (12, 24, 36, 48, 60):
        for ratio, left in RATIOS:
            found: Counter[str] = Counter()
            for seed in range(FIRST_SEED, FIRST_SEED + RUNS):
                plant = acted_plant(seed, ratio=ratio, left=left, months=months)
                sides = split_hulls(plant, ACTED_ON, ACTED_ON)
                hazard = monthly_hazard(sides.plain)
                found[judge_sides(sides, hazard, levels=MOLDS).verdict] += 1
            counts = " | ".join(str(found[word]) for word in VERDICTS)
            print(f"{months} | {ratio}, {left} | {counts}", flush=True)


if __name__ == "__main__":
    main()
