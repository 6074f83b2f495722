"""A simulated yard: hulls in sequence, and what each of them carries.

Four thousand hulls of five models over three and a half years, some ten thousand levels:
twelve materials with lots, drums and suppliers, molds nested in model and part with pulls
since service, crews, stations, humidity of the day, component lots.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from tracegraph.analysis.matched.population import (
    COMPLETE,
    DOES_NOT_APPLY,
    INCOMPLETE,
    ExposureMatrix,
)

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

HULLS = 4000
DAYS = 1278
MODELS = 5
MATERIALS = 12
PARTS = ("hull", "deck", "grid")
NONE, UNKNOWN = -1, -2


@dataclass
class Question:
    """One family: for every hull its level, ``NONE`` (does not apply) or ``UNKNOWN``."""

    name: str
    kind: str
    part: str
    stage: int
    level: Ints
    also: tuple[Ints, Ints] = field(
        default_factory=lambda: (np.zeros(0, np.int64), np.zeros(0, np.int64))
    )
    """Second levels: hulls and their further levels."""

    size: int = 0
    """Number of levels, those without a record left included."""

    def __post_init__(self) -> None:
        self.size = int(max(self.level.max(initial=-1), self.also[1].max(initial=-1))) + 1

    def hulls_of(self, level: int) -> Ints:
        first = np.flatnonzero(self.level == level)
        return np.union1d(first, self.also[0][self.also[1] == level])


@dataclass
class Plant:
    """Hulls and questions of one simulated yard."""

    model: Ints
    day: Floats
    delivered: Floats
    humidity: Floats
    questions: list[Question]
    dealer: Ints = field(default_factory=lambda: np.zeros(0, np.int64))

    def question(self, name: str) -> Question:
        return next(q for q in self.questions if q.name == name)

    def kinds(self) -> list[str]:
        return [q.kind for q in self.questions]

    def matrix(self) -> ExposureMatrix:
        """The exposure of all hulls, levels numbered family by family."""
        levels, hulls, family = [], [], []
        record = np.full((len(self.questions), len(self.model)), DOES_NOT_APPLY, np.int8)
        first = 0
        for number, question in enumerate(self.questions):
            known = question.level >= 0
            record[number] = np.where(
                known, COMPLETE, np.where(question.level == UNKNOWN, INCOMPLETE, DOES_NOT_APPLY)
            )
            also_hull, also_level = question.also
            there = question.level[also_hull] >= 0
            levels.append(first + np.concatenate([question.level[known], also_level[there]]))
            hulls.append(np.concatenate([np.flatnonzero(known), also_hull[there]]))
            family.append(np.full(question.size, number))
            first += question.size
        return ExposureMatrix.from_rows(
            np.concatenate(levels), np.concatenate(hulls), np.concatenate(family), record
        )

    def first_level(self, name: str) -> int:
        """Position of the first level of a family in the matrix."""
        first = 0
        for question in self.questions:
            if question.name == name:
                return first
            first += question.size
        raise KeyError(name)


def make_plant(rng: np.random.Generator, *, crowded: bool = False) -> Plant:
    """Draw one yard; crowded: half of the hulls come in the last nine months."""
    n = HULLS
    day = np.sort(rng.uniform(0.0, DAYS, n))
    if crowded:
        late = rng.random(n) < 0.4
        day = np.sort(np.where(late, DAYS - 270.0 * rng.random(n), day))
    model = rng.choice(MODELS, n, p=[0.30, 0.25, 0.20, 0.15, 0.10])
    humidity = _humidity(rng)
    questions: list[Question] = []
    for number in range(MATERIALS):
        questions += _material(rng, number, model)
    for place, part in enumerate(PARTS):
        questions += _molds(rng, part, place, model, day)
        questions += _people_and_stations(rng, part, place, day)
        at = np.clip(day + rng.uniform(-1.0, 1.0, n), 0, DAYS - 1).astype(int)
        seen = humidity[at] + rng.normal(0.0, 2.0, n)
        edges = np.quantile(seen, [0.2, 0.4, 0.6, 0.8])
        questions.append(
            Question(
                f"{part}: humidity",
                "ambient condition",
                part,
                2 + place,
                np.searchsorted(edges, seen),
            )
        )
        tail = (seen >= np.quantile(seen, 0.9)).astype(np.int64)
        questions.append(
            Question(f"{part}: humidity, upper tenth", "ambient condition", part, 2 + place, tail)
        )
    for number in range(8):
        sizes = np.maximum(5, rng.lognormal(np.log(60), 0.5, n // 20)).astype(int)
        level = _in_turn(rng, np.ones(n, np.bool_), sizes, jitter=10.0)
        questions.append(Question(f"component {number}: lot", "component lot", "hull", 9, level))
    delivered = day + 10.0 + rng.gamma(2.0, 30.0, n)
    at = np.clip(day, 0, DAYS - 1).astype(int)
    return Plant(model, day, delivered, humidity[at], questions)


def _humidity(rng: np.random.Generator) -> Floats:
    noise = np.zeros(DAYS)
    for t in range(1, DAYS):
        noise[t] = 0.8 * noise[t - 1] + rng.normal(0.0, 6.0)
    return 60.0 + 12.0 * np.sin(2.0 * np.pi * np.arange(DAYS) / 365.25) + noise


def _in_turn(rng: np.random.Generator, uses: Bools, sizes: Ints, jitter: float) -> Ints:
    """Lots used one after another, out of order by about ``jitter`` hulls."""
    hulls = np.flatnonzero(uses)
    order = hulls[np.argsort(np.arange(len(hulls)) + rng.normal(0.0, jitter, len(hulls)))]
    level = np.full(len(uses), NONE)
    level[order] = np.repeat(np.arange(len(sizes)), sizes)[: len(hulls)]
    return level


def _material(rng: np.random.Generator, number: int, model: Ints) -> list[Question]:
    uses = np.ones(len(model), np.bool_) if number < 10 else model < 3
    part = PARTS[number % 3]
    count = int(uses.sum())
    sizes = np.maximum(4, rng.lognormal(np.log(32), 0.6, count)).astype(int)
    jitter = rng.choice([0.5, 3.0, 12.0])
    lot = _in_turn(rng, uses, sizes, jitter)
    lots = int(lot.max()) + 1
    drum = np.full(len(model), NONE)
    drums = 0
    for hulls in np.split(np.argsort(lot, kind="stable"), np.cumsum(np.bincount(lot + 1)))[1:]:
        each = int(rng.integers(6, 10))
        drum[hulls] = drums + np.arange(len(hulls)) // each
        drums += (len(hulls) + each - 1) // each if len(hulls) else 0
    supplier = (rng.random(lots) < 0.35).astype(np.int64)
    # At a change of lots a hull may get both.
    change = np.flatnonzero(uses)[1:][np.diff(lot[uses]) > 0]
    both = change[rng.random(len(change)) < 0.3]
    also = np.maximum(lot[both] - 1, 0)
    both, also = both[also != lot[both]], also[also != lot[both]]
    name, stage = f"material {number}", 1 + number % 3
    return [
        Question(f"{name}: lot", "material lot", part, stage, lot, (both, also)),
        Question(f"{name}: drum", "drum", part, stage, drum),
        Question(f"{name}: supplier", "supplier", part, stage, np.where(uses, supplier[lot], NONE)),
    ]


def _molds(
    rng: np.random.Generator, part: str, place: int, model: Ints, day: Floats
) -> list[Question]:
    mold = np.zeros(len(model), np.int64)
    pulls = np.zeros(len(model), np.int64)
    first = 0
    for code in range(MODELS):
        hulls = np.flatnonzero(model == code)
        count = int(rng.integers(2, 5))
        chosen = (np.arange(len(hulls)) + rng.integers(0, 2, len(hulls))) % count
        mold[hulls] = first + chosen
        for each in range(count):
            mine = hulls[chosen == each]
            pulls[mine] = (np.arange(len(mine)) + rng.integers(0, 50)) % 50
        first += count
    band = np.searchsorted([10, 20, 35], pulls, side="right")
    return [
        Question(f"{part}: mold", "mold", part, 2 + place, mold),
        Question(f"{part}: pulls since service", "mold condition", part, 2 + place, band),
        Question(f"{part}: mold and pulls", "mold condition", part, 2 + place, mold * 4 + band),
    ]


def _people_and_stations(
    rng: np.random.Generator, part: str, place: int, day: Floats
) -> list[Question]:
    week = (day // 7).astype(np.int64)
    crew = (week + rng.integers(0, 6)) % 6
    away = rng.random(len(day)) < 0.2
    crew = np.where(away, rng.integers(0, 6, len(day)), crew)
    operator = crew * 4 + rng.integers(0, 4, len(day))
    station = rng.integers(0, 4, len(day))
    return [
        Question(f"{part}: crew", "people", part, 2 + place, crew),
        Question(f"{part}: operator", "people", part, 2 + place, operator),
        Question(f"{part}: station", "equipment", part, 2 + place, station),
    ]
