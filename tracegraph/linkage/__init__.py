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
from tracegraph.store import Build
from tracegraph.store.queries import sql_names

__all__ = ["link_records"]


def link_records(
    build: Build, meanings: Sequence[Meaning] = (), *, look_for_near: bool = True
) -> None:
    """Fill the index tables and the graph of a build from its record tables.

    Parameters
    ----------
    build : Build
        All record tables are filled; index tables and graph are empty.
    meanings : sequence of Meaning
        Written numbers that a person said stand for others.
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
        if look_for_near or name != _NEAR:
            build.run(name)


_NEAR = "linkage/09_near_matches"
