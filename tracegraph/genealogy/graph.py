"""The typed graph of a scope, and the walks over it.

An edge points upstream, from what came later to what it came from. No walk here calls
itself or lists paths, so a long chain of rework and a tall stack of blends cost what
their nodes and edges cost.
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass
from typing import Any, Literal

import networkx as nx
import pandas as pd

Direction = Literal["upstream", "downstream"]

NODE_KINDS: tuple[str, ...] = (
    "claim",
    "hull",
    "part",
    "component",
    "operation",
    "inspection",
    "condition",
    "drum",
    "lot",
    "mold",
    "equipment",
    "station",
    "supplier",
    "operator",
    "crew",
)
"""Kinds of nodes in the order of display: claims first, people last."""

MATERIAL_KINDS: frozenset[str] = frozenset({"lot", "drum"})
"""Kinds between which shares are passed on."""


@dataclass(frozen=True)
class Loop:
    """Things that are each upstream of themselves.

    Attributes
    ----------
    members : tuple of str
        All nodes that lie on loops with one another, sorted.
    walk : tuple of str
        One shortest way round from the first member; it ends where it began.
    """

    members: tuple[str, ...]
    walk: tuple[str, ...]


def node_id(kind: str, key: str) -> str:
    """Identity of a node within any graph.

    Examples
    --------
    >>> node_id("lot", "gelcoat|G-2417")
    'lot:gelcoat|G-2417'
    """
    return f"{kind}:{key}"


def build_graph(nodes: pd.DataFrame, edges: pd.DataFrame) -> nx.DiGraph[str]:
    """Typed graph from frames of nodes and edges.

    Parameters
    ----------
    nodes : DataFrame
        ``node_id`` (int), ``kind``, ``key``, ``label``. Further columns become attributes
        where they hold a value.
    edges : DataFrame
        ``node_id``, ``upstream_id`` (int), ``relation``, ``share`` (null where nothing was
        blended). An edge of which one end is not among the nodes is outside of the scope
        and left out. Two entries for the same pair count as two additions to a blend:
        their shares add up.

    Returns
    -------
    networkx.DiGraph
        Nodes are named by :func:`node_id`; each has ``kind``, ``key`` and ``label``; each
        edge has ``relation`` and, within a blend, ``share``.
    """
    graph: nx.DiGraph[str] = nx.DiGraph()
    names: dict[int, str] = {}
    for row in nodes.to_dict("records"):
        name = node_id(row["kind"], row["key"])
        names[int(row.pop("node_id"))] = name
        graph.add_node(name, **{str(k): v for k, v in row.items() if not _missing(v)})
    for later, earlier, relation, share in edges[
        ["node_id", "upstream_id", "relation", "share"]
    ].itertuples(index=False):
        source, target = names.get(int(later)), names.get(int(earlier))
        if source is None or target is None:
            continue
        if not graph.has_edge(source, target):
            graph.add_edge(source, target, relation=str(relation))
        if not _missing(share):
            data = graph.edges[source, target]
            data["share"] = data.get("share", 0.0) + float(share)
    return graph


def upstream(graph: nx.DiGraph[str], start: str, depth: int | None = None) -> dict[str, int]:
    """All that a thing came from, with the number of steps to it.

    Parameters
    ----------
    graph : networkx.DiGraph
        From :func:`build_graph`.
    start : str
        A node of the graph.
    depth : int, optional
        Steps after which the walk ends; None: no limit.

    Returns
    -------
    dict of str to int
        Fewest steps to each node but ``start``, nearest first.

    Raises
    ------
    KeyError
        If ``start`` is not in the graph.

    Examples
    --------
    >>> graph = nx.DiGraph([("hull", "part"), ("part", "lot"), ("lot", "lot")])
    >>> upstream(graph, "hull")
    {'part': 1, 'lot': 2}
    """
    return _walk(graph.succ, start, depth)


def downstream(graph: nx.DiGraph[str], start: str, depth: int | None = None) -> dict[str, int]:
    """All that came from a thing, with the number of steps; see :func:`upstream`.

    Examples
    --------
    >>> downstream(nx.DiGraph([("hull", "part"), ("part", "lot")]), "lot")
    {'part': 1, 'hull': 2}
    """
    return _walk(graph.pred, start, depth)


def loops(graph: nx.DiGraph[str]) -> list[Loop]:
    """Every set of things that lead back to themselves, with one way round each.

    Parameters
    ----------
    graph : networkx.DiGraph
        Any directed graph.

    Returns
    -------
    list of Loop
        Sorted by first member; empty when nothing leads back to itself.

    Examples
    --------
    >>> loops(nx.DiGraph([("a", "b"), ("b", "a"), ("b", "c"), ("c", "c")]))
    [Loop(members=('a', 'b'), walk=('a', 'b', 'a')), Loop(members=('c',), walk=('c', 'c'))]
    """
    found = []
    for component in nx.strongly_connected_components(graph):
        if len(component) > 1 or any(graph.has_edge(node, node) for node in component):
            members = tuple(sorted(component))
            found.append(Loop(members, _way_round(graph, component, members[0])))
    return sorted(found, key=lambda loop: loop.members)


def shares(
    graph: nx.DiGraph[str], start: str, direction: Direction = "upstream"
) -> dict[str, float]:
    """Shares multiplied along blends and added up over all ways.

    Only lots and drums take part; a drum is all of its lot. The sum over ways is taken in
    topological order of the loops-folded graph, so a stack of blends is linear work
    although its ways double with each storey.

    Parameters
    ----------
    graph : networkx.DiGraph
        From :func:`build_graph`.
    start : str
        A lot or a drum.
    direction : {"upstream", "downstream"}
        ``"upstream"``: how much of ``start`` is each earlier lot. ``"downstream"``: how
        much of each later lot or drum is ``start``.

    Returns
    -------
    dict of str to float
        Share of each node reached but ``start``, usually within 0 to 1 (more when the
        records say more). NaN where a loop makes the share undetermined.

    Raises
    ------
    KeyError
        If ``start`` is not in the graph.

    Examples
    --------
    >>> blend = nx.DiGraph()
    >>> blend.add_nodes_from("TABC", kind="lot")
    >>> blend.add_edge("T", "A", share=0.5)
    >>> blend.add_edge("T", "B", share=0.5)
    >>> blend.add_edge("A", "C", share=0.4)
    >>> blend.add_edge("B", "C", share=0.6)
    >>> shares(blend, "T")
    {'A': 0.5, 'B': 0.5, 'C': 0.5}
    """
    if start not in graph:
        raise KeyError(start)
    material = graph.subgraph(
        [node for node in graph if graph.nodes[node].get("kind") in MATERIAL_KINDS]
    )
    if start not in material:
        return {}
    oriented = material if direction == "upstream" else material.reverse(copy=False)
    reached = oriented.subgraph([start, *_walk(oriented.succ, start, None)])
    folded = nx.condensation(reached)
    share = dict.fromkeys(reached, 0.0) | {start: 1.0}
    for component in nx.topological_sort(folded):
        members = folded.nodes[component]["members"]
        if len(members) > 1 or any(reached.has_edge(node, node) for node in members):
            share.update(dict.fromkeys(members, math.nan))
        for node in members:
            for later, data in reached.succ[node].items():
                if later not in members:
                    share[later] += share[node] * data.get("share", 1.0)
    del share[start]
    return share


def _walk(steps: Any, start: str, depth: int | None) -> dict[str, int]:
    distance = {start: 0}
    waiting = deque([start])
    while waiting:
        node = waiting.popleft()
        if depth is not None and distance[node] >= depth:
            break
        for further in steps[node]:
            if further not in distance:
                distance[further] = distance[node] + 1
                waiting.append(further)
    del distance[start]
    return distance


def _way_round(graph: nx.DiGraph[str], component: set[str], start: str) -> tuple[str, ...]:
    came_from: dict[str, str] = {}
    waiting = deque([start])
    while start not in came_from:
        node = waiting.popleft()
        for further in sorted(graph.succ[node]):
            if further in component and further not in came_from:
                came_from[further] = node
                waiting.append(further)
    back = [came_from[start]]
    while back[-1] != start:
        back.append(came_from[back[-1]])
    return (*reversed(back), start)


def _missing(value: Any) -> bool:
    return value is None or value is pd.NaT or value is pd.NA or value != value
