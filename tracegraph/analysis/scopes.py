"""The typed graph of a scope, with what the records say of each thing in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

import networkx as nx
import pandas as pd

from tracegraph.analysis.reach import Edge
from tracegraph.domain.units import unit_sign
from tracegraph.exposure import logged_conditions
from tracegraph.genealogy import build_graph, node_id
from tracegraph.store import Connection
from tracegraph.store.queries import sql_text

DESCRIBED_KINDS = ("claim", "hull", "part", "operation", "component", "lot")
"""Kinds of which the records say more than a name."""


def node_numbers(session: Connection, kind: str, keys: Sequence[str]) -> list[int]:
    """Numbers of the nodes of one kind with the given keys.

    Parameters
    ----------
    session : Connection
        Line to a store.
    kind : str
        Kind of node.
    keys : sequence of str
        Identities within the kind.

    Returns
    -------
    list of int
        In the order of the keys' text.
    """
    rows = session.rows(sql_text("trace/node_numbers"), {"kind": kind, "keys": list(keys)})
    return [number for number, _ in rows]


def scope_graph(
    session: Connection, numbers: Iterable[int], edges: Sequence[Edge]
) -> tuple[nx.DiGraph[str], dict[int, str]]:
    """Typed graph of some nodes and the edges among them.

    Parameters
    ----------
    session : Connection
        Line to a store.
    numbers : iterable of int
        Numbers of the nodes.
    edges : sequence of tuple
        Edges met on the way, see :class:`~tracegraph.analysis.reach.Walk`; one met twice
        counts once.

    Returns
    -------
    graph : networkx.DiGraph
        In the order of kinds and keys, whatever the numbers. Nodes carry what the records
        say of them (dates, symptom, step, attempt, ...), edges from operations to what they
        used the ``quantity`` and its ``unit``.
    names : dict of int to str
        Name in the graph of each number.
    """
    nodes = session.frame("trace/nodes", {"ids": sorted(numbers)})
    place = {number: n for n, number in enumerate(nodes["node_id"].tolist())}
    inside = [edge for edge in dict.fromkeys(edges) if edge[0] in place and edge[1] in place]
    inside.sort(key=lambda edge: (place[edge[0]], place[edge[1]], edge[2], edge[3] or 0.0))
    met = pd.DataFrame(inside, columns=["node_id", "upstream_id", "relation", "share"])
    graph = build_graph(nodes, met)
    for kind in DESCRIBED_KINDS:
        keys = nodes.loc[nodes["kind"] == kind, "key"].tolist()
        if keys:
            _describe(graph, kind, session.frame(f"trace/describe_{kind}", {"keys": keys}))
    operations = nodes.loc[nodes["kind"] == "operation", "key"].tolist()
    if operations:
        _weigh(graph, session.frame("trace/uses", {"operations": operations}))
    names = {
        int(number): node_id(kind, key)
        for number, kind, key in nodes[["node_id", "kind", "key"]].itertuples(index=False)
    }
    return graph, names


def attach_history(
    session: Connection, graph: nx.DiGraph[str], among: Iterable[str]
) -> dict[str, str]:
    """Attach readings to operations, and checks to parts and hulls.

    A reading becomes a ``condition`` node that its operation used, and so does what the
    station's logger saw over the work and its cure (``logged``: mean, ``low`` and
    ``high``). A check becomes an ``inspection`` node that its part or hull came out of, as
    it came out of its operations; each attempt is a node of its own. The edge from a part
    to its mold is given how long the mold had run since it was waxed and repaired.

    Parameters
    ----------
    session : Connection
        Line to a store.
    graph : networkx.DiGraph
        Grows in place.
    among : iterable of str
        Nodes of the graph that are given their history.

    Returns
    -------
    dict of str to str
        Each node that was added, and the node it hangs on.
    """
    keys: dict[str, list[str]] = defaultdict(list)
    for name in among:
        keys[graph.nodes[name]["kind"]].append(graph.nodes[name]["key"])
    added: dict[str, str] = {}
    if keys["operation"]:
        readings = session.frame("trace/readings", {"operations": sorted(keys["operation"])})
        for row in readings.to_dict("records"):
            name = _add_condition(graph, row)
            added[name] = node_id("operation", row["operation_id"])
            graph.add_edge(added[name], name, relation="used")
        session.run("trace/work", {"operations": sorted(keys["operation"])})
        for row in logged_conditions(session).to_dict("records"):
            name = _add_logged(graph, row)
            added[name] = node_id("operation", row["operation_id"])
            graph.add_edge(added[name], name, relation="used")
    if keys["part"]:
        _tell_molds(session, graph, sorted(keys["part"]))
    if keys["part"] or keys["hull"]:
        checks = session.frame(
            "trace/inspections", {"parts": sorted(keys["part"]), "hulls": sorted(keys["hull"])}
        )
        for row in checks.to_dict("records"):
            name = _add_inspection(graph, row)
            added[name] = node_id(row["kind"], row["key"])
            graph.add_edge(added[name], name, relation="wasGeneratedBy")
    return added


def _describe(graph: nx.DiGraph[str], kind: str, frame: pd.DataFrame) -> None:
    # Two records of one key (a serial used twice) share a node; the first one speaks.
    for row in frame.drop_duplicates("key").to_dict("records"):
        name = node_id(kind, row.pop("key"))
        graph.nodes[name].update(_known(row))


def _weigh(graph: nx.DiGraph[str], uses: pd.DataFrame) -> None:
    for row in uses.to_dict("records"):
        source = node_id("operation", row["operation_id"])
        target = node_id(row["kind"], row["key"])
        if graph.has_edge(source, target):
            graph.edges[source, target].update(_known({n: row[n] for n in ("quantity", "unit")}))


def _add_condition(graph: nx.DiGraph[str], row: dict[Any, Any]) -> str:
    number = int(row["reading_no"])
    key = f"{row['operation_id']}|{row['quantity']}" + (f"|{number}" if number > 1 else "")
    name = node_id("condition", key)
    graph.add_node(
        name,
        kind="condition",
        key=key,
        label=f"{row['quantity']} {_short(row['value'])} {unit_sign(row['unit'])}",
        quantity=row["quantity"],
        value=float(row["value"]),
        unit=row["unit"],
    )
    return name


def _add_logged(graph: nx.DiGraph[str], row: dict[Any, Any]) -> str:
    key = f"{row['operation_id']}|{row['quantity']}|logged"
    name = node_id("condition", key)
    mean, low, high = (float(row[point]) for point in ("mean", "low", "high"))
    spread = "" if low == high else f" ({_short(low)} to {_short(high)})"
    graph.add_node(
        name,
        kind="condition",
        key=key,
        label=f"{row['quantity']} {_short(mean)} {unit_sign(row['unit'])}{spread}, logged",
        quantity=row["quantity"],
        value=mean,
        low=low,
        high=high,
        unit=row["unit"],
        logged=True,
    )
    return name


def _tell_molds(session: Connection, graph: nx.DiGraph[str], parts: list[str]) -> None:
    session.run("linkage/02_mold_names")
    for row in session.frame("trace/mold_condition", {"parts": parts}).to_dict("records"):
        ends = node_id("part", row["part_serial"]), node_id("mold", row["mold_no"])
        if graph.has_edge(*ends):
            facts = {"pulls": row["pulls"], "days": row["days"]}
            graph.edges[ends].update(
                {f"{what}_since_{row['event']}": int(value) for what, value in facts.items()}
            )


def _short(value: float) -> str:
    return f"{round(value, 2):.10g}" if abs(value) >= 1 else f"{value:.3g}"


def _add_inspection(graph: nx.DiGraph[str], row: dict[Any, Any]) -> str:
    key = str(row["inspection_id"])
    name = node_id("inspection", key)
    facts = _known({name: value for name, value in row.items() if name not in {"kind", "key"}})
    attempt = f", attempt {facts['attempt']}" if "attempt" in facts else ""
    defect = f", {facts['defect']}" if "defect" in facts else ""
    label = f"{row['checkpoint']}: {row['result']}{attempt}{defect}"
    graph.add_node(name, **(facts | {"kind": "inspection", "key": key, "label": label}))
    return name


def _known(row: dict[Any, Any]) -> dict[str, Any]:
    facts: dict[str, Any] = {}
    for name, value in row.items():
        if value is None or value is pd.NaT or value is pd.NA or value != value:
            continue
        if name in {"attempt", "pull_no", "safety_class"}:
            value = int(value)
        elif str(name).endswith("_on"):
            value = value.date()
        facts[str(name)] = value
    return facts
