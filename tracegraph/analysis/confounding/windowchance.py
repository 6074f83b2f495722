"""How often a mere bad spell would make some level look more specific than its window.

The best build window is taken as the truth. Cases are drawn with its raised rate, the
whole search is repeated, and the margin of the winner over the best window is noted.
"""

from __future__ import annotations

import numpy as np

from tracegraph.analysis.confounding.folding import with_margin
from tracegraph.analysis.confounding.windows import Windows, window_matrix
from tracegraph.analysis.matched.familywise import draw_cases, leaders, price
from tracegraph.analysis.matched.offsets import RiskGroups, fit_offsets
from tracegraph.analysis.matched.risk import RiskSets
from tracegraph.analysis.matched.search import Search
from tracegraph.stats.arrays import Bools, Floats

WINDOW = "build window"


def window_chance(
    found: Search,
    windows: Windows,
    margins: tuple[str, ...],
    day: Floats,
    known: Bools,
    margin: float,
    *,
    resamples: int,
    seed: int,
) -> float:
    """Chance of so large a margin when the best window is the cause.

    Parameters
    ----------
    found : Search
        The search whose leader is asked about.
    windows : Windows
        Build windows, best first.
    margins : tuple of str
        Differences that the baseline allows for.
    day : array of float, shape (h,)
        Day of the work on each hull.
    known : array of bool, shape (h,)
        Hulls that take part in the windows.
    margin : float
        Observed margin of the leader over the best window.
    resamples : int
        How often to draw.
    seed : int
        Same seed, same result.

    Returns
    -------
    float
        At least ``1 / (resamples + 1)``; 1 without any window.
    """
    if not len(windows.log_factor):
        return 1.0
    sets = found.sets
    inside = (day >= windows.first_day[0]) & (day < windows.last_day[0])
    raised = with_margin(sets.population, WINDOW, inside, ~np.isfinite(day))
    groups = RiskGroups.of(raised, (*margins, WINDOW))
    weight = fit_offsets(groups).weight[groups.group]
    drawn = draw_cases(raised, weight, resamples, np.random.default_rng(seed))
    first = leaders(sets, found.baseline, found.screen, price(found.rivals), drawn)
    matrix = window_matrix(day, known)[0]
    rival = RiskSets(sets.population, matrix, sets.groups)
    screen = rival.screen(found.baseline.weight)
    free = np.zeros(matrix.levels)
    second = leaders(rival, found.baseline, screen, free, drawn, fewest=1)
    hits = int((first.log_factor - second.log_factor >= margin).sum())
    return (1.0 + hits) / (resamples + 1.0)
