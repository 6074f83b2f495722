from __future__ import annotations

import math

import networkx as nx
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.timing import AT_ONCE, quickest
from tracegraph.genealogy import Loop, build_graph, downstream, loops, shares, upstream


def frames(
    nodes: list[tuple[int, str, str]], edges: list[tuple[int, int, str, float | None]]
) -> tuple[pd.DataFrame, pd.DataFrame]:
    node_frame = pd.DataFrame(nodes, columns=["node_id", "kind", "key"])
    edge_frame = pd.DataFrame(edges, columns=["node_id", "upstream_id", "relation", "share"])
    return node_frame.assign(label=node_frame["key"]), edge_frame


def chain_graph(length: int) -> nx.DiGraph[str]:
    graph: nx.DiGraph[str] = nx.DiGraph()
    nx.add_path(graph, [f"part:{n}" for n in range(length)], relation="wasDerivedFrom")
    return graph


def diamonds(count: int) -> nx.DiGraph[str]:
    """A lot blended from two that are each all of the next lot, count times over."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    for n in range(count):
        for side, part in (("a", 0.25), ("b", 0.75)):
            graph.add_edge(f"lot:{n}", f"lot:{n}{side}", share=part)
            graph.add_edge(f"lot:{n}{side}", f"lot:{n + 1}", share=1.0)
    nx.set_node_attributes(graph, "lot", "kind")
    return graph


def test_nodes_are_named_by_kind_and_key_and_keep_their_attributes() -> None:
    nodes, edges = frames([(1, "hull", "12"), (2, "part", "12")], [(1, 2, "hadMember", None)])
    nodes["model"] = ["S22", None]
    graph = build_graph(nodes, edges)
    assert dict(graph.nodes(data=True)) == {
        "hull:12": {"kind": "hull", "key": "12", "label": "12", "model": "S22"},
        "part:12": {"kind": "part", "key": "12", "label": "12"},
    }
    assert list(graph.edges(data=True)) == [("hull:12", "part:12", {"relation": "hadMember"})]


def test_an_edge_that_leaves_the_scope_is_left_out() -> None:
    graph = build_graph(*frames([(1, "hull", "1")], [(1, 9, "hadMember", None)]))
    assert list(graph) == ["hull:1"]


def test_two_additions_of_one_lot_to_a_blend_add_up() -> None:
    graph = build_graph(
        *frames(
            [(1, "lot", "T"), (2, "lot", "A")],
            [(1, 2, "wasDerivedFrom", 0.2), (1, 2, "wasDerivedFrom", 0.3)],
        )
    )
    assert graph.edges["lot:T", "lot:A"]["share"] == pytest.approx(0.5)


def test_walks_go_either_way_and_stop_at_the_depth() -> None:
    graph = chain_graph(5)
    assert upstream(graph, "part:1", depth=2) == {"part:2": 1, "part:3": 2}
    assert downstream(graph, "part:2") == {"part:1": 1, "part:0": 2}
    with pytest.raises(KeyError):
        upstream(graph, "part:99")


def test_a_rework_chain_of_8000_is_walked_at_once() -> None:
    graph = chain_graph(8_000)
    reached, walked = quickest(lambda: upstream(graph, "part:0"))
    assert len(reached) == 7_999
    assert loops(graph) == []
    graph.add_edge("part:7999", "part:0")
    (loop,), looped = quickest(lambda: loops(graph))
    assert walked + looped < AT_ONCE
    assert len(loop.members) == 8_000
    assert len(loop.walk) == 8_001


def test_forty_diamonds_multiply_at_once() -> None:
    graph = diamonds(40)
    up, upward = quickest(lambda: shares(graph, "lot:0"))
    down, downward = quickest(lambda: shares(graph, "lot:40", "downstream"))
    assert upward + downward < AT_ONCE
    assert up["lot:40"] == pytest.approx(1.0)
    assert up["lot:39a"] == pytest.approx(0.25)
    assert down["lot:0"] == pytest.approx(1.0)
    assert len(upstream(graph, "lot:0")) == 3 * 40


def test_a_loop_is_shown_once_with_one_way_round() -> None:
    graph = nx.DiGraph([("d", "a"), ("a", "b"), ("b", "c"), ("c", "a"), ("c", "b"), ("c", "x")])
    assert loops(graph) == [Loop(("a", "b", "c"), ("a", "b", "c", "a"))]
    assert upstream(graph, "a") == {"b": 1, "c": 2, "x": 3}


def test_a_share_beyond_a_loop_is_not_determined() -> None:
    graph: nx.DiGraph[str] = nx.DiGraph()
    for source, target, share in (
        ("T", "A", 0.5), ("T", "B", 0.5), ("A", "C", 1.0), ("C", "A", 0.1), ("C", "D", 0.9),
    ):  # fmt: skip
        graph.add_edge(source, target, share=share)
    nx.set_node_attributes(graph, "lot", "kind")
    found = shares(graph, "T")
    assert found["B"] == 0.5
    assert all(math.isnan(found[node]) for node in "ACD")


def test_shares_pass_through_lots_and_drums_only() -> None:
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_node("operation:1", kind="operation")
    for node, kind in (("drum:1", "drum"), ("lot:1", "lot"), ("supplier:1", "supplier")):
        graph.add_node(node, kind=kind)
    nx.add_path(graph, ["operation:1", "drum:1", "lot:1", "supplier:1"])
    assert shares(graph, "drum:1") == {"lot:1": 1.0}
    assert shares(graph, "operation:1") == {}
    with pytest.raises(KeyError):
        shares(graph, "lot:9")


@st.composite
def blends(draw: st.DrawFn) -> nx.DiGraph[str]:
    size = draw(st.integers(2, 7))
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from((f"lot:{n}" for n in range(size)), kind="lot")
    for later in range(size):
        for earlier in range(later + 1, size):
            if draw(st.booleans()):
                graph.add_edge(
                    f"lot:{later}", f"lot:{earlier}", share=draw(st.floats(0, 1, width=16))
                )
    return graph


@given(blends())
@settings(max_examples=60, deadline=None)
def test_shares_are_the_sum_over_all_ways(graph: nx.DiGraph[str]) -> None:
    found = shares(graph, "lot:0")
    for target in upstream(graph, "lot:0"):
        ways = nx.all_simple_paths(graph, "lot:0", target)
        by_path = sum(
            math.prod(graph.edges[pair]["share"] for pair in nx.utils.pairwise(way)) for way in ways
        )
        assert found[target] == pytest.approx(by_path)
        assert shares(graph, target, "downstream")["lot:0"] == pytest.approx(by_path)


@given(st.lists(st.tuples(st.integers(0, 8), st.integers(0, 8)), max_size=25))
@settings(max_examples=60, deadline=None)
def test_walks_and_loops_agree_with_networkx(pairs: list[tuple[int, int]]) -> None:
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(str(n) for n in range(9))
    graph.add_edges_from((str(a), str(b)) for a, b in pairs)
    for node in graph:
        assert set(upstream(graph, node)) == nx.descendants(graph, node)
        assert set(downstream(graph, node)) == nx.ancestors(graph, node)
        lengths = nx.single_source_shortest_path_length(graph, node)
        assert upstream(graph, node) == {n: d for n, d in lengths.items() if n != node}
    on_loops = {n for cycle in nx.simple_cycles(graph) for n in cycle}
    found = loops(graph)
    assert {n for loop in found for n in loop.members} == on_loops
    for loop in found:
        assert loop.walk[0] == loop.walk[-1] == loop.members[0]
        assert all(graph.has_edge(*pair) for pair in nx.utils.pairwise(loop.walk))
