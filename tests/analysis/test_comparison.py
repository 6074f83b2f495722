from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.analysis.small_plant import linked_plant
from tracegraph.analysis.comparison import Comparison, compare
from tracegraph.domain.errors import DefinitionError, UnknownHullError
from tracegraph.exposure import build_exposure
from tracegraph.store import Store
from tracegraph.store.reader import as_store

HULL_LOT = "hull: gelcoat spray: gelcoat lot"
DECK_LOT = "deck: gelcoat spray: gelcoat lot"


@pytest.fixture(scope="module")
def store() -> Iterator[Store]:
    build = linked_plant()
    build_exposure(build)
    with as_store(build) as store:
        yield store


def verdict(found: Comparison, family: str) -> list[object]:
    row = found.families.set_index("family").loc[family]
    return [row["verdict"], row["differ"], *row[list(found.hulls)]]


def test_shared_levels_come_rarest_first_with_their_counts(store: Store) -> None:
    found = compare(store, ["BT-1003", "bt 1005"])
    assert found.hulls == ("BT-1003", "BT-1005")
    shared = found.shared
    assert shared["fraction"].is_monotonic_increasing
    by_name = shared.set_index(["family", "level"])
    # G-2 went into 2 of the 6 hulls; through it G-0 into the same and G-1 into 4.
    assert by_name.loc[(HULL_LOT, "G-2"), ["carry", "applies", "known"]].tolist() == [2, 6, 5]
    assert by_name.loc[(HULL_LOT, "G-1"), "carry"] == 4
    assert by_name.loc[(DECK_LOT, "G-1"), ["carry", "applies", "known"]].tolist() == [6, 6, 6]
    assert by_name.loc[("hull: mold", "M-1"), "fraction"] == 1.0
    assert shared.loc[0, "fraction"] == pytest.approx(2 / 6)


def test_each_question_has_a_verdict(store: Store) -> None:
    found = compare(store, ["BT-1001", "BT-1003"])
    assert verdict(found, HULL_LOT) == ["shared", True, "G-1", "G-0, G-1, G-2"]
    assert verdict(found, DECK_LOT) == ["shared", False, "G-1", "G-1"]
    drums = "hull: gelcoat spray: gelcoat drum"
    assert verdict(found, drums) == ["different", True, "G-1/1", "G-2/1"]


def test_a_missing_record_is_neither_shared_nor_different(store: Store) -> None:
    found = compare(store, ["BT-1001", "BT-1004"])
    assert verdict(found, HULL_LOT) == ["not known", True, "G-1", "not written down"]
    assert HULL_LOT not in set(found.shared["family"])


def test_three_hulls_share_only_what_all_three_carry(store: Store) -> None:
    found = compare(store, ["BT-1001", "BT-1002", "BT-2001"])
    assert HULL_LOT not in set(found.shared["family"])
    assert verdict(found, HULL_LOT) == ["different", True, "G-1", "G-1", "G-3"]


def test_a_claim_stands_for_its_hull(store: Store) -> None:
    assert compare(store, ["C-2", "C-1"]).hulls == ("BT-1003", "BT-1001")


def test_people_are_left_out_without_a_reason(store: Store) -> None:
    silent = compare(store, ["BT-1001", "BT-1002"])
    assert "people" not in set(silent.families["kind"]) | set(silent.shared["kind"])
    told = compare(store, ["BT-1001", "BT-1002"], people_reason="gun handover on 4 January")
    assert "people" in set(told.shared["kind"])
    assert told.families["kind"].tolist()[-1] == "people"
    with pytest.raises(DefinitionError, match="reason"):
        compare(store, ["BT-1001", "BT-1002"], people_reason=" ")


def test_too_few_or_wrong_hulls_are_refused(store: Store) -> None:
    with pytest.raises(DefinitionError, match="two or more different hulls; got 1: BT-1001"):
        compare(store, ["BT-1001", "us-QZX1001XA525"])
    with pytest.raises(UnknownHullError, match="There is no hull 'G-1'"):
        compare(store, ["BT-1001", "G-1"])
    with pytest.raises(UnknownHullError, match="hull of claim 'C-3'"):
        compare(store, ["BT-1001", "C-3"])
    with pytest.raises(UnknownHullError, match="BT-9999"):
        compare(store, ["BT-1001", "BT-9999"])
