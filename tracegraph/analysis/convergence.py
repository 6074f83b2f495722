"""Where the histories of a cluster meet: claims, hulls, operations, suspects in layers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import networkx as nx
import pandas as pd

from tracegraph.analysis.folding import Cluster, Grouping, fold
from tracegraph.analysis.reach import walk
from tracegraph.analysis.scopes import attach_history, node_numbers, scope_graph
from tracegraph.domain.errors import DefinitionError
from tracegraph.store import Store

LAYERS: tuple[str, ...] = ("claims", "hulls", "operations", "suspects")
FEWEST_NODES = 8
"""Fewest nodes that can show anything in four layers."""


@dataclass(frozen=True, eq=False)
class Convergence:
    """A cluster in four layers, small enough to be drawn.

    Attributes
    ----------
    nodes : DataFrame
        ``node`` (str, unique), ``layer`` (0 to 3, see :data:`LAYERS`), ``position`` (from
        0, in an order with few crossings), ``label``, ``count`` (things folded into it),
        ``members`` (list of str: their names).
    edges : DataFrame
        ``source``, ``target`` (nodes of neighbouring layers), ``hulls`` (width: hulls that
        take this way on record), ``unknown`` (hulls that may, since a record is missing).
    folded : bool
        Whether any node stands for more than one thing.
    data_version : str
        Version of the records.
    """

    nodes: pd.DataFrame
    edges: pd.DataFrame
    folded: bool
    data_version: str


def convergence(
    store: Store,
    hull_ids: Sequence[int],
    level_ids: Sequence[int],
    max_nodes: int = 70,
    *,
    symptoms: Sequence[str] = (),
) -> Convergence:
    """Lay a cluster out in layers, siblings folded into counted nodes.

    Things are shown one by one while they fit. If they do not, hulls that carry the same
    suspects become one node, and their claims of one symptom another; then suspects of one
    operation that lie on the same hulls; at last the smallest groups are put together.

    Parameters
    ----------
    store : Store
        The records.
    hull_ids : sequence of int
        Numbers of the affected hulls (``hull_index``).
    level_ids : sequence of int
        Numbers of the suspects (``levels``), most important first.
    max_nodes : int, default 70
        How many nodes may be drawn.
    symptoms : sequence of str, optional
        Claims of these symptoms only; empty: of all.

    Returns
    -------
    Convergence
        Nodes and edges, at most ``max_nodes`` nodes.

    Raises
    ------
    DefinitionError
        If ``max_nodes`` is below 8.
    """
    if max_nodes < FEWEST_NODES:
        raise DefinitionError(f"max_nodes must be {FEWEST_NODES} or more; got {max_nodes}.")
    cluster = _read(store, hull_ids, level_ids, symptoms)
    nodes, edges = _drawn(cluster, fold(cluster, max_nodes))
    return Convergence(
        nodes=_placed(nodes, edges),
        edges=edges,
        folded=bool((nodes["count"] > 1).any()),
        data_version=store.version,
    )


def cluster_graph(store: Store, hull_ids: Sequence[int]) -> nx.DiGraph[str]:
    """Typed graph of a cluster: its claims, its hulls, and all that went into them.

    Parameters
    ----------
    store : Store
        The records.
    hull_ids : sequence of int
        Numbers of the hulls (``hull_index``).

    Returns
    -------
    networkx.DiGraph
        With readings and checks attached; see :func:`~tracegraph.analysis.tracing.trace`.
    """
    with store.session() as session:
        hulls = session.frame("trace/cluster_hulls", {"hull_ids": list(hull_ids)})
        numbers = node_numbers(session, "hull", hulls["hull_serial"].tolist())
        up, down = walk(session, numbers, "upstream"), walk(session, numbers, "downstream")
        graph, names = scope_graph(session, {*up.distance, *down.distance}, up.edges + down.edges)
        attach_history(session, graph, [names[number] for number in up.distance])
    return graph


def _read(
    store: Store, hull_ids: Sequence[int], level_ids: Sequence[int], symptoms: Sequence[str]
) -> Cluster:
    asked = {
        "hull_ids": list(hull_ids),
        "level_ids": list(level_ids),
        "symptoms": [symptom.casefold() for symptom in symptoms],
    }
    with store.session() as session:
        hulls = session.frame("trace/cluster_hulls", asked)
        claims = session.frame("trace/cluster_claims", asked)
        suspects = session.frame("trace/cluster_suspects", asked).set_index("level_id")
        exposure = session.frame("trace/cluster_exposure", asked)
    serials = dict(zip(hulls["hull_id"].tolist(), hulls["hull_serial"].tolist(), strict=True))
    sets: dict[bool, dict[int, set[int]]] = {True: defaultdict(set), False: defaultdict(set)}
    for hull, level, recorded in exposure.itertuples(index=False):
        sets[bool(recorded)][hull].add(level)
    named = {}
    for level_id in dict.fromkeys(level_ids):
        if level_id in suspects.index:
            row = suspects.loc[level_id]
            thing = str(row["family"]).rsplit(": ", 1)[-1]
            operation = f"{row['part']}: {row['step']}" if row["step"] else str(row["part"])
            named[level_id] = (f"{thing} {row['level']}", operation)
    return Cluster(
        hulls=serials,
        claims={
            claim: (str(key), str(symptom), hull)
            for claim, key, symptom, hull in claims.itertuples(index=False)
        },
        suspects=named,
        recorded={hull: frozenset(sets[True][hull]) for hull in serials},
        unknown={hull: frozenset(sets[False][hull]) for hull in serials},
    )


def _drawn(cluster: Cluster, grouping: Grouping) -> tuple[pd.DataFrame, pd.DataFrame]:
    nodes: list[tuple[str, int, str, int, list[str]]] = []

    def add(layer: int, groups: Mapping[Any, Hashable], names: Mapping[Any, str]) -> dict[Any, str]:
        members: dict[Hashable, list[Any]] = defaultdict(list)
        for thing, group in groups.items():
            members[group].append(thing)
        node_of = {}
        for number, things in enumerate(members.values()):
            node = f"{LAYERS[layer]}:{number}"
            node_of.update(dict.fromkeys(things, node))
            told = [names[thing] for thing in things]
            symptoms = {cluster.claims[thing][1] for thing in things} if layer == 0 else set()
            nodes.append((node, layer, _label(layer, told, symptoms), len(told), told))
        return node_of

    claims = add(0, grouping.claims, {c: f"{n} {s}" for c, (n, s, _) in cluster.claims.items()})
    hulls = add(1, grouping.hulls, cluster.hulls)
    operations = add(2, grouping.operations, {name: name for name in grouping.operations})
    suspects = add(3, grouping.suspects, {s: n for s, (n, _) in cluster.suspects.items()})
    ways: dict[tuple[str, str], tuple[set[int], set[int]]] = defaultdict(lambda: (set(), set()))
    for claim, (_, _, hull) in cluster.claims.items():
        ways[claims[claim], hulls[hull]][0].add(hull)
    for hull in cluster.hulls:
        for carried, place in ((cluster.recorded[hull], 0), (cluster.unknown[hull], 1)):
            for suspect in carried:
                operation = operations[cluster.suspects[suspect][1]]
                ways[hulls[hull], operation][place].add(hull)
                ways[operation, suspects[suspect]][place].add(hull)
    rows = [(*ends, len(sure), len(maybe - sure)) for ends, (sure, maybe) in sorted(ways.items())]
    return (
        pd.DataFrame(nodes, columns=["node", "layer", "label", "count", "members"]),
        pd.DataFrame(rows, columns=["source", "target", "hulls", "unknown"]),
    )


def _label(layer: int, names: list[str], symptoms: set[str]) -> str:
    if len(names) == 1:
        return names[0]
    if layer == 0:
        return f"{len(names)} claim lines" + (f": {symptoms.pop()}" if len(symptoms) == 1 else "")
    return f"{len(names)} {LAYERS[layer]}"


def _placed(nodes: pd.DataFrame, edges: pd.DataFrame) -> pd.DataFrame:
    """Give each node a place in its layer: two passes each way by the mean of neighbours."""
    layers = [nodes.loc[nodes["layer"] == n, "node"].tolist() for n in range(len(LAYERS))]
    place = {node: float(n) for layer in layers for n, node in enumerate(layer)}
    left: dict[str, list[tuple[str, int]]] = defaultdict(list)
    right: dict[str, list[tuple[str, int]]] = defaultdict(list)
    for source, target, sure, maybe in edges.itertuples(index=False):
        left[target].append((source, sure + maybe))
        right[source].append((target, sure + maybe))
    for sweep, near in ((layers, left), (layers[::-1], right)) * 2:
        for layer in sweep:
            mean = {
                node: sum(place[other] * pull for other, pull in near[node])
                / sum(pull for _, pull in near[node])
                for node in layer
                if near[node]
            }
            layer.sort(key=(place | mean).__getitem__)
            place.update({node: float(n) for n, node in enumerate(layer)})
    placed = nodes.assign(position=nodes["node"].map(place).astype("int64"))
    placed = placed.sort_values(["layer", "position"], ignore_index=True)
    return placed[["node", "layer", "position", "label", "count", "members"]]
