"""What the method and the plain orders made of one world."""

from __future__ import annotations

import time
from dataclasses import dataclass, field

import numpy as np

from tests.benchmarks.worlds.baselines import orders
from tests.benchmarks.worlds.plant import Ints
from tests.benchmarks.worlds.scenarios import make_world
from tests.benchmarks.worlds.world import World
from tracegraph.analysis.confounding.discriminating import discriminating_hulls
from tracegraph.analysis.confounding.pairs import interactions
from tracegraph.analysis.confounding.parents import children, nesting
from tracegraph.analysis.matched.estimates import estimates
from tracegraph.analysis.matched.evidence import CHANCE, NOTICED
from tracegraph.analysis.matched.population import ExposureMatrix
from tracegraph.analysis.matched.rounds import Plant, Round, investigate
from tracegraph.analysis.matched.scores import log_likelihoods, score
from tracegraph.analysis.matched.search import MARGINS, Search
from tracegraph.domain.kinds import SEASONAL_KINDS

ALIAS = 0.90
RELATED = 0.50
LOOKED_AT = 50
ROWS = 10
PEOPLE_IN = ("pair",)
BEYOND_DAYS = "beyond-window"


@dataclass
class Verdict:
    """One world, judged.

    Attributes
    ----------
    ranks : dict of str to int
        Place of the first right row in each order; a large number: not among the first.
    called : dict of str to bool
        Whether a plain test with Bonferroni's limit named anything.
    cases, true_cases : int
        Cases, and those that carry the true level.
    p_family, p_true : float
        Family-wise p of the leader, and of the true level.
    misled : bool
        Whether a leader that has nothing to do with any cause is beyond chance.
    covered : bool or None
        Whether the 95 % limits of the true level hold the true ratio.
    ratio : float
        Its estimated rate ratio over the true one.
    on_shortlist : bool or None
        Whether the shortlist holds the true level or an alias.
    shortlist : int
        Levels and windows on the shortlist.
    calls : list of str
        What each row at level 2 was: ``cause 1``, ``relative 1``, ``wrong``.
    beyond_days : bool or None
        Whether the leader, if right, is more specific than any days of building.
    cases_of : list of int
        Cases that carry each cause.
    led, shown : set of int
        Causes that led a round with family-wise p up to 0.2; that stood among the first
        five of one of the first three rounds.
    pair_rank : int or None
        Place of the true pair among rows and pairs.
    nesting : str or None
        Verdict on the supplier and its lots.
    same_row, true_first : bool or None
        Of a lot and its mold: whether they are one alias group, and whether the true one
        stands before the other.
    apart : int
        Hulls that carry one of the two only.
    seconds : float
        Time of the method.
    """

    ranks: dict[str, int] = field(default_factory=dict)
    called: dict[str, bool] = field(default_factory=dict)
    cases: int = 0
    true_cases: int = 0
    p_family: float = 1.0
    p_true: float = 1.0
    misled: bool = False
    covered: bool | None = None
    ratio: float = float("nan")
    on_shortlist: bool | None = None
    shortlist: int = 0
    calls: list[str] = field(default_factory=list)
    beyond_days: bool | None = None
    cases_of: list[int] = field(default_factory=list)
    led: set[int] = field(default_factory=set)
    shown: set[int] = field(default_factory=set)
    pair_rank: int | None = None
    nesting: str | None = None
    same_row: bool | None = None
    true_first: bool | None = None
    apart: int = 0
    seconds: float = 0.0


def overlap(matrix: ExposureMatrix, one: int, other: int) -> tuple[float, float]:
    """Share of hulls in common, of either and of the smaller."""
    a, b = matrix.hulls_of(one), matrix.hulls_of(other)
    both = len(np.intersect1d(a, b, assume_unique=True))
    return both / max(1, len(a) + len(b) - both), both / max(1, min(len(a), len(b)))


def judge_world(name: str, seed: int, *, resamples: int = 199, plain: bool = True) -> Verdict:
    """Run the method and the plain orders on one world."""
    world = make_world(name, seed)
    matrix = world.exposure
    of_people = np.array([kind == "people" for kind in world.kinds])
    families = np.ones_like(of_people) if name in PEOPLE_IN else ~of_people
    verdict = Verdict(cases=len(world.population.cases))
    if plain:
        found, verdict.called = orders(world, families)
        verdict.ranks = {order: _rank(world, levels) for order, levels in found.items()}
    day = world.population.built_day
    seasonal = np.array([kind in SEASONAL_KINDS for kind in world.kinds])
    plant = Plant(families, of_people, lambda family: (day,), seasonal)
    begin = time.perf_counter()
    rounds = investigate(world.population, matrix, plant, resamples=resamples, seed=seed * 101 + 7)
    verdict.seconds = time.perf_counter() - begin
    if not rounds:
        verdict.ranks["ours"] = 999
        return verdict
    _judge(verdict, world, rounds)
    if name == "pair":
        verdict.pair_rank = _pair_rank(world, rounds[0].search)
    if "aliased" in name:
        _lot_and_mold(verdict, world, rounds[0])
    if name.endswith("supplier"):
        verdict.nesting = _nesting(world, rounds[0])
    return verdict


def _rank(world: World, levels: Ints) -> int:
    """Place of the first right row; a level like one above it has no row of its own."""
    for place, level in enumerate(_rows(world, levels), 1):
        if any(_right(world, level, number) for number in range(len(world.causes))):
            return place
    return 999


def _rows(world: World, levels: Ints) -> list[int]:
    """The first rows of a list, each standing for its aliases too."""
    rows: list[int] = []
    for level in levels[:LOOKED_AT].tolist():
        if all(overlap(world.exposure, level, row)[0] < ALIAS for row in rows):
            rows.append(level)
            if len(rows) == ROWS:
                break
    return rows


def _right(world: World, level: int, number: int) -> bool:
    return any(
        level == truth or overlap(world.exposure, level, int(truth))[0] >= ALIAS
        for truth in world.causes[number]
    )


def _judge(verdict: Verdict, world: World, rounds: list[Round]) -> None:
    first = rounds[0]
    verdict.ranks["ours"] = _place(world, first)
    verdict.p_family = first.facts.p_family
    verdict.shortlist = first.facts.shortlist
    verdict.cases_of = [
        int(world.population.case[world.exposure.hulls_of(int(levels[0]))].sum())
        for levels in world.causes
    ]
    if world.causes:
        verdict.ranks["told the ratio"] = _rank(world, _told(first.search, world.ratios[0]))
        truth = int(world.causes[0][0])
        place = np.flatnonzero(first.search.levels == truth)
        carried = first.search.sets.exposure.hulls_of(truth)
        verdict.true_cases = int(world.population.case[carried].sum())
        if len(place):
            verdict.p_true = float(first.search.p_family[place[0]])
        if verdict.true_cases:
            verdict.covered, verdict.ratio = _against_truth(first.search, truth, world.ratios[0])
        verdict.on_shortlist = any(
            _right(world, int(level), 0) for level in first.search.levels[first.shortlist]
        )
    for number, each in enumerate(rounds):
        names = [int(each.aliases.levels[p]) for p in each.aliases.members(0)]
        kind = _kind(world, each.leader, names)
        if each.evidence.level >= 2:
            verdict.calls.append(kind)
        if number == 0 and kind.startswith("cause"):
            verdict.beyond_days = BEYOND_DAYS in each.evidence.rests_on
        if number == 0 and kind == "wrong":
            verdict.misled = each.facts.p_family < CHANCE
        if kind.startswith("cause") and each.facts.p_family <= NOTICED:
            verdict.led.add(int(kind.split()[1]))
        for cause in range(len(world.causes)):
            if number < 3 and _place(world, each, cause) <= 5:
                verdict.shown.add(cause + 1)


def _place(world: World, each: Round, cause: int | None = None) -> int:
    """Place of the first right row of a round, its rows being the alias groups of the tool."""
    causes = range(len(world.causes)) if cause is None else (cause,)
    places = [
        int(group) + 1
        for level, group in zip(each.aliases.levels.tolist(), each.aliases.group, strict=True)
        if any(_right(world, level, number) for number in causes)
    ]
    return min(places, default=999)


def _against_truth(found: Search, level: int, ratio: float) -> tuple[bool, float]:
    """Whether the limits of a level hold its true ratio, and the estimate over it."""
    tables = found.sets.tables(np.array([level]))
    known = estimates(found.sets, found.baseline, tables, found.margins, found.seasonal)
    return float(known.low[0]) <= ratio <= float(known.high[0]), float(known.ratio[0]) / ratio


def _told(found: Search, ratio: float) -> Ints:
    """The suspects as they would stand if their rate ratio were known."""
    likelihood = log_likelihoods(found.baseline, found.tables, np.array([ratio]))[:, 0]
    points = score(likelihood, found.rivals[found.levels])
    result: Ints = found.levels[np.argsort(-points, kind="stable")]
    return result


def _kind(world: World, leader: int, names: list[int]) -> str:
    for number in range(len(world.causes)):
        if any(_right(world, name, number) for name in names):
            return f"cause {number + 1}"
    for number, truths in enumerate(world.causes):
        if any(overlap(world.exposure, leader, int(t))[1] >= RELATED for t in truths):
            return f"relative {number + 1}"
    return "wrong"


def _lot_and_mold(verdict: Verdict, world: World, first: Round) -> None:
    """Places of the two levels made for the trial: the last lot and the last mold."""
    truth, rival = int(world.causes[0][0]), int(world.rivals[0])
    places = {int(level): place for place, level in enumerate(first.aliases.levels)}
    one, other = places.get(truth), places.get(rival)
    if one is None or other is None:
        return
    verdict.same_row = bool(first.aliases.group[one] == first.aliases.group[other])
    verdict.true_first = one < other
    weight = first.search.baseline.weight
    hulls = discriminating_hulls(first.search.sets, weight, truth, rival, (10.0, 10.0))
    verdict.apart = len(hulls.hull)


def _pair_rank(world: World, found: Search) -> int:
    wanted = {int(level) for level in world.causes[0]}
    pairs = interactions(found, MARGINS)
    for pair in pairs:
        if {pair.first, pair.second} == wanted:
            above = sum(other.score > pair.score for other in pairs)
            return 1 + above + int((found.score > pair.score).sum())
    return 999


def _nesting(world: World, first: Round) -> str:
    """Verdict on the true supplier and the strongest of its lots."""
    parent = int(world.causes[0][0])
    matrix = world.exposure
    family = int(matrix.level_family[parent])
    lots = children(
        matrix, parent, world.names.index(world.names[family].replace("supplier", "lot"))
    )
    strongest = next((int(level) for level in first.search.levels if level in lots), None)
    if strongest is None:
        return "no lot with two cases"
    return nesting(
        world.population, matrix, MARGINS, parent, strongest, chosen_from=len(lots)
    ).verdict
