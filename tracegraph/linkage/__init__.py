"""Tie parts, operations, components and claims to hulls, and lay out the genealogy.

Reads the record tables of a build and fills its index tables (``hull_index``,
``part_index``, ``operation_index``, ``component_index``, ``claim_index``) and its graph
(``nodes``, ``edges_up``, ``edges_down``). A number that leads to two things leads to
neither: the record stays, unlinked, and is counted.
"""

from tracegraph.store import Build

__all__ = ["link_records"]


def link_records(build: Build) -> None:
    """Fill the index tables and the graph of a build from its record tables.

    Parameters
    ----------
    build : Build
        All record tables are filled; index tables and graph are empty.
    """
    build.run_folder("linkage")
