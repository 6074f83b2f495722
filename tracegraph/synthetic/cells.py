"""Days, times and numbers as the text of a cell, for many values at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tracegraph.synthetic.hulls import NEVER
from tracegraph.synthetic.stock import Texts
from tracegraph.synthetic.workdays import MINUTES_A_DAY, Minutes


def day_text(days: NDArray[np.int64], style: str = "%Y-%m-%d") -> Texts:
    """Days since 1970-01-01 as text; blank where ``NEVER``."""
    values, which = np.unique(days, return_inverse=True)
    words = [
        "" if v == NEVER else np.datetime64(int(v), "D").item().strftime(style)
        for v in values.tolist()
    ]
    text: Texts = np.array(words, dtype=object)[which]
    return text


def time_text(time: Minutes, style: str = "%Y-%m-%d") -> Texts:
    """Clock minutes as day and hh:mm."""
    of_day = np.array([f" {m // 60:02d}:{m % 60:02d}" for m in range(MINUTES_A_DAY)], dtype=object)
    text: Texts = day_text(time // MINUTES_A_DAY, style) + of_day[time % MINUTES_A_DAY]
    return text


def number_text(values: NDArray[np.float64], digits: int) -> Texts:
    """Numbers with a fixed count of decimals; blank where not a number."""
    scaled = np.where(np.isnan(values), NEVER, np.round(values * 10**digits)).astype(np.int64)
    distinct, which = np.unique(scaled, return_inverse=True)
    words = ["" if v == NEVER else f"{v / 10**digits:.{digits}f}" for v in distinct.tolist()]
    text: Texts = np.array(words, dtype=object)[which]
    return text
