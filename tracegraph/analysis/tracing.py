"""The genealogy of one claim, hull, part, lot or mold: what went into it, what came of it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Literal

import networkx as nx
import pandas as pd

from tracegraph.analysis.identifiers import find
from tracegraph.analysis.reach import NOWHERE, walk
from tracegraph.analysis.scopes import attach_history, node_numbers, scope_graph
from tracegraph.domain.errors import DefinitionError
from tracegraph.genealogy import NODE_KINDS, Loop, loops, shares
from tracegraph.store import Store


@dataclass(frozen=True, eq=False)
class Trace:
    """A genealogy and what was asked.

    Attributes
    ----------
    asked : str
        The number as typed.
    start : str
        The node it names; of a claim with several lines, the first.
    starts : tuple of str
        All nodes it names.
    direction : {"up", "down", "both"}
        Which way was walked.
    depth : int or None
        Steps after which the walk ended.
    graph : networkx.DiGraph
        Typed graph; edges point upstream.
    counts : DataFrame
        ``kind``, ``upstream``, ``downstream`` (int): things reached either way, in the
        order of display.
    shares : DataFrame
        ``used`` (a lot or drum that an operation used, or the start), ``holds`` (a lot in
        it), ``share`` (multiplied along blends and added up over all ways; NaN where a loop
        leaves it undetermined). A lot that was not mixed has no row.
    loops : tuple of Loop
        Things that lead back to themselves.
    cut_short : bool
        Whether the depth kept something out.
    data_version : str
        Version of the records.
    """

    asked: str
    start: str
    starts: tuple[str, ...]
    direction: str
    depth: int | None
    graph: nx.DiGraph[str]
    counts: pd.DataFrame
    shares: pd.DataFrame
    loops: tuple[Loop, ...]
    cut_short: bool
    data_version: str


def trace(
    store: Store,
    identifier: str,
    *,
    direction: Literal["up", "down", "both"] = "both",
    depth: int | None = None,
) -> Trace:
    """Genealogy of one thing.

    Upstream, readings of the operations passed are attached as ``condition`` nodes and
    checks of the parts and hulls passed as ``inspection`` nodes, every attempt of them.

    Parameters
    ----------
    store : Store
        The records.
    identifier : str
        Number of a claim, hull (serial, job, hull identification number, last
        characters), part, lot, drum or mold, as typed; see
        :func:`~tracegraph.analysis.identifiers.find`.
    direction : {"both", "up", "down"}
        ``"up"``: what it came from; ``"down"``: what came of it.
    depth : int, optional
        Steps after which the walk ends; None: no limit.

    Returns
    -------
    Trace
        The graph and its counts.

    Raises
    ------
    UnknownHullError
        If the number names nothing, or several things.
    DefinitionError
        If ``direction`` is another word or ``depth`` is below 1.
    """
    if direction not in {"up", "down", "both"}:
        raise DefinitionError(f"direction must be up, down or both; got {direction!r}.")
    if depth is not None and depth < 1:
        raise DefinitionError(f"depth must be 1 or more steps; got {depth}.")
    with store.session() as session:
        starts = find(session, identifier)
        numbers = node_numbers(session, starts[0].kind, [named.key for named in starts])
        up = walk(session, numbers, "upstream", depth) if direction != "down" else NOWHERE
        down = walk(session, numbers, "downstream", depth) if direction != "up" else NOWHERE
        graph, names = scope_graph(
            session, {*numbers, *up.distance, *down.distance}, up.edges + down.edges
        )
        passed = [
            names[number] for number, steps in up.distance.items() if depth is None or steps < depth
        ]
        history = attach_history(session, graph, passed)
    start_names = [names[number] for number in numbers]
    return Trace(
        asked=identifier,
        start=start_names[0],
        starts=tuple(start_names),
        direction=direction,
        depth=depth,
        graph=graph,
        counts=_counts(
            graph,
            [*(names[n] for n, steps in up.distance.items() if steps), *history],
            [names[n] for n, steps in down.distance.items() if steps],
        ),
        shares=_shares(graph, start_names),
        loops=tuple(loops(graph)),
        cut_short=up.cut_short or down.cut_short,
        data_version=store.version,
    )


def _counts(graph: nx.DiGraph[str], up: list[str], down: list[str]) -> pd.DataFrame:
    upstream = Counter(graph.nodes[name]["kind"] for name in up)
    downstream = Counter(graph.nodes[name]["kind"] for name in down)
    kinds = [kind for kind in NODE_KINDS if upstream[kind] or downstream[kind]]
    return pd.DataFrame(
        {
            "kind": pd.Series(kinds, dtype="str"),
            "upstream": pd.Series([upstream[kind] for kind in kinds], dtype="int64"),
            "downstream": pd.Series([downstream[kind] for kind in kinds], dtype="int64"),
        }
    )


def _shares(graph: nx.DiGraph[str], starts: list[str]) -> pd.DataFrame:
    """What share of each lot used is each lot that it was mixed from."""
    mixed = {later for later, _, data in graph.edges(data=True) if data.get("share") is not None}
    reached = {node for lot in mixed for node in (lot, *_drums(graph, lot))}
    used = [
        node
        for node in graph
        if node in reached
        and (
            node in starts
            or any(graph.nodes[other]["kind"] == "operation" for other in graph.pred[node])
        )
    ]
    rows = [
        (node, lot, share)
        for node in used
        for lot, share in shares(graph, node).items()
        if lot not in _drum_of(graph, node)
    ]
    return pd.DataFrame(rows, columns=["used", "holds", "share"]).astype(
        {"used": "str", "holds": "str", "share": "float64"}
    )


def _drums(graph: nx.DiGraph[str], lot: str) -> list[str]:
    return [node for node in graph.pred[lot] if graph.nodes[node]["kind"] == "drum"]


def _drum_of(graph: nx.DiGraph[str], node: str) -> set[str]:
    """The lot of a drum, which it is all of."""
    return set(graph.succ[node]) if graph.nodes[node]["kind"] == "drum" else set()
