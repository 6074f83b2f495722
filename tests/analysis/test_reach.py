from __future__ import annotations

from collections.abc import Iterator

import networkx as nx
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.timing import AT_ONCE, quickest
from tracegraph.analysis.reach import SMALL_QUERIES, closure, walk
from tracegraph.genealogy import build_graph, downstream, loops, upstream
from tracegraph.store import Build, in_memory_build


@pytest.fixture(scope="module")
def build() -> Iterator[Build]:
    build = in_memory_build()
    yield build
    build.close()


def fill(build: Build, size: int, edges: list[tuple[int, int]]) -> nx.DiGraph[str]:
    """Store a genealogy of parts and give the same as a graph."""
    nodes = pd.DataFrame({"node_id": range(size)}).assign(
        kind="part", key=lambda f: f["node_id"].astype(str), label=lambda f: f["key"]
    )
    steps = pd.DataFrame(
        {
            "node_id": pd.Series([later for later, _ in edges], dtype="int64"),
            "upstream_id": pd.Series([earlier for _, earlier in edges], dtype="int64"),
            "relation": "wasDerivedFrom",
            "share": pd.Series([None] * len(edges), dtype="float64"),
        }
    )
    build.execute("DELETE FROM nodes; DELETE FROM edges_up; DELETE FROM edges_down")
    build.register("steps", steps)
    build.register("things", nodes)
    build.execute(
        "INSERT INTO nodes SELECT * FROM things;"
        "INSERT INTO edges_up BY NAME SELECT * FROM steps ORDER BY node_id, upstream_id;"
        "INSERT INTO edges_down BY NAME SELECT * FROM steps ORDER BY upstream_id, node_id"
    )
    build.unregister("steps")
    build.unregister("things")
    return build_graph(nodes, steps)


GENEALOGY = st.tuples(
    st.sets(st.tuples(st.integers(0, 7), st.integers(0, 7)), max_size=20),
    st.sets(st.integers(0, 7), min_size=1, max_size=3),
)


# Five genealogies side by side in one store, a hundred times over: 500 in all, with loops,
# things that come of themselves, and ways that meet again.
@given(st.lists(GENEALOGY, min_size=5, max_size=5))
@settings(max_examples=100, deadline=None)
def test_three_ways_of_walking_agree_on_any_genealogy(
    build: Build, genealogies: list[tuple[set[tuple[int, int]], set[int]]]
) -> None:
    edges = {
        (8 * n + later, 8 * n + earlier)
        for n, (pairs, _) in enumerate(genealogies)
        for later, earlier in pairs
    }
    starts = {8 * n + start for n, (_, some) in enumerate(genealogies) for start in some}
    graph = fill(build, 40, sorted(edges))
    on_loops = {name for loop in loops(graph) for name in loop.members}
    reached: dict[str, dict[int, set[int]]] = {}
    for direction, walked in (("upstream", upstream), ("downstream", downstream)):
        recursive = closure(build, range(40), direction).groupby("start_id")["node_id"].agg(set)
        reached[direction] = {start: set(recursive.get(start, set())) for start in range(40)}
        for start in starts:
            by_level = walk(build, [start], direction)
            by_graph = walked(graph, f"part:{start}")
            assert {f"part:{n}": d for n, d in by_level.distance.items() if d} == by_graph
            on_loop = {start} if f"part:{start}" in on_loops else set()
            assert reached[direction][start] == {int(name[5:]) for name in by_graph} | on_loop
            inside = {(a, b) for a, b, *_ in by_level.edges}
            end = 0 if direction == "upstream" else 1
            assert inside == {edge for edge in edges if edge[end] in by_level.distance}
    # What is found forward from anything found backward holds the start, and the reverse.
    for there, back in (("upstream", "downstream"), ("downstream", "upstream")):
        for start in starts:
            for other in reached[there][start]:
                assert start in reached[back][other]


@given(st.sets(st.tuples(st.integers(0, 6), st.integers(0, 6)), max_size=15), st.integers(1, 4))
@settings(max_examples=25, deadline=None)
def test_depth_ends_the_walk_and_says_whether_it_kept_something_out(
    build: Build, edges: set[tuple[int, int]], depth: int
) -> None:
    graph = fill(build, 7, sorted(edges))
    found = walk(build, [0], "upstream", depth)
    assert {f"part:{n}": d for n, d in found.distance.items() if d} == upstream(
        graph, "part:0", depth
    )
    assert found.cut_short == (len(upstream(graph, "part:0")) > len(found.distance) - 1)
    assert all(
        later in found.distance and earlier in found.distance for later, earlier, *_ in found.edges
    )


def test_forty_diamonds_are_walked_once_each_at_once(build: Build) -> None:
    edges = [
        pair
        for n in range(0, 120, 3)
        for pair in ((n, n + 1), (n, n + 2), (n + 1, n + 3), (n + 2, n + 3))
    ]
    fill(build, 121, edges)  # 2 to the power of 40 ways lead from end to end
    found, walked = quickest(lambda: walk(build, [0], "upstream"))
    recursive, closed = quickest(lambda: closure(build, [0], "upstream"))
    assert walked < AT_ONCE
    assert closed < AT_ONCE
    assert len(found.distance) == 121
    assert len(found.edges) == 160
    assert len(recursive) == 120


def test_a_chain_of_8000_with_a_loop_at_its_end_is_walked_at_once(build: Build) -> None:
    fill(build, 8_000, [*((n, n + 1) for n in range(7_999)), (7_999, 7_000)])
    found, walked = quickest(lambda: walk(build, [0], "upstream"))
    recursive, closed = quickest(lambda: closure(build, [7_999], "downstream"))
    assert walked < AT_ONCE
    assert closed < AT_ONCE
    back = walk(build, [7_999], "downstream")
    assert found.distance == {n: n for n in range(8_000)}
    assert len(found.edges) == 8_000
    assert back.distance == {n: 7_999 - n for n in range(8_000)}
    assert len(recursive) == 8_000
    assert not found.cut_short


@pytest.mark.parametrize("depth", [SMALL_QUERIES - 1, SMALL_QUERIES, SMALL_QUERIES + 5])
def test_depth_holds_where_small_queries_end(build: Build, depth: int) -> None:
    fill(build, 60, [*((n, n + 1) for n in range(59)), (50, 10)])
    found = walk(build, [0], "upstream", depth)
    assert found.distance == {n: n for n in range(depth + 1)}
    assert [edge[:2] for edge in found.edges] == [(n, n + 1) for n in range(depth)]
    assert found.cut_short
