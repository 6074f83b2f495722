"""Tie parts, operations, components and claims to hulls, and lay out the genealogy.

Reads the record tables of a build and fills its index tables (``hull_index``,
``part_index``, ``operation_index``, ``component_index``, ``claim_index``), its graph
(``nodes``, ``edges_up``, ``edges_down``) and the near matches of numbers that lead nowhere.
A number that leads to two things leads to neither: the record stays, unlinked, and is
counted.
"""

from collections.abc import Sequence

import pandas as pd

from tracegraph.domain.acts import Meaning
from tracegraph.linkage.changes import Changes
from tracegraph.linkage.graph import GRAPH, lay_graph
from tracegraph.store import Build
from tracegraph.store.queries import sql_names

__all__ = ["GRAPH", "Changes", "link_records"]


def link_records(
    build: Build,
    meanings: Sequence[Meaning] = (),
    *,
    changes: Changes | None = None,
    look_for_near: bool = True,
) -> None:
    """Fill the index tables and the graph of a build from its record tables.

    Parameters
    ----------
    build : Build
        All record tables are filled; index tables are empty.
    meanings : sequence of Meaning
        Written numbers that a person said stand for others.
    changes : Changes, optional
        What is new since the build before, whose graph this one holds and whose meanings of
        all but claims were the same; the graph is empty when left out.
    look_for_near : bool, default True
        Whether numbers that lead nowhere are compared with those that exist.
    """
    given = pd.DataFrame(
        [(m.link, m.written, m.meant) for m in meanings], columns=["link", "written", "meant"]
    ).astype("str")
    build.register("given_meanings", given)
    build.execute("INSERT INTO meanings SELECT * FROM given_meanings")
    build.unregister("given_meanings")
    for name in sql_names("linkage"):
        if name not in (_NEAR, _DROP):
            build.run(name)
    lay_graph(build, changes)
    if look_for_near:
        build.run(_NEAR)
    build.run(_DROP)


_NEAR = "linkage/07_near_matches"
_DROP = "linkage/08_drop"
