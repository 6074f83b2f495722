"""What can be reached from a node of the stored genealogy, either way.

One start is walked level by level with small queries: the database would read all edges
for a recursive query. A chain longer than any boat's (a day tank topped up every morning
is one) and many starts at once are answered by one recursive query.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from tracegraph.genealogy.graph import Direction
from tracegraph.store import Connection
from tracegraph.store.queries import sql_text

Edge = tuple[int, int, str, float | None]


@dataclass(frozen=True)
class Walk:
    """What a walk reached.

    Attributes
    ----------
    distance : dict of int to int
        Fewest steps to each node, the starts (0) included.
    edges : list of tuple
        Every edge met: later node, earlier node, relation, share.
    cut_short : bool
        Whether the depth kept something out.
    """

    distance: dict[int, int]
    edges: list[Edge]
    cut_short: bool


SMALL_QUERIES = 32
"""Levels that are walked with a query each; the rest of a longer chain comes at once."""

NOWHERE = Walk({}, [], cut_short=False)
"""A walk that was not taken."""


def walk(
    session: Connection, starts: Iterable[int], direction: Direction, depth: int | None = None
) -> Walk:
    """Walk from some nodes, level by level, visiting each node once.

    Parameters
    ----------
    session : Connection
        Line to a store.
    starts : iterable of int
        Numbers of nodes.
    direction : {"upstream", "downstream"}
        Which way.
    depth : int, optional
        Steps after which the walk ends; None: no limit.

    Returns
    -------
    Walk
        A loop is met as an edge to a node seen before; the walk does not go round it.
    """
    text = sql_text(f"trace/steps_{direction}")
    end = 1 if direction == "upstream" else 0
    distance = dict.fromkeys(starts, 0)
    edges: list[Edge] = []
    frontier = sorted(distance)
    level = 0
    while frontier and level < SMALL_QUERIES:
        met: list[Any] = session.rows(text, {"frontier": frontier})
        further = {row[end] for row in met if row[end] not in distance}
        if level == depth:
            return _cut(distance, edges + met, end)
        edges += met
        level += 1
        distance.update(dict.fromkeys(further, level))
        frontier = sorted(further)
    if not frontier:
        return Walk(distance, edges, cut_short=False)
    rest = session.rows(sql_text(f"trace/reach_{direction}"), {"frontier": frontier})
    met = session.rows(text, {"frontier": [number for (number,) in rest]})
    steps: dict[int, list[int]] = defaultdict(list)
    for row in met:
        steps[row[1 - end]].append(row[end])
    while frontier and level != depth:
        # One by one: to take the keys away as a set is to go through all of them at each step.
        further = {number for node in frontier for number in steps[node] if number not in distance}
        level += 1
        distance.update(dict.fromkeys(further, level))
        frontier = sorted(further)
    return _cut(distance, list(dict.fromkeys(edges + met)), end)


def closure(session: Connection, starts: Sequence[int], direction: Direction) -> pd.DataFrame:
    """All that each of many nodes reaches, in one recursive query.

    Parameters
    ----------
    session : Connection
        Line to a store.
    starts : sequence of int
        Numbers of nodes.
    direction : {"upstream", "downstream"}
        Which way.

    Returns
    -------
    DataFrame
        ``start_id``, ``node_id`` (int), one row for each pair, sorted. A start is among
        what it reaches only when it lies on a loop.
    """
    return session.frame(f"trace/closure_{direction}", {"starts": list(starts)})


def _cut(distance: dict[int, int], met: list[Edge], end: int) -> Walk:
    known = [row for row in met if row[1 - end] in distance]
    inside = [row for row in known if row[end] in distance]
    return Walk(distance, inside, cut_short=len(inside) < len(known))
