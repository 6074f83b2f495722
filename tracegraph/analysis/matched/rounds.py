"""Search, judge the leader, set it aside, and search again for a second and third cause.

Where a build window explains the claims better than the leader, the window is set aside
instead: something unrecorded happened then, and what else was used in it is not accused.
Only the leader of a round and its aliases can pass level 1: whatever depends on a leader
is not yet shown to matter by itself, and what matters by itself leads a later round.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.confounding.aliases import COMPARED, Aliases, alias_groups
from tracegraph.analysis.confounding.controls import Control, neighbour_control
from tracegraph.analysis.confounding.folding import set_aside, still_matters, with_margin
from tracegraph.analysis.confounding.missing import MissingRecords, missing_records
from tracegraph.analysis.confounding.windows import (
    Stretch,
    Windows,
    best_windows,
    own_stretch,
    stretch_factor,
)
from tracegraph.analysis.matched.evidence import (
    CHANCE,
    NOTICED,
    Evidence,
    Facts,
    judge,
)
from tracegraph.analysis.matched.population import ExposureMatrix, Population
from tracegraph.analysis.matched.search import MARGINS, Search, search
from tracegraph.stats.arrays import Bools, Floats, Ints

ROUNDS = 4
"""Most causes looked for."""

SHORTLIST_SHARE = 0.90

_OVERLAPPING = 20
_SHARED_CASES = 1.0 / 3.0
_INSIDE = 0.95
_MOSTLY = 0.5
_TWICE = 2.0

Days = Callable[[int], tuple[Floats, ...]]
"""Gives, for a family by position, the day of its work on each hull, by one clock or more;
the first is that of its own step."""


@dataclass(frozen=True)
class SetAside:
    """What was taken as explained before a round.

    Attributes
    ----------
    level : int or None
        Position of a level; None: a build window.
    first_day, last_day : float
        Edges of the window, the last not included; nan for a level.
    """

    level: int | None
    first_day: float = float("nan")
    last_day: float = float("nan")


@dataclass(frozen=True, eq=False)
class Round:
    """One search and what became of its leader.

    Parameters
    ----------
    search : Search
        With the causes of earlier rounds set aside.
    aliases : Aliases
        Among the strongest suspects.
    windows : Windows
        Build windows, of the hulls known for the leader.
    stretch : Stretch or None
        Stretch of building that looks most like the leader, by the clock of its step.
    margin : array of float, shape (n,)
        For each of the compared suspects, log Bayes factor less that of the best window.
    shortlist : array of int
        Places of suspects that hold nine tenths of the evidence, windows included; empty
        when windows hold it all.
    neighbours : Control or None
        The leader's neighbours in time; None where it has none, or was not beyond chance.
    missing : MissingRecords or None
        What the leader's missing records could do; None where none is missing, or it was
        not beyond chance.
    facts : Facts
        About the leader.
    evidence : Evidence
        For the leader.
    set_aside : tuple of SetAside
        What was taken as explained before.
    """

    search: Search
    aliases: Aliases
    windows: Windows
    stretch: Stretch | None
    margin: Floats
    shortlist: Ints
    neighbours: Control | None
    missing: MissingRecords | None
    facts: Facts
    evidence: Evidence
    set_aside: tuple[SetAside, ...]

    @property
    def leader(self) -> int:
        """Position of the leading level."""
        return int(self.search.levels[0])


@dataclass(frozen=True, eq=False)
class Plant:
    """What the method is told about a plant besides population and exposure.

    Parameters
    ----------
    families : array of bool, shape (f,)
        Families that take part.
    people : array of bool, shape (f,)
        Families about people.
    days : callable
        Day of a family's work on each hull.
    seasonal : array of bool, shape (f,), optional
        Families that come and go with the year, such as the weather; none when left out.
    """

    families: Bools
    people: Bools
    days: Days
    seasonal: Bools | None = None


def investigate(
    population: Population,
    exposure: ExposureMatrix,
    plant: Plant,
    *,
    margins: tuple[str, ...] = MARGINS,
    resamples: int = 199,
    seed: int = 0,
    rounds: int = ROUNDS,
) -> list[Round]:
    """Look for causes one after another.

    Parameters
    ----------
    population, exposure
        Over the same hulls.
    plant : Plant
        Families.
    margins : tuple of str
        Differences that the baseline allows for.
    resamples : int, default 199
        Resamples for the family-wise p of each round.
    seed : int
        Seed of the first round; the next rounds count on from it.
    rounds : int, default 4
        Most rounds.

    Returns
    -------
    list of Round
        Empty when no level is shared by two cases. The last round is the one whose
        leader could be chance (family-wise p above 0.2), unless rounds ran out or
        nothing stood above what had been set aside.
    """
    found: list[Round] = []
    aside: tuple[SetAside, ...] = ()
    while len(found) < rounds:
        result = search(
            population,
            exposure,
            families=plant.families,
            seasonal=plant.seasonal,
            margins=margins,
            resamples=resamples,
            seed=seed + len(found),
        )
        if not len(result.levels) or int(result.levels[0]) in {each.level for each in aside}:
            break
        found.append(_judged(result, plant, margins, aside))
        if found[-1].facts.p_family > NOTICED:
            break
        name = f"explained {len(found)}"
        next_aside, population = _explained(found[-1], population, plant, name)
        margins = (*margins, name)
        aside = (*aside, next_aside)
    return found


def _explained(
    last: Round, population: Population, plant: Plant, name: str
) -> tuple[SetAside, Population]:
    """Set the leader of a round aside, or the build window that explains more."""
    exposure, windows = last.search.sets.exposure, last.windows
    if last.facts.window_margin >= 0.0:
        return SetAside(last.leader), set_aside(population, exposure, last.leader, name)
    first, end = float(windows.first_day[0]), float(windows.last_day[0])
    day = plant.days(int(exposure.level_family[last.leader]))[int(windows.clock[0])]
    inside = (day >= first) & (day < end)
    return SetAside(None, first, end), with_margin(population, name, inside, ~np.isfinite(day))


def _judged(
    result: Search, plant: Plant, margins: tuple[str, ...], aside: tuple[SetAside, ...]
) -> Round:
    exposure = result.sets.exposure
    compared = np.arange(min(COMPARED, len(result.levels)))
    tables = result.tables.take(compared)
    chance = tables.chance(result.baseline.weight)
    aliases = alias_groups(result.sets, tables.levels, chance, tables.cases)
    leader = int(result.levels[0])
    family = int(exposure.level_family[leader])
    days = plant.days(family)
    carried, known = exposure.carries(leader), exposure.known(leader)
    windows = best_windows(result.sets, result.baseline, days, known)
    margin = result.log_factor[compared] - windows.best
    stretches = tuple(own_stretch(carried, known, day) for day in days)
    as_stretch = stretch_factor(result.sets, result.baseline, stretches, days, known)
    shortlist, length = _shortlist(result, windows)
    p_family = float(result.p_family[0])
    beside, missing = None, None
    apart: tuple[int, ...] | None = None
    if p_family < CHANCE:
        population = result.sets.population
        beside = neighbour_control(population, exposure, margins, leader, days[0])
        missing = missing_records(population, exposure, margins, leader)
        apart = _not_separable(result, aliases, margins)
    facts = Facts(
        p_family=p_family,
        cases=int(result.tables.observed[0]),
        window_margin=float(margin[0]),
        stretch_margin=round(float(result.log_factor[0]) - as_stretch, 6),
        people=bool(plant.people[family]),
        shortlist=length,
        not_separable=apart,
        refines_earlier=_refines_earlier(result, leader),
        controls_clean=None if beside is None else not beside.raised,
        stable_if_missing=None if missing is None else missing.holds,
    )
    return Round(
        search=result,
        aliases=aliases,
        windows=windows,
        stretch=stretches[0],
        margin=margin,
        shortlist=shortlist,
        neighbours=beside,
        missing=missing,
        facts=facts,
        evidence=judge(facts),
        set_aside=aside,
    )


def _refines_earlier(result: Search, leader: int) -> bool:
    """Whether a leader lies where an earlier round has found its cause already."""
    population, exposure = result.sets.population, result.sets.exposure
    carried = exposure.carries(leader) & population.at_risk
    cases = carried & population.case
    for name in population.free:
        inside = population.margins[name] == 1
        usual = float(inside[population.at_risk].mean())
        if inside[cases].mean() > _MOSTLY and inside[carried].mean() > _TWICE * usual:
            return True
    return False


def _shortlist(result: Search, windows: Windows) -> tuple[Ints, int]:
    """Suspects that hold nine tenths of the evidence, and how many with the windows."""
    rivals = np.maximum(result.rivals[result.levels], 1)
    log_share = np.concatenate(
        [
            result.log_factor - np.log(rivals),
            windows.log_factor - np.log(max(windows.tried, 1)),
        ]
    )
    share = np.exp(log_share - log_share.max())
    order = np.argsort(-share, kind="stable")
    total = np.cumsum(share[order]) / share.sum()
    count = int(np.searchsorted(total, SHORTLIST_SHARE)) + 1
    chosen = order[:count]
    return np.sort(chosen[chosen < len(rivals)]), count


def _not_separable(result: Search, aliases: Aliases, margins: tuple[str, ...]) -> tuple[int, ...]:
    """Levels that share cases with the leader and given which it no longer matters."""
    sets = result.sets
    leader = int(result.levels[0])
    own = np.intersect1d(sets.exposure.hulls_of(leader), sets.population.cases)
    size = np.diag(aliases.shared)
    tried = []
    for place in aliases.overlapping(0):
        smaller = min(size[0], size[place])
        nested = aliases.shared[0, place] >= _INSIDE * smaller
        level = int(aliases.levels[place])
        common = np.isin(own, sets.exposure.hulls_of(level)).sum()
        if common >= _SHARED_CASES * len(own) and not nested:
            tried.append(level)
        if len(tried) == _OVERLAPPING:
            break
    return tuple(
        level
        for level in tried
        if still_matters(sets.population, sets.exposure, margins, leader, level) > CHANCE
    )
