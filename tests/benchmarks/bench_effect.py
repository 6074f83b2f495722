"""Verdicts of effect checks on simulated plants: python tests/benchmarks/bench_effect.py."""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.support.acted_plant import ACTED_ON, acted_plant
from tracegraph.analysis.effect import judge_sides, monthly_hazard, split_hulls
from tracegraph.stats.effect_check import VERDICTS

RUNS = 400


def main() -> None:
    """Print the verdicts of 400 plants for each kind of action."""
    print("ratio before, after | " + " | ".join(VERDICTS))
    for ratio, left in ((1.0, 1.0), (3.0, 3.0), (6.0, 6.0), (10.0, 10.0), (6.0, 1.0), (6.0, 3.0)):
        found: Counter[str] = Counter()
        for seed in range(RUNS):
            sides = split_hulls(acted_plant(seed, ratio=ratio, left=left), ACTED_ON, ACTED_ON)
            found[judge_sides(sides, monthly_hazard(sides.plain)).verdict] += 1
        print(f"{ratio:g}, {left:g} | " + " | ".join(str(found[word]) for word in VERDICTS))


if __name__ == "__main__":
    main()
