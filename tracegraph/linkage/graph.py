"""Lay out the genealogy of linked records: whole, or what a load added to the one before.

A graph is the set of things and steps that its rows tell of. Where each thing and step that
changed rows told of before is told of by changed rows now, the graph of before holds no more
than the graph of now, and what is missing is told of by changed rows alone. Anywhere else it
is laid out whole.
"""

from __future__ import annotations

from tracegraph.linkage.changes import Changes
from tracegraph.store import Build
from tracegraph.store.queries import sql_text

GRAPH = ("nodes", "edges_up", "edges_down")
"""Tables of the genealogy."""

_COMPARED = ("claims", "hulls", "parts", "lots", "blends", "components")
_OWN_NUMBERS = (
    "CREATE TEMP VIEW now_component_numbers AS "
    "SELECT component_id AS own_id, component_id FROM component_index"
)


def lay_graph(build: Build, changes: Changes | None) -> None:
    """Fill the graph of a build whose index tables are filled.

    Parameters
    ----------
    build : Build
        Its graph is empty, or that of the build before.
    changes : Changes or None
        What is new since the build before; None where the graph is empty.
    """
    with build.tidied():
        build.execute(_OWN_NUMBERS)
        if changes is not None:
            with build.beside(changes.earlier), build.tidied():
                if grow_graph(build, changes):
                    return
            build.renew(GRAPH)
        _run(build, "graph/rows", rows="now", of="", kind="TABLE")
        build.run("linkage/graph/uses")
        _run(build, "graph/things", rows="now")
        _run(build, "graph/steps", rows="now")
        build.run("linkage/graph/lay")


def grow_graph(build: Build, changes: Changes) -> bool:
    """Add to the graph of the build before what changed rows tell of; False where that is not all.

    Things keep their numbers; new ones come behind them.
    """
    if "usages" in changes.mended or build.scalar(sql_text("linkage/grow/cannot")):
        return False
    build.run("linkage/grow/component_numbers")
    _run(build, "graph/rows", rows="now", of="", kind="VIEW")
    _run(build, "graph/rows", rows="was", of="earlier.", kind="VIEW")
    build.run("linkage/grow/changed_operations")
    for table in _COMPARED:
        _run(build, "grow/changed", table=table)
    build.run("linkage/grow/changed_uses", {"last_source": changes.last_source})
    for rows in ("added", "gone"):
        _run(build, "graph/things", rows=rows)
        _run(build, "graph/steps", rows=rows)
    build.run("linkage/grow/components_renumbered")
    if build.scalar(sql_text("linkage/grow/more_than_added")):
        return False
    build.run("linkage/grow/grow")
    return True


def _run(build: Build, name: str, **slots: str) -> None:
    text = sql_text(f"linkage/{name}")
    for slot, value in slots.items():
        text = text.replace("{{" + slot + "}}", value)
    build.execute(text)
