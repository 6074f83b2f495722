"""Rows of hulls in building order with planted claims, as arrays."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tracegraph.analysis.timing.folds import WEEKDAYS
from tracegraph.analysis.timing.followed import Followed
from tracegraph.analysis.timing.shapes import Fold
from tracegraph.stats.arrays import Floats

LONGEST = 36


def row_of_hulls(
    rng: np.random.Generator,
    rate: Callable[[Floats], Floats] | Floats,
    *,
    hulls: int = 600,
    claims: float = 40.0,
) -> tuple[Followed, Floats]:
    """Hulls in a row with about so many claims, and their places as times.

    The last were followed for seven months, the first for three years. ``rate`` gives the
    relative rate at x from 0 to 1 along the row, or of each hull.
    """
    x = (np.arange(hulls) + 0.5) / hulls
    follow = np.clip(((1.15 - x) * 48).astype(np.int64), 0, LONGEST)
    relative = (rate(x) if callable(rate) else rate) * follow
    chance = -np.expm1(-claims * relative / relative.sum())
    claimed = rng.random(hulls) < chance
    month = np.where(claimed, rng.integers(1, follow + 1), -1)
    margins = {"model": np.zeros(hulls, np.int64)}
    return Followed.of(follow, month, margins), np.arange(hulls, dtype=np.float64)


def working_week(hulls: int, per_day: int = 2) -> Fold:
    """Weekday of each hull when so many are built on each of five days a week."""
    day = np.arange(hulls) // per_day
    return Fold("weekday", WEEKDAYS, day % 5, day // 5, True)
