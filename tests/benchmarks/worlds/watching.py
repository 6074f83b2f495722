"""Month after month on a growing yard: when is a bad lot noticed, and what else is raised?

The rule of the watch: each month the search is run for each group of complaints. An alarm
is raised for a leader with three or more cases whose family-wise p is at most the share
of the yearly budget that falls to one run. A leader whose cases have been raised before is
not raised again unless they have grown by two and by 30 %; it is set aside and the search
run once more.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from tests.benchmarks.worlds.plant import DAYS, Ints
from tests.benchmarks.worlds.scenarios import make_world
from tests.benchmarks.worlds.world import MONTH, World
from tracegraph.analysis.confounding.folding import set_aside
from tracegraph.analysis.matched.population import Population
from tracegraph.analysis.matched.search import MARGINS, search

GROUPS = 8
"""Groups of complaints of one plant."""

BUDGET = 2.0
"""False alarms allowed for in a year, over all groups."""

RUNS = 12
"""Runs in a year."""

ALLOWANCE = 0.0
"""Days left out at the end: none, for what has come in so far is what there is to notice."""

LIMIT = BUDGET / (RUNS * GROUPS)
FEWEST = 3
FIRST_RUN = 12
SAME_CASES = 1.0 / 3.0
GROWN, GROWN_BY = 1.30, 2


@dataclass
class Watched:
    """What one group of complaints raised.

    Attributes
    ----------
    years : float
        Time watched.
    false_alarms : int
        Alarms without a true case among at least half of theirs.
    found : float
        Day of the first alarm at least half of whose cases carry the cause; nan if none.
    third : float
        Day on which the third case that carries the cause was written down; nan if none.
    cases_at_alarm : int
        Cases with the cause at the alarm.
    """

    years: float = 0.0
    false_alarms: int = 0
    found: float = float("nan")
    third: float = float("nan")
    cases_at_alarm: int = 0
    raised: list[set[int]] = field(default_factory=list)


def watch(name: str, seed: int, *, resamples: int = 99) -> Watched:
    """Run the watch over one world."""
    world = make_world(name, seed)
    families = np.array([kind != "people" for kind in world.kinds])
    carried = world.exposure.carries(int(world.causes[0][0])) if world.causes else None
    result = Watched()
    if carried is not None:
        days = np.sort(world.history.reported[carried])
        result.third = float(days[2]) if len(days) >= 3 and np.isfinite(days[2]) else np.nan
    for month in range(FIRST_RUN, int(DAYS / MONTH) + 1):
        cut_off = month * MONTH
        result.years += 1.0 / RUNS
        for cases in _alarms(world, families, cut_off, result, resamples, seed * 1000 + month):
            true = int(carried[cases].sum()) if carried is not None else 0
            if 2 * true < len(cases):
                result.false_alarms += 1
            elif np.isnan(result.found):
                result.found, result.cases_at_alarm = cut_off, true
    return result


def _alarms(
    world: World, families: np.ndarray, cut_off: float, result: Watched, resamples: int, seed: int
) -> list[Ints]:
    """Cases of each alarm of one run."""
    population: Population = world.history.seen(cut_off, ALLOWANCE)
    margins = MARGINS
    alarms: list[Ints] = []
    for again in range(2):
        if len(population.cases) < FEWEST:
            break
        found = search(
            population,
            world.exposure,
            families=families,
            margins=margins,
            resamples=resamples,
            seed=seed + 500_000 * again,
        )
        if not len(found.levels) or found.p_family[0] > LIMIT:
            break
        leader = int(found.levels[0])
        hulls = world.exposure.hulls_of(leader).astype(np.int64)
        cases = hulls[population.case[hulls]]
        if len(cases) < FEWEST:
            break
        if _is_new(result.raised, set(cases.tolist())):
            alarms.append(cases)
        population = set_aside(population, world.exposure, leader, f"raised {again}")
        margins = (*margins, f"raised {again}")
    return alarms


def _is_new(raised: list[set[int]], cases: set[int]) -> bool:
    """Whether an alarm is no repeat, and keep its cases."""
    for number, earlier in enumerate(raised):
        if len(cases & earlier) >= SAME_CASES * len(cases | earlier):
            grown = len(cases - earlier) >= max(GROWN_BY, (GROWN - 1.0) * len(earlier))
            if grown:
                raised[number] = earlier | cases
            return False
    raised.append(cases)
    return True
