"""Fold the things of a cluster into few enough groups to be drawn."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

Thing = TypeVar("Thing", bound=Hashable)

REST = "rest"
"""The group of all that is too small for a group of its own."""


@dataclass(frozen=True)
class Cluster:
    """Hulls, their claims, and the suspects that they carry.

    Attributes
    ----------
    hulls : dict of int to str
        Serial of each hull.
    claims : dict of int to tuple
        Name, symptom and hull of each claim line.
    suspects : dict of int to tuple
        Name and operation of each suspect, most important first.
    recorded : dict of int to frozenset of int
        Suspects that each hull carries.
    unknown : dict of int to frozenset of int
        Suspects that it may carry, since a record is missing.
    """

    hulls: dict[int, str]
    claims: dict[int, tuple[str, str, int]]
    suspects: dict[int, tuple[str, str]]
    recorded: dict[int, frozenset[int]]
    unknown: dict[int, frozenset[int]]

    def carriers(self, suspect: int) -> frozenset[int]:
        """Hulls that carry a suspect."""
        return frozenset(hull for hull in self.hulls if suspect in self.recorded[hull])


@dataclass(frozen=True)
class Grouping:
    """The group of each claim, hull, operation and suspect; equal groups are one node."""

    claims: Mapping[int, Hashable]
    hulls: Mapping[int, Hashable]
    operations: Mapping[str, Hashable]
    suspects: Mapping[int, Hashable]

    def size(self) -> int:
        """Number of nodes."""
        layers = (self.claims, self.hulls, self.operations, self.suspects)
        return sum(len(set(layer.values())) for layer in layers)


def fold(cluster: Cluster, max_nodes: int) -> Grouping:
    """The finest grouping that fits.

    Parameters
    ----------
    cluster : Cluster
        What is to be drawn.
    max_nodes : int
        How many nodes may be drawn; at least 8.

    Returns
    -------
    Grouping
        One by one, if that fits. Else hulls with the same suspects together, and their
        claims of one symptom; then suspects of one operation on the same hulls; then all
        claims of a group of hulls; at last the smallest groups of each layer.
    """
    groupings = list(_rising(cluster))
    for grouping in groupings:
        if grouping.size() <= max_nodes:
            return grouping
    coarse = groupings[-1]
    limit = max_nodes // 4
    hulls = _few(coarse.hulls, limit, dict.fromkeys(cluster.hulls, 1))
    weight = {suspect: len(cluster.carriers(suspect)) for suspect in cluster.suspects}
    by_operation: Counter[str] = Counter()
    for suspect, (_, operation) in cluster.suspects.items():
        by_operation[operation] += weight[suspect]
    return Grouping(
        claims=_by_hulls(cluster, hulls),
        hulls=hulls,
        operations=_few(coarse.operations, limit, by_operation),
        suspects=_few(coarse.suspects, limit, weight),
    )


def _rising(cluster: Cluster) -> Iterator[Grouping]:
    operations = {operation: operation for _, operation in cluster.suspects.values()}
    single = Grouping(
        claims={claim: claim for claim in cluster.claims},
        hulls={hull: hull for hull in cluster.hulls},
        operations=operations,
        suspects={suspect: suspect for suspect in cluster.suspects},
    )
    yield single
    alike = {hull: (cluster.recorded[hull], cluster.unknown[hull]) for hull in cluster.hulls}
    by_symptom = {
        claim: (symptom, alike[hull]) for claim, (_, symptom, hull) in cluster.claims.items()
    }
    yield (folded := replace(single, claims=by_symptom, hulls=alike))
    together = {
        suspect: (operation, cluster.carriers(suspect))
        for suspect, (_, operation) in cluster.suspects.items()
    }
    yield (folded := replace(folded, suspects=together))
    yield replace(folded, claims=_by_hulls(cluster, alike))


def _by_hulls(cluster: Cluster, hulls: Mapping[int, Hashable]) -> dict[int, Hashable]:
    return {claim: hulls[hull] for claim, (_, _, hull) in cluster.claims.items()}


def _few(
    groups: Mapping[Thing, Hashable], limit: int, weight: Mapping[Thing, int]
) -> dict[Thing, Hashable]:
    sizes: Counter[Hashable] = Counter()
    for thing, group in groups.items():
        sizes[group] += weight[thing]
    if len(sizes) <= limit:
        return dict(groups)
    # Among equals, most_common keeps the order in which they came.
    kept = {group for group, _ in sizes.most_common(limit - 1)}
    return {thing: group if group in kept else REST for thing, group in groups.items()}
