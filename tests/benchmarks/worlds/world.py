"""Claims on a simulated yard: who fails when, and what of it is seen by the cut-off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.benchmarks.worlds.plant import DAYS, UNKNOWN, Bools, Floats, Ints, Plant
from tracegraph.analysis.matched.population import ExposureMatrix, Population

MONTH = 30.4375
WARRANTY = 36
CLAIMS = 50.0
"""Expected first claims without the excess of a cause."""

CLAIM_SHAPE = 1.3
"""Weibull shape of the age at the claim."""

REPORTING_DAYS = 60


@dataclass(frozen=True)
class World:
    """A plant with claims, as the method sees it, and the truth that it does not see.

    Attributes
    ----------
    population, exposure
        Inputs of the method.
    kinds : list of str
        Kind of each family.
    names : list of str
        Name of each family.
    stages : array of int
        Stage of each family.
    causes : tuple of array of int
        For each cause, the positions of the levels that are right answers, the true one
        first.
    ratios : tuple of float
        Rate ratio of each cause.
    plant : Plant
        Where it came from.
    history : History
        Claims as they came in.
    rivals : tuple of int
        Positions of levels made to be taken for the true one.
    """

    population: Population
    exposure: ExposureMatrix
    kinds: list[str]
    names: list[str]
    stages: Ints
    causes: tuple[Ints, ...]
    ratios: tuple[float, ...]
    plant: Plant
    history: History
    rivals: tuple[int, ...] = ()


@dataclass(frozen=True)
class History:
    """First claims of all hulls with their days; infinite where there will be none.

    Attributes
    ----------
    plant : Plant
        The hulls.
    failed, reported : array of float
        Day of the first claim of each hull, and the day it was written down.
    left : array of float
        Day from which a hull is no longer followed.
    """

    plant: Plant
    failed: Floats
    reported: Floats
    left: Floats

    def seen(self, cut_off: float, allowance: float = REPORTING_DAYS) -> Population:
        """What the records say by a day, the last so many days left out."""
        delivered = self.plant.delivered
        last = np.minimum(cut_off - allowance, self.left)
        followed = np.minimum((last - delivered) / MONTH, WARRANTY)
        age = (self.failed - delivered) / MONTH
        follow = np.where(followed >= 0.0, np.floor(followed), -1).astype(np.int64)
        claimed = (age <= WARRANTY) & (age <= followed) & (self.reported <= cut_off)
        month = np.full(len(age), -1, np.int64)
        month[claimed] = np.ceil(age[claimed]).astype(np.int64)
        period = ((self.plant.day / 365.25) * 2).astype(np.int64)
        margins = {"model": self.plant.model.astype(np.int64), "build period": period}
        return Population.from_follow_up(follow, month, margins, self.plant.day)


def happen(
    rng: np.random.Generator,
    plant: Plant,
    relative: Floats,
    causes: tuple[Ints, ...] = (),
    ratios: tuple[float, ...] = (),
    *,
    baseline: Floats | None = None,
    claims: float = CLAIMS,
    lost: Floats | None = None,
    lost_of_cases: float | None = None,
) -> World:
    """Draw ages at the first claim and cut the records off.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    plant : Plant
        The hulls.
    relative : array of float
        Rate of each hull relative to the baseline.
    causes, ratios
        The truth.
    baseline : array of float, optional
        Part of ``relative`` that is not the cause; it sets the level of rates so that
        ``claims`` claims are expected from it.
    claims : float
        Expected claims without the cause.
    lost, lost_of_cases : optional
        Chance that a lot record is lost, by hull, and for hulls with a case.
    """
    usual = np.ones_like(relative) if baseline is None else baseline
    followed = np.minimum((DAYS - REPORTING_DAYS - plant.delivered) / MONTH, WARRANTY)
    scale = claims / (usual * np.maximum(followed, 0.0) ** CLAIM_SHAPE).sum()
    age = (rng.exponential(size=len(relative)) / (scale * relative)) ** (1.0 / CLAIM_SHAPE)
    failed = plant.delivered + age * MONTH
    history = History(plant, failed, failed, np.full(len(age), np.inf))
    if lost is not None:
        claimed = (age <= WARRANTY) & (age <= followed)
        lose_records(
            rng, plant, lost if lost_of_cases is None else np.where(claimed, lost_of_cases, lost)
        )
    return as_world(history, causes, ratios)


def as_world(history: History, causes: tuple[Ints, ...], ratios: tuple[float, ...]) -> World:
    """The records at the end, with the truth beside them."""
    plant = history.plant
    return World(
        history.seen(float(DAYS)),
        plant.matrix(),
        plant.kinds(),
        [q.name for q in plant.questions],
        np.array([q.stage for q in plant.questions]),
        causes,
        ratios,
        plant,
        history,
    )


def lose_records(rng: np.random.Generator, plant: Plant, chance: Floats) -> None:
    """Lose records of lots, drums and suppliers, each with the chance of its hull."""
    for question in plant.questions:
        if question.kind in ("material lot", "drum", "supplier", "component lot"):
            gone: Bools = (rng.random(len(chance)) < chance) & (question.level >= 0)
            question.level = np.where(gone, UNKNOWN, question.level)
