"""What a plant with another claim rate does to the molds and lots that only it uses.

Run: python -m tests.benchmarks.bench_plants [--worlds 40] [--times 2 4]

The simulated yard of ``worlds`` is cut into two plants at random: each has molds, machines,
people and lots of its own, and no level is shared. Hulls of the second plant fail so many
times as often, or a mold of the first is the cause. Each world is judged as the tool does it,
and with the plant left out of the baseline. Limits are exact 95 % binomial limits.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import replace

import numpy as np
from scipy.stats import binomtest

from tests.benchmarks.worlds.plant import Question, make_plant
from tests.benchmarks.worlds.world import World, happen
from tracegraph.analysis.matched.groups import PLANT
from tracegraph.analysis.matched.population import Population
from tracegraph.analysis.matched.rounds import Plant as Asked
from tracegraph.analysis.matched.rounds import investigate
from tracegraph.domain.kinds import SEASONAL_KINDS

MOLD_RATIO = 4.0
SHARED = ("humidity",)
"""Questions whose answers mean the same in every plant."""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--worlds", type=int, default=40)
    parser.add_argument("--times", type=float, nargs="*", default=[1.0, 2.0, 4.0])
    given = parser.parse_args()
    print(
        "world | baseline | named wrongly at level 2 | beyond chance | mold first | mold at level 2"
    )
    for times in given.times:
        for planted in (False, True):
            compare(given.worlds, times, planted=planted)


def compare(worlds: int, times: float, *, planted: bool) -> None:
    begin = time.perf_counter()
    found: dict[str, list[tuple[bool, bool, bool, bool]]] = {"plant": [], "none": []}
    for number in range(worlds):
        world, factor, truth = two_plants(2 * number + 1, times, planted=planted)
        with_plant = replace(world.population, margins={**world.population.margins, PLANT: factor})
        found["plant"].append(judged(world, with_plant, number, truth))
        found["none"].append(judged(world, world.population, number, truth))
    name = f"second plant x{times:g}{', mold of the first x4' if planted else ''}"
    for baseline, verdicts in found.items():
        shares = " | ".join(share(list(column)) for column in zip(*verdicts, strict=True))
        print(f"{name} | {baseline} | {shares}", flush=True)
    print(f"    {worlds} worlds, {time.perf_counter() - begin:.0f} s", flush=True)


def two_plants(seed: int, times: float, *, planted: bool) -> tuple[World, np.ndarray, int]:
    """One world, the plant of each hull, and the true level or -1."""
    rng = np.random.default_rng([77, seed])
    yard = make_plant(rng)
    plant = (rng.random(len(yard.model)) < 0.5).astype(np.int64)
    yard = replace(yard, questions=[_apart(each, plant) for each in yard.questions])
    base = np.where(plant == 1, times, 1.0)
    relative, truth = base.copy(), -1
    if planted:
        molds = yard.question("hull: mold")
        sizes = np.bincount(molds.level, minlength=molds.size)
        own = [level for level in range(0, molds.size, 2) if sizes[level] >= 80]
        level = int(rng.choice(own))
        relative[molds.hulls_of(level)] *= MOLD_RATIO
        truth = yard.first_level("hull: mold") + level
    return happen(rng, yard, relative, baseline=base), plant, truth


def _apart(question: Question, plant: np.ndarray) -> Question:
    if any(word in question.name for word in SHARED):
        return question
    level = np.where(question.level >= 0, question.level * 2 + plant, question.level)
    hulls, also = question.also
    return Question(
        question.name, question.kind, question.part, question.stage, level,
        (hulls, also * 2 + plant[hulls]),
    )  # fmt: skip


def judged(
    world: World, population: Population, seed: int, truth: int
) -> tuple[bool, bool, bool, bool]:
    """Named wrongly at level 2; a wrong leader beyond chance; the mold first; at level 2."""
    of_people = np.array([kind == "people" for kind in world.kinds])
    seasonal = np.array([kind in SEASONAL_KINDS for kind in world.kinds])
    day = population.built_day
    asked = Asked(~of_people, of_people, lambda family: (day,), seasonal)
    rounds = investigate(population, world.exposure, asked, resamples=199, seed=seed * 101 + 7)
    wrong = beyond = first = named = False
    for number, each in enumerate(rounds):
        levels = [int(each.aliases.levels[place]) for place in each.aliases.members(0)]
        right = truth >= 0 and (truth in levels or _within(world, each.leader, truth))
        if number == 0:
            first = truth in levels
            beyond = not right and each.facts.p_family <= 0.05
        if each.evidence.level >= 2:
            named |= truth in levels
            wrong |= not right
    return wrong, beyond, first, named


def _within(world: World, leader: int, truth: int) -> bool:
    """Whether half of a leader's hulls, or of the truth's, are of the other's."""
    one, other = world.exposure.hulls_of(leader), world.exposure.hulls_of(truth)
    return len(np.intersect1d(one, other)) >= 0.5 * min(len(one), len(other))


def share(hits: list[bool]) -> str:
    limits = binomtest(sum(hits), len(hits)).proportion_ci(method="exact")
    return f"{100 * np.mean(hits):.0f} % ({100 * limits.low:.0f}-{100 * limits.high:.0f})"


if __name__ == "__main__":
    main()
