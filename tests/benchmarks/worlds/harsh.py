"""A yard that is less kind than the method assumes.

Dealers differ in what they claim and when they deliver, boats in how hard they are used;
boats lie up in winter and are delivered in spring; two drums are open at once and lots
are blended; whole weeks of lot records are lost; boats are scrapped or leave; some claims
are found by the maker's own inspections; claims are written down late.
"""

from __future__ import annotations

import numpy as np

from tests.benchmarks.worlds.plant import DAYS, HULLS, Floats, Ints, Plant, Question, make_plant
from tests.benchmarks.worlds.world import (
    CLAIM_SHAPE,
    CLAIMS,
    MONTH,
    REPORTING_DAYS,
    WARRANTY,
    History,
    World,
    as_world,
    lose_records,
)

DEALERS = 40
YEAR = 365.25
SPRING = 90.0
"""Day of the year at which deliveries resume."""

AUTUMN = 270.0
"""Day of the year from which few boats are delivered."""

SUMMER_USE, WINTER_USE = 1.75, 0.15
INSPECTED = 0.08
"""Share of boats inspected by the maker in one campaign."""

FOUND_EARLY = 270.0
"""Days before it would have failed at which an inspection finds the fault."""

SCRAPPED = 0.03
BLENDED = 0.25
"""Share of boats that get a second lot of a blended material."""

LOST, LOST_IN_BAD_WEEKS = 0.06, 0.60
BAD_SPELLS = 4


def harsh_plant(rng: np.random.Generator, *, crowded: bool = False) -> Plant:
    """Draw one yard with two drums open at once, blends, dealers and a delivery season."""
    plant = make_plant(rng, crowded=crowded)
    blended = set(rng.choice(12, 3, replace=False).tolist())
    for number in range(12):
        lots, drums = (plant.question(f"material {number}: {what}") for what in ("lot", "drum"))
        _two_drums_open(rng, lots, drums)
        if number in blended:
            _blend(rng, lots)
    dealer = rng.integers(0, DEALERS, HULLS)
    # Half of the dealers carry one model only.
    own = rng.integers(0, DEALERS // 2, 5)
    devoted = rng.random(HULLS) < 0.3
    dealer = np.where(devoted, own[plant.model], dealer)
    lag = rng.gamma(2.0, 15.0 + 30.0 * rng.random(DEALERS))
    day = plant.day + 10.0 + rng.gamma(2.0, 0.25 * lag[dealer] + 5.0)
    season = np.mod(day, YEAR)
    waits = ((season >= AUTUMN) | (season < SPRING)) & (rng.random(HULLS) < 0.7)
    until_spring = np.mod(SPRING - season, YEAR) + rng.gamma(2.0, 15.0, HULLS)
    plant.delivered = day + np.where(waits, until_spring, 0.0)
    plant.dealer = dealer
    return plant


def _two_drums_open(rng: np.random.Generator, lots: Question, drums: Question) -> None:
    """Swap neighbours between a drum and the next of the same lot."""
    lot_of_drum = np.full(drums.size + 1, -9)
    there = drums.level >= 0
    lot_of_drum[drums.level[there]] = lots.level[there]
    partner = np.where(drums.level % 2 == 0, drums.level + 1, drums.level - 1)
    may = there & (partner >= 0) & (lot_of_drum[partner] == lots.level)
    swap = may & (rng.random(len(may)) < 0.5)
    drums.level = np.where(swap, partner, drums.level)


def _blend(rng: np.random.Generator, lots: Question) -> None:
    """Give a share of boats the lot before theirs as well, mixed in."""
    mixed = np.flatnonzero((lots.level > 0) & (rng.random(len(lots.level)) < BLENDED))
    hull, level = lots.also
    pairs = np.unique(
        np.column_stack(
            [np.concatenate([hull, mixed]), np.concatenate([level, lots.level[mixed] - 1])]
        ),
        axis=0,
    )
    lots.also = (pairs[:, 0], pairs[:, 1])


def happen_harshly(
    rng: np.random.Generator,
    plant: Plant,
    relative: Floats,
    causes: tuple[Ints, ...] = (),
    ratios: tuple[float, ...] = (),
    *,
    baseline: Floats | None = None,
    claims: float = CLAIMS,
) -> World:
    """As :func:`tests.benchmarks.worlds.world.happen`, with use by season and uneven boats."""
    n = len(relative)
    uneven = rng.gamma(2.0, 0.5, n) * np.exp(0.4 * rng.standard_normal(n))
    uneven *= np.exp(0.4 * rng.standard_normal(DEALERS))[plant.dealer]
    calendar = np.arange(3 * DAYS + 1, dtype=np.float64)
    season = np.mod(calendar, YEAR)
    use = np.where((season >= SPRING) & (season < AUTUMN), SUMMER_USE, WINTER_USE)
    used = np.concatenate([[0.0], np.cumsum(use)[:-1]])
    begin = np.interp(plant.delivered, calendar, used)
    last = np.minimum(plant.delivered + WARRANTY * MONTH, DAYS - REPORTING_DAYS)
    length = np.maximum(np.interp(last, calendar, used) - begin, 0.0)
    usual = uneven if baseline is None else uneven * baseline
    scale = claims / (usual * length**CLAIM_SHAPE).sum()
    aged = (rng.exponential(size=n) / (scale * uneven * relative)) ** (1.0 / CLAIM_SHAPE)
    failed = np.interp(begin + aged, used, calendar, right=np.inf)
    reported = failed + rng.exponential(20.0, n)
    left = np.where(rng.random(n) < SCRAPPED, plant.delivered + rng.uniform(0.0, 1000.0, n), np.inf)
    campaign = rng.uniform(0.5, 0.9) * DAYS
    inspected = (rng.random(n) < INSPECTED) & (plant.delivered < campaign) & (failed > campaign)
    found = inspected & (failed < campaign + FOUND_EARLY)
    left = np.where(found, np.minimum(left, campaign), left)
    bad = np.zeros(n, np.bool_)
    for first in rng.uniform(0.0, DAYS, BAD_SPELLS):
        bad |= (plant.day >= first) & (plant.day < first + 14.0)
    lose_records(rng, plant, np.where(bad, LOST_IN_BAD_WEEKS, LOST))
    return as_world(History(plant, failed, reported, left), causes, ratios)
