"""Share of false alarms to expect among the suspects named, one count per alias group.

A thin level can reach few p-values only; counting what each can reach at most makes the
rate honest without paying for levels that could never be named.
"""

from __future__ import annotations

import numpy as np
from scipy.special import pdtrc

from tracegraph.analysis.matched.risk import Screen
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.multiplicity import able_to_signal

_BINS = 128
_MOST = 200


def discovery_rates(
    p_values: Floats, group: Ints, screen: Screen, takes_part: Bools, cases: int
) -> Floats:
    """Adjust the p-values of suspects for the number of levels looked at.

    Parameters
    ----------
    p_values : array of float, shape (n,)
        Exact one-sided p of the compared suspects.
    group : array of int, shape (n,)
        Alias group of each; a group counts once, by its smallest p times its size.
    screen : Screen
        Counts of every level.
    takes_part : array of bool, shape (l,)
        Levels of families that take part.
    cases : int
        Number of cases.

    Returns
    -------
    array of float, shape (n,)
        Expected share of false alarms if a suspect and all with smaller p are named.
        Levels that could not be significant however their claims fell are not counted;
        what the others can reach follows Poisson's law.

    References
    ----------
    .. [1] J. F. Heyse, in Recent Advances in Biostatistics, 2011 (discrete step-up; from
       memory).
    .. [2] R. E. Tarone, Biometrics 46:515-522, 1990.
    """
    if not len(p_values):
        return np.zeros(0)
    most = np.minimum(screen.exposed, cases)
    rows = np.flatnonzero(takes_part & (screen.expected > 0.0) & (most > 0))
    smallest = pdtrc(most[rows] - 1, screen.expected[rows])
    able = rows[able_to_signal(smallest)]
    groups, size = np.unique(group, return_counts=True)
    best = np.full(int(groups.max()) + 1, np.inf)
    np.minimum.at(best, group, p_values)
    joint = np.minimum(1.0, best[groups] * size)
    order = np.argsort(joint, kind="stable")
    reach = _reachable(joint[order], screen.expected[able], most[able])
    rate = np.minimum(1.0, reach / np.arange(1, len(order) + 1))
    rate = np.minimum.accumulate(rate[::-1])[::-1]
    of_group = np.empty(len(best))
    of_group[groups[order]] = np.maximum(rate, joint[order])
    result: Floats = of_group[group]
    return result


def _reachable(limits: Floats, expected: Floats, most: Ints) -> Floats:
    """Sum over levels of the largest p-value each can reach within every limit."""
    if not len(expected):
        return np.zeros(len(limits))
    edges = np.geomspace(expected.min(), expected.max() * (1 + 1e-9), _BINS)
    place = np.minimum(np.searchsorted(edges, expected), _BINS - 1)
    cells, count = np.unique(place * (_MOST + 1) + np.minimum(most, _MOST), return_counts=True)
    mean, cap = edges[cells // (_MOST + 1)], cells % (_MOST + 1)
    observed = np.arange(1, _MOST + 1)
    tail = pdtrc(observed - 1, mean[:, None])
    tail[observed > cap[:, None]] = np.inf
    total = np.empty(len(limits))
    for number, limit in enumerate(limits):
        total[number] = float((count * np.where(tail <= limit, tail, 0.0).max(axis=1)).sum())
    return total
