"""Look for all shapes in one row of hulls, and resample what chance makes of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.timing.followed import Followed
from tracegraph.analysis.timing.reading import FEW, NONE, Evidence, read
from tracegraph.analysis.timing.scan import (
    FEWEST_CASES,
    NARROW_DROP,
    WIDE_DROP,
    Chance,
    Line,
    NullGains,
    Scan,
    Stretch,
)
from tracegraph.analysis.timing.shapes import Comb, Fold, Ramp, RampFit, Tooth
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.resampling import max_statistic_p, min_p_single_step

MARGINS = ("model",)
"""Differences allowed for. Not the build period: it would swallow an onset."""


@dataclass(frozen=True, eq=False)
class Look:
    """What was found along one row.

    Parameters
    ----------
    line : Line
        The row.
    expected : array of float, shape (h,)
        Claims expected of each hull.
    taking_part : array of bool, shape (h,)
        Hulls at risk that have a place in the row.
    cases : array of int, shape (c,)
        Hulls with a case, in the order of the row.
    stretch, step : Stretch or None
        The best stretch, and the best that reaches to the end; None with fewer than three
        cases or without any excess.
    ramp : RampFit or None
        The best ramp.
    teeth : dict of str to Tooth
        The best tooth of each fold.
    chances : dict of str to Chance
        For ``stretch``, ``step``, ``ramp`` and the name of each fold.
    limits : dict of float to ((int, int), (int, int))
        For each drop in log-likelihood the first and last place at which the stretch may
        start, and may end.
    p_any : float
        Chance that any shape is as unlikely when nothing happened.
    code : str
        Reading, a key of :data:`tracegraph.analysis.timing.reading.MEANINGS`.
    """

    line: Line
    expected: Floats
    taking_part: Bools
    cases: Ints
    stretch: Stretch | None
    step: Stretch | None
    ramp: RampFit | None
    teeth: dict[str, Tooth]
    chances: dict[str, Chance]
    limits: dict[float, tuple[tuple[int, int], tuple[int, int]]]
    p_any: float
    code: str


def look(
    hulls: Followed,
    when: Floats,
    *,
    folds: Sequence[Fold] = (),
    margins: tuple[str, ...] = MARGINS,
    resamples: int,
    seed: int,
) -> Look:
    """Look along a row for stretches, ramps and combs of claims.

    Parameters
    ----------
    hulls : Followed
        The hulls.
    when : array of float, shape (h,)
        Time by which they stand in the row; nan: not in the row.
    folds : sequence of Fold
        Cycles to lay the row over.
    margins : tuple of str
        Differences that the baseline allows for.
    resamples : int
        How often chance is tried.
    seed : int
        Same seed, same result.

    Returns
    -------
    Look
        Hulls without a time take no part, neither as cases nor at risk.
    """
    part = hulls.among(np.isfinite(when))
    weight = part.weights(margins)
    expected = part.expected(weight)
    line = Line.of(np.where(part.at_risk, when, np.nan), expected)
    cases = part.cases[np.argsort(line.place[part.cases], kind="stable")]
    places = line.place[cases]
    if len(cases) < FEWEST_CASES:
        return Look(line, expected, part.at_risk, cases, None, None, None, {}, {}, {}, 1.0, FEW)
    scan, ramp = Scan(line, len(cases)), Ramp(line)
    combs = {fold.name: Comb(fold, expected) for fold in folds}
    drawn = part.draw(weight, resamples, np.random.default_rng(seed))
    rows = np.sort(line.place[drawn], axis=1)
    stretches, steps = scan.largest(rows)
    null = {"stretch": stretches, "step": steps, "ramp": ramp.gains(rows)}
    null |= {name: comb.gains(drawn) for name, comb in combs.items()}
    stretch, step, slope = scan.best(places), scan.best_step(places), ramp.best(places)
    teeth = {name: comb.best(cases) for name, comb in combs.items()}
    gained = {
        "stretch": stretch.gain if stretch else 0.0,
        "step": step.gain if step else 0.0,
        "ramp": slope.gain,
    } | {name: tooth.gain for name, tooth in teeth.items()}
    chances = {name: NullGains(gains).chance(gained[name]) for name, gains in null.items()}
    looks = [name for name in null if name != "step"]  # a step is a stretch
    p_any = _any(gained, null, looks)
    limits = {}
    code = NONE
    if stretch is not None:
        limits = {drop: scan.limits(places, stretch, drop) for drop in (NARROW_DROP, WIDE_DROP)}
        code = read(_evidence(stretch, limits[WIDE_DROP], line, slope, teeth, chances, p_any))
    return Look(
        line,
        expected,
        part.at_risk,
        cases,
        stretch,
        step,
        slope,
        teeth,
        chances,
        limits,
        p_any,
        code,
    )


def _any(gained: dict[str, float], null: dict[str, Floats], looks: list[str]) -> float:
    """Chance that the least likely of several shapes is as unlikely, on the same resamples.

    What was observed is ranked as one more resample, for each shape and for the least.
    """
    pools = [np.concatenate([[gained[name]], null[name]]) for name in looks]
    ranks = np.array([max_statistic_p(pool, pool, enumerated=True) for pool in pools])
    least = ranks.min(axis=0)
    return float(min_p_single_step(least[:1], least, enumerated=True)[0])


def _evidence(
    stretch: Stretch,
    limits: tuple[tuple[int, int], tuple[int, int]],
    line: Line,
    slope: RampFit,
    teeth: dict[str, Tooth],
    chances: dict[str, Chance],
    p_any: float,
) -> Evidence:
    name = min(teeth, key=lambda n: (chances[n].p_value, chances[n].p_gumbel), default=None)
    return Evidence(
        stretch=stretch,
        of_stretch=chances["stretch"],
        reaches_start=limits[0][0] == 0,
        reaches_end=limits[1][1] == line.places - 1,
        ramp=slope,
        of_ramp=chances["ramp"],
        tooth=None if name is None else teeth[name],
        of_tooth=Chance(1.0, 1.0) if name is None else chances[name],
        p_any=p_any,
    )
