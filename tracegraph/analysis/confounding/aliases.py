"""Levels that the records cannot tell apart, because nearly the same hulls carry them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.cluster.hierarchy import fcluster, linkage
from scipy.sparse import csr_array
from scipy.spatial.distance import squareform

from tracegraph.analysis.matched.risk import RiskSets
from tracegraph.stats.arrays import Bools, Floats, Ints

NEAR = 0.90
"""Share of hulls in common from which two levels count as one suspect."""

OVERLAP = 0.50
"""Share in common from which two levels are said to overlap."""

COMPARED = 200
"""Suspects compared with each other, by score."""

_EQUAL_CHANCES = 0.1


@dataclass(frozen=True, eq=False)
class Aliases:
    """Which of some levels stand for each other.

    Parameters
    ----------
    levels : array of int, shape (n,)
        Positions of the levels, best first.
    shared : array of int, shape (n, n)
        Hulls at risk that carry both.
    jaccard : array of float, shape (n, n)
        Hulls that carry both, of those that carry either.
    group : array of int, shape (n,)
        Number of the alias group of each, from 0 in the order of the levels; any two of
        one group are near.
    """

    levels: Ints
    shared: Ints
    jaccard: Floats
    group: Ints

    def members(self, place: int) -> Ints:
        """Places of all members of the group of one level, itself included."""
        return np.flatnonzero(self.group == self.group[place])

    def overlapping(self, place: int) -> Ints:
        """Places of levels outside the group that share hulls with one level."""
        return np.flatnonzero((self.shared[place] > 0) & (self.group != self.group[place]))


def alias_groups(sets: RiskSets, levels: Ints, chance: Floats, cases: Floats) -> Aliases:
    """Group levels that nearly the same hulls carry.

    Parameters
    ----------
    sets : RiskSets
        The risk sets.
    levels : array of int, shape (n,)
        Positions of levels, best first.
    chance, cases : array of float, shape (n, m)
        Chances and numbers of the cases of each level, by month.

    Returns
    -------
    Aliases
        Groups by complete linkage at :data:`NEAR`: a chain of weekly lots does not grow
        into a year. Two levels with the same exposed cases and nearly equal chances in
        all risk sets count as near too.
    """
    carried = _incidence(sets, levels, sets.population.at_risk)
    shared = (carried @ carried.T).toarray().astype(np.int64)
    size = np.diag(shared)
    either = size[:, None] + size[None, :] - shared
    jaccard = np.where(either > 0, shared / np.maximum(either, 1), 0.0)
    near = jaccard.copy()
    near[_same_cases(sets, levels) & _equal_chances(chance, cases)] = 1.0
    if len(levels) < 2:
        return Aliases(levels, shared, jaccard, np.zeros(len(levels), np.int64))
    tree = linkage(squareform(1.0 - near, checks=False), method="complete")
    label = fcluster(tree, 1.0 - NEAR + 1e-9, criterion="distance")
    _, first, place = np.unique(label, return_index=True, return_inverse=True)
    order = np.argsort(np.argsort(first))
    return Aliases(levels, shared, jaccard, order[place].astype(np.int64))


def _incidence(sets: RiskSets, levels: Ints, hulls: Bools) -> csr_array:
    place, hull = sets.exposure.entries(levels)
    keep = hulls[hull]
    ones = np.ones(int(keep.sum()), np.int32)
    return csr_array((ones, (place[keep], hull[keep])), shape=(len(levels), len(hulls)))


def _same_cases(sets: RiskSets, levels: Ints) -> Bools:
    carried = _incidence(sets, levels, sets.population.case)
    shared = (carried @ carried.T).toarray()
    size = np.diag(shared)
    same: Bools = (shared == size[:, None]) & (shared == size[None, :]) & (shared > 0)
    return same


def _equal_chances(chance: Floats, cases: Floats) -> Bools:
    """Where the chances of all cases together differ by little."""
    expected = (chance * cases).sum(axis=1)
    largest = np.maximum(expected[:, None], expected[None, :])
    apart = np.zeros(largest.shape)
    for month in range(chance.shape[1]):
        number = np.maximum(cases[:, None, month], cases[None, :, month])
        apart += number * np.abs(chance[:, None, month] - chance[None, :, month])
    result: Bools = apart <= _EQUAL_CHANCES * largest
    return result
