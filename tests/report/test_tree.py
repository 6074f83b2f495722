from __future__ import annotations

from collections.abc import Iterator

import networkx as nx
import pandas as pd
import pytest

from tests.analysis.small_plant import plant_records, plant_store
from tests.support.records import build_of
from tests.support.timing import AT_ONCE, quickest
from tracegraph.analysis.tracing import Trace, trace
from tracegraph.linkage import link_records
from tracegraph.report.tree import LOOP, SEEN, downstream_sentence, tree, tree_text
from tracegraph.store import Store
from tracegraph.store.reader import as_store


@pytest.fixture(scope="module")
def store() -> Iterator[Store]:
    with plant_store() as store:
        yield store


def test_the_tree_shows_what_went_in_and_refers_to_what_is_shared(store: Store) -> None:
    assert tree_text(trace(store, "BT-1003")).splitlines() == [
        "S22 BT-1003",
        "  deck D-3",
        "    gelcoat spray OP-D-3",
        "      ambient_temp 21.5 °C",
        "      gelcoat G-1/1",
        "        gelcoat G-1",
        "          SUP-A",
        "      GUN-1",
        "      ST-1",
        "      person P-07",
        "    mold M-2",
        "  hull H-3",
        "    gelcoat spray OP-H-3",
        "      ambient_temp 21.5 °C",
        "      gelcoat G-2/1",
        "        gelcoat G-2",
        "          gelcoat G-0, 60 %",
        "            SUP-A",
        "          gelcoat G-1, 40 % (see above)",
        "      GUN-1",
        "      ST-1",
        "      person P-07",
        "    barcol: fail, attempt 1, undercure",
        "    barcol: pass, attempt 2",
        "    mold M-1",
        "Came of it: 1 claim line.",
    ]


def test_every_edge_is_a_line_once(store: Store) -> None:
    found = trace(store, "BT-1001", direction="up")
    lines = tree(found)
    assert len(lines) == found.graph.number_of_edges() + 1
    assert {line.node for line in lines} == set(found.graph)


def test_a_lot_is_told_by_what_came_of_it(store: Store) -> None:
    assert tree_text(trace(store, "G-0", direction="down")).splitlines() == [
        "gelcoat G-0",
        "Came of it: 1 claim line, 2 hulls, 2 parts, 2 operations, 1 drum, 1 lot.",
    ]
    assert downstream_sentence(trace(store, "C-3")) == "Nothing in the records came of it."


def test_a_loop_is_marked_where_it_closes() -> None:
    records = plant_records()
    records["blends"].append(
        {"material": "gelcoat", "lot_no": "G-0", "parent_lot_no": "G-2", "share": 0.1}
    )
    build = build_of(**records)
    link_records(build)
    with as_store(build) as store:
        found = trace(store, "G-2", direction="up")
    text = tree_text(found)
    assert "gelcoat G-2, 10 % (leads back to itself)" in text
    assert text.endswith("Leads back to itself: gelcoat G-0 -> gelcoat G-2 -> gelcoat G-0")
    assert [line.mark for line in tree(found)].count(LOOP) == 1


def test_a_depth_that_kept_something_out_is_told(store: Store) -> None:
    text = tree_text(trace(store, "BT-1001", depth=1, direction="up"))
    assert text.splitlines()[-1] == "Cut off after 1 step; there is more."


def traced(graph: nx.DiGraph[str], start: str) -> Trace:
    for name in graph:
        graph.nodes[name].update(kind="lot", key=name, label=name)
    return Trace(
        asked=start, start=start, starts=(start,), direction="up", depth=None, graph=graph,
        counts=pd.DataFrame({"kind": [], "upstream": [], "downstream": []}),
        shares=pd.DataFrame(), loops=(), cut_short=False, data_version="test",
    )  # fmt: skip


def test_a_chain_of_8000_is_printed_at_once() -> None:
    graph: nx.DiGraph[str] = nx.DiGraph()
    nx.add_path(graph, [f"n{n}" for n in range(8_000)])
    text, seconds = quickest(lambda: tree_text(traced(graph, "n0")))
    lines = text.splitlines()
    assert seconds < AT_ONCE
    assert len(lines) == 8_000
    assert lines[-1] == "  " * 20 + "[7999] n7999"


def test_forty_diamonds_are_printed_once_each_at_once() -> None:
    graph: nx.DiGraph[str] = nx.DiGraph()
    for n in range(40):
        for side in "ab":
            graph.add_edge(f"n{n}", f"n{n}{side}")
            graph.add_edge(f"n{n}{side}", f"n{n + 1}")
    lines, seconds = quickest(lambda: tree(traced(graph, "n0")))
    assert seconds < AT_ONCE
    assert len(lines) == graph.number_of_edges() + 1
    assert sum(line.mark == SEEN for line in lines) == 39


def test_shares_are_multiplied_along_blends() -> None:
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_edge("tank", "yesterday", share=0.5)
    graph.add_edge("yesterday", "older", share=0.25)
    graph.add_edge("older", "drum lot", share=0.8)
    assert [line.text for line in tree(traced(graph, "tank"))] == [
        "tank",
        "  yesterday, 50 %",
        "    older, 25 % (12.5 % of what was used)",
        "      drum lot, 80 % (10 % of what was used)",
    ]


def test_a_mold_says_how_long_it_had_run() -> None:
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_edge("deck", "mold M-2", pulls_since_waxed=3, days_since_waxed=9,
                   pulls_since_repaired=40, days_since_repaired=80)  # fmt: skip
    assert [line.text for line in tree(traced(graph, "deck"))] == [
        "deck", "  mold M-2, pulls: 3 since waxed, 40 since repaired",
    ]  # fmt: skip


def test_a_label_cannot_break_its_line() -> None:
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_node("a")
    found = traced(graph, "a")
    graph.nodes["a"]["label"] = "lot\nforged line\x1b[31m"
    assert tree_text(found) == "lot forged line [31m"
