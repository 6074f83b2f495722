"""The trials: one bad lot, a bad mold, no cause at all but an uneven history, and so on."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tests.benchmarks.worlds.plant import DAYS, HULLS, MODELS, Floats, Plant, make_plant
from tests.benchmarks.worlds.world import World, happen

Rng = np.random.Generator


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


def nothing(rng: Rng) -> World:
    plant = make_plant(rng)
    return happen(rng, plant, _ones())


def trend(rng: Rng) -> World:
    """Claims fall ninefold over the years of building."""
    plant = make_plant(rng)
    base = 9.0 ** (-plant.day / DAYS)
    return happen(rng, plant, base, baseline=base)


def models(rng: Rng) -> World:
    plant = make_plant(rng)
    base = _differing_models(rng, plant)
    return happen(rng, plant, base, baseline=base)


def pulse(rng: Rng) -> World:
    """Ten weeks fail seven times as often, and no record says why."""
    plant = make_plant(rng)
    start = rng.uniform(0.1, 0.65) * DAYS
    base = np.where((plant.day >= start) & (plant.day < start + 70.0), 7.0, 1.0)
    return happen(rng, plant, base)


def lot(rng: Rng) -> World:
    plant = make_plant(rng)
    level, hulls = _pick(rng, plant, f"material {_material(rng)}: lot", 20, 60)
    return happen(rng, plant, _raised(_ones(), hulls, 15.0), (np.array([level]),), (15.0,))


def small_lot(rng: Rng) -> World:
    plant = make_plant(rng)
    level, hulls = _pick(rng, plant, f"material {_material(rng)}: lot", 12, 25)
    return happen(rng, plant, _raised(_ones(), hulls, 15.0), (np.array([level]),), (15.0,))


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


def supplier(rng: Rng) -> World:
    plant = make_plant(rng)
    family = f"material {_material(rng)}: supplier"
    hulls = plant.question(family).hulls_of(1)
    level = plant.first_level(family) + 1
    return happen(rng, plant, _raised(_ones(), hulls, 3.0), (np.array([level]),), (3.0,))


def _mold(rng: Rng, plant: Plant, base: Floats) -> World:
    family = f"{rng.choice(['hull', 'deck', 'grid'])}: mold"
    question = plant.question(family)
    level = int(rng.integers(0, question.size))
    hulls = question.hulls_of(level)
    return happen(
        rng,
        plant,
        _raised(base, hulls, 4.0),
        (np.array([plant.first_level(family) + level]),),
        (4.0,),
        baseline=base,
    )


def mold(rng: Rng) -> World:
    plant = make_plant(rng)
    return _mold(rng, plant, _ones())


def mold_and_models(rng: Rng) -> World:
    plant = make_plant(rng)
    return _mold(rng, plant, _differing_models(rng, plant))


def two_causes(rng: Rng) -> World:
    """A lot and a mold."""
    plant = make_plant(rng)
    lot_level, lot_hulls = _pick(rng, plant, f"material {_material(rng)}: lot", 20, 60)
    family = f"{rng.choice(['hull', 'deck', 'grid'])}: mold"
    question = plant.question(family)
    level = int(rng.integers(0, question.size))
    raised = _raised(_raised(_ones(), lot_hulls, 15.0), question.hulls_of(level), 4.0)
    return happen(
        rng,
        plant,
        raised,
        (np.array([lot_level]), np.array([plant.first_level(family) + level])),
        (15.0, 4.0),
    )


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
}


def make_world(name: str, seed: int) -> World:
    """The world of one scenario and seed."""
    number = list(SCENARIOS).index(name)
    return SCENARIOS[name](np.random.default_rng([number, seed]))
