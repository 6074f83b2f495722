"""The trials: one bad lot, a bad mold, no cause at all but an uneven history, and so on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from tests.benchmarks.worlds.harsh import happen_harshly, harsh_plant
from tests.benchmarks.worlds.plant import (
    DAYS,
    HULLS,
    MODELS,
    Floats,
    Plant,
    Question,
    make_plant,
)
from tests.benchmarks.worlds.world import World, happen

Rng = np.random.Generator


@dataclass(frozen=True)
class Yard:
    """How a yard is drawn and how claims come about on it."""

    plant: Callable[..., Plant]
    happen: Callable[..., World]


PLAIN = Yard(make_plant, happen)
HARSH = Yard(harsh_plant, happen_harshly)


def _ones() -> Floats:
    return np.ones(HULLS)


def _differing_models(rng: Rng, plant: Plant) -> Floats:
    """Models differ twelvefold."""
    rate = np.geomspace(1.0, 12.0, MODELS)
    return rng.permutation(rate)[plant.model]


def _pick(rng: Rng, plant: Plant, family: str, low: int, high: int) -> tuple[int, np.ndarray]:
    """A level of a family with so many hulls, built neither first nor last."""
    question = plant.question(family)
    size = np.bincount(question.level[question.level >= 0], minlength=question.size)
    middle = np.array(
        [
            np.median(plant.day[question.level == level]) if size[level] else np.inf
            for level in range(question.size)
        ]
    )
    fits = (size >= low) & (size <= high) & (middle > 0.08 * DAYS) & (middle < 0.45 * DAYS)
    level = int(rng.choice(np.flatnonzero(fits)))
    return plant.first_level(family) + level, question.hulls_of(level)


def _raised(base: Floats, hulls: np.ndarray, ratio: float) -> Floats:
    result = base.copy()
    result[hulls] *= ratio
    return result


def _material(rng: Rng) -> int:
    return int(rng.integers(0, 10))


def nothing(rng: Rng, yard: Yard = PLAIN) -> World:
    plant = yard.plant(rng)
    return yard.happen(rng, plant, _ones())


def trend(rng: Rng) -> World:
    """Claims fall ninefold over the years of building."""
    plant = make_plant(rng)
    base = 9.0 ** (-plant.day / DAYS)
    return happen(rng, plant, base, baseline=base)


def models(rng: Rng) -> World:
    plant = make_plant(rng)
    base = _differing_models(rng, plant)
    return happen(rng, plant, base, baseline=base)


def pulse(rng: Rng, yard: Yard = PLAIN) -> World:
    """Ten weeks fail seven times as often, and no record says why."""
    plant = yard.plant(rng)
    start = rng.uniform(0.1, 0.65) * DAYS
    base = np.where((plant.day >= start) & (plant.day < start + 70.0), 7.0, 1.0)
    return yard.happen(rng, plant, base)


def short_pulse(rng: Rng) -> World:
    """Four weeks fail fifteen times as often, and no record says why."""
    plant = make_plant(rng)
    start = rng.uniform(0.1, 0.45) * DAYS
    base = np.where((plant.day >= start) & (plant.day < start + 28.0), 15.0, 1.0)
    return happen(rng, plant, base)


def _with_boxes(rng: Rng, plant: Plant) -> None:
    """Add 30,000 levels without any meaning."""
    for number in range(20):
        plant.questions.append(
            Question(f"box {number}", "drum", "hull", 9, rng.integers(0, 1500, HULLS))
        )


def nothing_many_levels(rng: Rng) -> World:
    plant = make_plant(rng)
    _with_boxes(rng, plant)
    return happen(rng, plant, _ones())


def lot(rng: Rng, yard: Yard = PLAIN) -> World:
    plant = yard.plant(rng)
    level, hulls = _pick(rng, plant, f"material {_material(rng)}: lot", 20, 60)
    return yard.happen(rng, plant, _raised(_ones(), hulls, 15.0), (np.array([level]),), (15.0,))


def small_lot(rng: Rng, yard: Yard = PLAIN) -> World:
    plant = yard.plant(rng)
    level, hulls = _pick(rng, plant, f"material {_material(rng)}: lot", 12, 25)
    return yard.happen(rng, plant, _raised(_ones(), hulls, 15.0), (np.array([level]),), (15.0,))


def drum(rng: Rng) -> World:
    plant = make_plant(rng)
    level, hulls = _pick(rng, plant, f"material {_material(rng)}: drum", 6, 9)
    return happen(rng, plant, _raised(_ones(), hulls, 40.0), (np.array([level]),), (40.0,))


def lot_and_models(rng: Rng) -> World:
    plant = make_plant(rng)
    base = _differing_models(rng, plant)
    level, hulls = _pick(rng, plant, f"material {_material(rng)}: lot", 20, 60)
    return happen(
        rng, plant, _raised(base, hulls, 15.0), (np.array([level]),), (15.0,), baseline=base
    )


def supplier(rng: Rng, yard: Yard = PLAIN) -> World:
    plant = yard.plant(rng)
    family = f"material {_material(rng)}: supplier"
    hulls = plant.question(family).hulls_of(1)
    level = plant.first_level(family) + 1
    return yard.happen(rng, plant, _raised(_ones(), hulls, 3.0), (np.array([level]),), (3.0,))


def _mold(rng: Rng, yard: Yard, plant: Plant, base: Floats) -> World:
    family = f"{rng.choice(['hull', 'deck', 'grid'])}: mold"
    question = plant.question(family)
    level = int(rng.integers(0, question.size))
    hulls = question.hulls_of(level)
    return yard.happen(
        rng,
        plant,
        _raised(base, hulls, 4.0),
        (np.array([plant.first_level(family) + level]),),
        (4.0,),
        baseline=base,
    )


def mold(rng: Rng, yard: Yard = PLAIN) -> World:
    plant = yard.plant(rng)
    return _mold(rng, yard, plant, _ones())


def mold_and_models(rng: Rng) -> World:
    plant = make_plant(rng)
    return _mold(rng, PLAIN, plant, _differing_models(rng, plant))


def two_causes(rng: Rng, yard: Yard = PLAIN) -> World:
    """A lot and a mold."""
    plant = yard.plant(rng)
    lot_level, lot_hulls = _pick(rng, plant, f"material {_material(rng)}: lot", 20, 60)
    family = f"{rng.choice(['hull', 'deck', 'grid'])}: mold"
    question = plant.question(family)
    level = int(rng.integers(0, question.size))
    raised = _raised(_raised(_ones(), lot_hulls, 15.0), question.hulls_of(level), 4.0)
    return yard.happen(
        rng,
        plant,
        raised,
        (np.array([lot_level]), np.array([plant.first_level(family) + level])),
        (15.0, 4.0),
    )


def worn_mold(rng: Rng) -> World:
    """A mold that fails after 35 pulls since its service."""
    plant = make_plant(rng)
    part = rng.choice(["hull", "deck", "grid"])
    question = plant.question(f"{part}: mold and pulls")
    worn = [level for level in range(3, question.size, 4) if len(question.hulls_of(level)) >= 20]
    level = int(rng.choice(worn))
    truth = plant.first_level(question.name) + level
    raised = _raised(_ones(), question.hulls_of(level), 8.0)
    return happen(rng, plant, raised, (np.array([truth]),), (8.0,))


def humid(rng: Rng, yard: Yard = PLAIN) -> World:
    """The most humid tenth of days at one part, with claims that have a season anyway."""
    plant = yard.plant(rng)
    part = rng.choice(["hull", "deck", "grid"])
    tail = plant.question(f"{part}: humidity, upper tenth")
    season = 1.0 + 0.5 * np.sin(2.0 * np.pi * (plant.day - 60.0) / 365.25)
    truth = np.array([plant.first_level(tail.name) + 1, plant.first_level(f"{part}: humidity") + 4])
    return yard.happen(
        rng, plant, _raised(season, tail.hulls_of(1), 4.0), (truth,), (4.0,), baseline=season
    )


def pair(rng: Rng) -> World:
    """One crew with one lot: neither is bad alone. Families of people take part."""
    while True:
        plant = make_plant(rng)
        number = int(rng.integers(0, 8))
        lots = plant.question(f"component {number}: lot")
        crews = plant.question("hull: crew")
        joint = lots.level * crews.size + crews.level
        middle = (plant.day > 0.05 * DAYS) & (plant.day < 0.45 * DAYS)
        cells, counts = np.unique(joint[middle], return_counts=True)
        fits = cells[(counts >= 40) & (counts <= 90)]
        if len(fits):
            break
    cell = int(rng.choice(fits))
    truth = np.array(
        [
            plant.first_level(lots.name) + cell // crews.size,
            plant.first_level(crews.name) + cell % crews.size,
        ]
    )
    raised = _raised(_ones(), np.flatnonzero(joint == cell), 12.0)
    return happen(rng, plant, raised, (truth,), (12.0,))


def _aliased(rng: Rng, yard: Yard, extra: float) -> World:
    """A lot that went into the parts of one mold, and ``extra`` more of the mold's parts."""
    plant = yard.plant(rng)
    part = str(rng.choice(["hull", "deck", "grid"]))
    molds = plant.question(f"{part}: mold")
    number = next(n for n in range(10) if plant.question(f"material {n}: lot").part == part)
    lots = plant.question(f"material {number}: lot")
    early = plant.day < 0.45 * DAYS
    mold = int(rng.choice(np.flatnonzero(np.bincount(molds.level[early]) >= 60)))
    hulls = np.flatnonzero((molds.level == mold) & early)
    first = int(rng.integers(0, len(hulls) - 45))
    of_mold = hulls[first : first + 40]
    of_lot = of_mold[: round(40 / (1.0 + extra))]
    molds.level = molds.level.copy()
    lots.level = lots.level.copy()
    molds.level[of_mold] = molds.size
    molds.size += 1
    lots.also = tuple(  # type: ignore[assignment]  # a pair of arrays stays a pair
        column[~np.isin(lots.also[0], of_lot)] for column in lots.also
    )
    lots.level[of_lot] = lots.size
    lots.size += 1
    lot_level = plant.first_level(lots.name) + lots.size - 1
    mold_level = plant.first_level(molds.name) + molds.size - 1
    by_lot = extra == 0.0 or rng.random() < 0.5
    raised = _raised(_ones(), of_lot if by_lot else of_mold, 15.0)
    truth = np.array([lot_level if by_lot else mold_level])
    world = yard.happen(rng, plant, raised, (truth,), (15.0,))
    return replace(world, rivals=(mold_level if by_lot else lot_level,))


def aliased(rng: Rng) -> World:
    return _aliased(rng, PLAIN, 0.0)


def nearly_aliased(rng: Rng, yard: Yard = PLAIN) -> World:
    return _aliased(rng, yard, 0.43)


def immature(rng: Rng, yard: Yard = PLAIN) -> World:
    """Output triples, half of the hulls are young, and the bad lot is a recent one."""
    plant = yard.plant(rng, crowded=True)
    question_name = f"material {_material(rng)}: lot"
    question = plant.question(question_name)
    size = np.bincount(question.level[question.level >= 0], minlength=question.size)
    middle = np.array(
        [
            np.median(plant.day[question.level == level]) if size[level] else -np.inf
            for level in range(question.size)
        ]
    )
    fits = (size >= 20) & (size <= 120) & (middle > DAYS - 540) & (middle < DAYS - 330)
    level = int(rng.choice(np.flatnonzero(fits)))
    raised = _raised(_ones(), question.hulls_of(level), 15.0)
    truth = np.array([plant.first_level(question_name) + level])
    return yard.happen(rng, plant, raised, (truth,), (15.0,))


def _lot_with_missing(rng: Rng, others: float, cases: float | None) -> World:
    plant = make_plant(rng)
    level, hulls = _pick(rng, plant, f"material {_material(rng)}: lot", 20, 60)
    return happen(
        rng,
        plant,
        _raised(_ones(), hulls, 15.0),
        (np.array([level]),),
        (15.0,),
        lost=np.full(HULLS, others),
        lost_of_cases=cases,
    )


def missing(rng: Rng) -> World:
    """15 % of lot records lost at random."""
    return _lot_with_missing(rng, 0.15, None)


def missing_of_cases(rng: Rng) -> World:
    """40 % of the lot records of claiming hulls lost, 13 % of the others."""
    return _lot_with_missing(rng, 0.13, 0.40)


def miscoded(rng: Rng) -> World:
    """A fifth of the claims filed under another word, and alien claims among the rest."""
    plant = make_plant(rng)
    level, hulls = _pick(rng, plant, f"material {_material(rng)}: lot", 20, 60)
    raised = 0.8 * _raised(_ones(), hulls, 15.0) + 0.25
    seen = (0.8 * 15.0 + 0.25) / (0.8 + 0.25)
    return happen(rng, plant, raised, (np.array([level]),), (seen,))


def many_levels(rng: Rng) -> World:
    """One bad lot among 30,000 further levels without any meaning."""
    plant = make_plant(rng)
    level, hulls = _pick(rng, plant, f"material {_material(rng)}: lot", 20, 60)
    _with_boxes(rng, plant)
    return happen(rng, plant, _raised(_ones(), hulls, 15.0), (np.array([level]),), (15.0,))


def rare(rng: Rng, yard: Yard = PLAIN) -> World:
    """A bad small lot of a complaint that is rare otherwise."""
    plant = yard.plant(rng)
    level, hulls = _pick(rng, plant, f"material {_material(rng)}: lot", 12, 25)
    raised = _raised(_ones(), hulls, 60.0)
    return yard.happen(rng, plant, raised, (np.array([level]),), (60.0,), claims=12.0)


SCENARIOS: dict[str, Callable[[Rng], World]] = {
    "nothing": nothing,
    "trend": trend,
    "models": models,
    "pulse": pulse,
    "lot": lot,
    "small lot": small_lot,
    "drum": drum,
    "lot and models": lot_and_models,
    "supplier": supplier,
    "mold": mold,
    "mold and models": mold_and_models,
    "two causes": two_causes,
    "worn mold": worn_mold,
    "humid days": humid,
    "pair": pair,
    "aliased": aliased,
    "nearly aliased": nearly_aliased,
    "immature": immature,
    "missing": missing,
    "missing of cases": missing_of_cases,
    "miscoded": miscoded,
    "many levels": many_levels,
    "short pulse": short_pulse,
    "nothing, many levels": nothing_many_levels,
    "rare": rare,
    "harsh nothing": partial(nothing, yard=HARSH),
    "harsh pulse": partial(pulse, yard=HARSH),
    "harsh lot": partial(lot, yard=HARSH),
    "harsh rare": partial(rare, yard=HARSH),
    "harsh supplier": partial(supplier, yard=HARSH),
    "harsh mold": partial(mold, yard=HARSH),
    "harsh two causes": partial(two_causes, yard=HARSH),
    "harsh humid days": partial(humid, yard=HARSH),
    "harsh nearly aliased": partial(nearly_aliased, yard=HARSH),
    "harsh immature": partial(immature, yard=HARSH),
}


def make_world(name: str, seed: int) -> World:
    """The world of one scenario and seed."""
    number = list(SCENARIOS).index(name)
    return SCENARIOS[name](np.random.default_rng([number, seed]))
