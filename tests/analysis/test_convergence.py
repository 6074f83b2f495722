from __future__ import annotations

from collections.abc import Iterator

import networkx as nx
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.analysis.small_plant import linked_plant
from tracegraph.analysis.convergence import Convergence, cluster_graph, convergence
from tracegraph.analysis.folding import Cluster, fold
from tracegraph.analysis.naming import find_suspect
from tracegraph.analysis.tracing import trace
from tracegraph.domain.errors import DefinitionError
from tracegraph.exposure import build_exposure
from tracegraph.store import Store
from tracegraph.store.reader import as_store

LOTS = [
    ("hull: gelcoat spray: gelcoat lot", "G-1"),
    ("hull: gelcoat spray: gelcoat lot", "G-2"),
    ("hull: mold", "M-1"),
]


@pytest.fixture(scope="module")
def store() -> Iterator[Store]:
    build = linked_plant()
    build_exposure(build)
    with as_store(build) as store:
        yield store


def level_ids(store: Store) -> list[int]:
    with store.session() as session:
        return [find_suspect(session, *name).level_id for name in LOTS]


def labels(found: Convergence, layer: int) -> list[str]:
    return sorted(found.nodes.loc[found.nodes["layer"] == layer, "label"])


def width(found: Convergence, source: str, target: str) -> tuple[int, int]:
    node = found.nodes.set_index("label")["node"]
    edges = found.edges.set_index(["source", "target"])
    row = edges.loc[(node[source], node[target])]
    return int(row["hulls"]), int(row["unknown"])


def test_a_small_cluster_is_shown_one_by_one(store: Store) -> None:
    found = convergence(store, [1, 3, 4], level_ids(store))
    assert not found.folded
    assert labels(found, 0) == ["C-1/1 blister", "C-1/2 leak", "C-2 blister"]
    assert labels(found, 1) == ["BT-1001", "BT-1003", "BT-1004"]
    assert labels(found, 2) == ["hull", "hull: gelcoat spray"]
    assert labels(found, 3) == ["gelcoat lot G-1", "gelcoat lot G-2", "mold M-1"]
    assert width(found, "C-2 blister", "BT-1003") == (1, 0)
    assert width(found, "BT-1003", "hull: gelcoat spray") == (1, 0)
    # BT-1004's lot was not written down: it may be either.
    assert width(found, "BT-1004", "hull: gelcoat spray") == (0, 1)
    assert width(found, "hull: gelcoat spray", "gelcoat lot G-1") == (2, 1)
    assert width(found, "hull: gelcoat spray", "gelcoat lot G-2") == (1, 1)
    assert width(found, "hull", "mold M-1") == (3, 0)


def test_only_claims_of_the_symptoms_asked_for(store: Store) -> None:
    found = convergence(store, [1, 3], level_ids(store), symptoms=["LEAK"])
    assert labels(found, 0) == ["C-1/2 leak"]


def test_siblings_fold_into_counted_nodes(store: Store) -> None:
    found = convergence(store, [1, 2, 3, 5, 4], level_ids(store), max_nodes=12)
    assert found.folded
    assert labels(found, 1) == ["2 hulls", "2 hulls", "BT-1004"]
    folded = found.nodes[found.nodes["label"] == "2 hulls"]
    assert sorted(folded["members"].tolist()) == [["BT-1001", "BT-1002"], ["BT-1003", "BT-1005"]]
    assert width(found, "hull: gelcoat spray", "gelcoat lot G-1") == (4, 1)


def test_positions_count_from_nought_in_each_layer(store: Store) -> None:
    nodes = convergence(store, [1, 2, 3], level_ids(store)).nodes
    for _, layer in nodes.groupby("layer"):
        assert layer["position"].tolist() == list(range(len(layer)))


def test_too_few_nodes_are_refused(store: Store) -> None:
    with pytest.raises(DefinitionError, match="8 or more; got 5"):
        convergence(store, [1], level_ids(store), max_nodes=5)


def test_a_cluster_without_suspects_or_claims_is_its_hulls(store: Store) -> None:
    found = convergence(store, [6], [])
    assert found.nodes["label"].tolist() == ["BT-2001"]
    assert found.edges.empty


def test_the_graph_of_a_cluster_is_the_union_of_its_traces(store: Store) -> None:
    graph = cluster_graph(store, [1, 3])
    union = nx.compose(trace(store, "BT-1001").graph, trace(store, "BT-1003").graph)
    assert set(graph) == set(union)
    assert set(graph.edges) == set(union.edges)
    assert nx.utils.graphs_equal(graph, union)


SUSPECTS = st.frozensets(st.integers(0, 9))
HULLS = st.lists(st.tuples(SUSPECTS, SUSPECTS, st.integers(0, 3)), min_size=1, max_size=30)


@given(HULLS, st.integers(8, 40))
@settings(max_examples=80, deadline=None)
def test_any_cluster_fits_and_nothing_gets_lost(
    hulls: list[tuple[frozenset[int], frozenset[int], int]], max_nodes: int
) -> None:
    claims = [hull for hull, (_, _, count) in enumerate(hulls) for _ in range(count)]
    cluster = Cluster(
        hulls={hull: f"H{hull}" for hull in range(len(hulls))},
        claims={
            n: (f"C{n}", "leak" if n % 3 else "blister", hull) for n, hull in enumerate(claims)
        },
        suspects={suspect: (f"S{suspect}", f"op {suspect % 7}") for suspect in range(10)},
        recorded={hull: recorded for hull, (recorded, _, _) in enumerate(hulls)},
        unknown={hull: unknown - recorded for hull, (recorded, unknown, _) in enumerate(hulls)},
    )
    grouping = fold(cluster, max_nodes)
    assert grouping.size() <= max_nodes
    assert grouping.claims.keys() == cluster.claims.keys()
    assert grouping.hulls.keys() == cluster.hulls.keys()
    assert grouping.suspects.keys() == cluster.suspects.keys()
    everything = len(claims) + len(hulls) + len(grouping.operations) + 10
    if everything <= max_nodes:
        assert grouping.size() == everything


def test_a_large_cluster_is_laid_out_within_its_limit() -> None:
    build = linked_plant()
    hulls = pd.DataFrame({"n": range(100, 400)})
    build.register("many", hulls)
    build.execute(
        "INSERT INTO hull_index BY NAME SELECT n AS hull_id, concat('X-', n) AS hull_serial, "
        "'S22' AS model, 'owner' AS place, false AS delivered_imputed FROM many;"
        "INSERT INTO families SELECT i, concat('deck: step ', i, ': resin lot'), 'material lot', "
        "'deck', concat('step ', i), 1, NULL FROM range(40) AS r(i);"
        "INSERT INTO levels SELECT i, i, 'L', NULL, NULL FROM range(40) AS r(i);"
        "INSERT INTO exposure SELECT i, i, n, true, true FROM range(40) AS r(i), many "
        "WHERE hash(n * 40 + i) % 3 = 0"
    )
    with as_store(build) as store:
        found = convergence(store, hulls["n"].tolist(), list(range(40)))
    assert len(found.nodes) <= 70
    assert found.nodes["count"].sum() == 300 + 40 + 40
    assert set(found.edges["source"]) | set(found.edges["target"]) <= set(found.nodes["node"])
