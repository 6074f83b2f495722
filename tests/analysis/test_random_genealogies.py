"""500 random plants with blends, loops and reworks: records, SQL and networkx agree."""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest

from tests.support.records import Row, build_of
from tracegraph.analysis.reach import closure, walk
from tracegraph.genealogy import build_graph, downstream, loops, node_id, shares, upstream
from tracegraph.linkage import link_records

PLANTS, STORES = 50, 10
LOTS = 6


def plant(name: str, rng: np.random.Generator) -> dict[str, list[Row]]:
    """One or two hulls; lots blended of lots at random, so that some lead back to themselves;
    work done again on the same part, and parts whose hull or lot is not written down."""
    tables: dict[str, list[Row]] = {
        key: [] for key in ("hulls", "parts", "operations", "usages", "blends", "claims")
    }
    lots = [f"{name}-L{n}" for n in range(LOTS)]
    for later in lots:
        for earlier in rng.choice(lots, rng.integers(0, 3), replace=False):
            tables["blends"].append(
                {"material": "resin", "lot_no": later, "parent_material": "resin",
                 "parent_lot_no": str(earlier), "share": float(rng.integers(1, 10)) / 10}
            )  # fmt: skip
    for h in range(rng.integers(1, 3)):
        hull = f"{name}-H{h}"
        tables["hulls"].append({"hull_serial": hull, "model": "S22"})
        if rng.random() < 0.5:
            tables["claims"].append(
                {"claim_no": f"{hull}-C", "hull_serial": hull, "symptom": "leak",
                 "opened_on": "2025-06-01"}
            )  # fmt: skip
        for p in range(rng.integers(0, 3)):
            part = f"{hull}-P{p}"
            tables["parts"].append(
                {"part_serial": part, "part": "deck", "mold_no": f"{name}-M",
                 "hull_serial": hull if rng.random() < 0.8 else None}
            )  # fmt: skip
            for attempt in range(1, rng.integers(1, 4)):
                operation = f"{part}-O{attempt}"
                tables["operations"].append(
                    {"operation_id": operation, "step": "laminate", "part_serial": part,
                     "started_at": f"2025-01-0{attempt} 08:00", "attempt": attempt}
                )  # fmt: skip
                for lot in rng.choice(lots, rng.integers(0, 3), replace=False):
                    blank = rng.random() < 0.2
                    drum = "1" if rng.random() < 0.5 else None
                    tables["usages"].append(
                        {"operation_id": operation, "material": "resin",
                         "lot_no": None if blank else str(lot), "drum_no": drum}
                    )  # fmt: skip
    return tables


@pytest.mark.parametrize("seed", range(STORES))
def test_records_sql_and_networkx_agree(seed: int) -> None:
    rng = np.random.default_rng(seed)
    tables: dict[str, list[Row]] = {}
    for n in range(PLANTS):
        for key, rows in plant(f"S{seed}N{n}", rng).items():
            tables.setdefault(key, []).extend(rows)
    build = build_of(**tables)
    link_records(build)
    nodes = build.frame_of("SELECT * FROM nodes ORDER BY node_id")
    edges = build.frame_of("SELECT * FROM edges_up ORDER BY node_id, upstream_id")
    graph = build_graph(nodes, edges)
    names = {
        int(number): node_id(kind, key)
        for number, kind, key in nodes[["node_id", "kind", "key"]].itertuples(index=False)
    }
    on_loops = {member for loop in loops(graph) for member in loop.members}
    assert on_loops  # of 50 plants some have blends that lead back to themselves
    starts = list(names)
    for direction, walked in (("upstream", upstream), ("downstream", downstream)):
        pairs = closure(build, starts, direction).groupby("start_id")["node_id"].agg(set)
        for number in starts:
            by_graph = set(walked(graph, names[number]))
            own = {names[number]} & on_loops
            assert {names[n] for n in pairs.get(number, set())} == by_graph | own
        for number in rng.choice(starts, 40, replace=False):
            steps = walk(build, [int(number)], direction).distance
            by_level = {names[n]: d for n, d in steps.items() if d}
            assert by_level == walked(graph, names[int(number)])
    check_shares(graph, on_loops)
    build.close()


def check_shares(graph: nx.DiGraph[str], on_loops: set[str]) -> None:
    """Shares against the sum of all powers of the matrix of shares, where no loop is near."""
    lots = sorted(node for node in graph if graph.nodes[node]["kind"] == "lot")
    place = {node: n for n, node in enumerate(lots)}
    step = np.zeros((len(lots), len(lots)))
    for later, earlier, share in graph.edges(data="share"):
        if share is not None:
            step[place[later], place[earlier]] = share
    total, power = np.zeros_like(step), np.eye(len(lots))
    for _ in range(LOTS):
        power = power @ step
        total += power
    checked = 0
    for lot in lots:
        reached = set(upstream(graph, lot)) & set(place)
        if (reached | {lot}) & on_loops:
            continue
        told = shares(graph, lot)
        for other in reached:
            assert told[other] == pytest.approx(total[place[lot], place[other]])
        checked += len(reached)
    assert checked > 20
