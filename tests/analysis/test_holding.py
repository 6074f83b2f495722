"""States put beside a containment always add up to the hulls listed."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.test_holding import act
from tests.exposure.test_exposure import deck_plant, derived
from tracegraph.analysis.containing.holding import report_counts, state_counts
from tracegraph.analysis.containment import Containment, contain
from tracegraph.analysis.holding import hold, progress
from tracegraph.domain.holding import HOLD_STATES
from tracegraph.store.reader import as_store

LOT = "deck: gelcoat spray: gelcoat lot"
NAME = f"{LOT} = A"


@pytest.fixture(scope="module")
def found() -> Iterator[Containment]:
    with as_store(derived(**deck_plant(9, list("AAAAABBBB")))) as store:
        yield contain(store, LOT, "A")


def test_a_hull_nothing_was_written_about_is_unknown(found: Containment) -> None:
    first, second = found.hulls["hull_serial"].tolist()[:2]
    held = hold(found, [act(hull=first, hold=NAME), act(hull=second, value="corrected")])
    assert held.name == NAME
    assert len(held.acts) == 1  # the other one is about another hold
    state = held.found.hulls.set_index("hull_serial")["state"]
    assert state[first] == "notified"
    assert (state.drop(first) == "unknown").all()


def test_hulls_no_longer_listed_are_named_and_not_counted(found: Containment) -> None:
    held = hold(found, [act(hull="GONE-1", hold=NAME)])
    assert held.not_listed == ("GONE-1",)
    assert state_counts(held.found.hulls)["total"].sum() == len(found.hulls)


def test_progress_counts_the_states_after_each_day(found: Containment) -> None:
    first, second = found.hulls["hull_serial"].tolist()[:2]
    acts = [
        act(hull=first, hold=NAME, day="2026-03-09"),
        act(hull=second, hold=NAME, day="2026-03-09"),
        act(hull=second, hold=NAME, day="2026-03-20", value="corrected"),
        act(hull=first, hold=NAME, day="2026-03-12", value="unreachable"),
        act(hull="GONE-1", hold=NAME, day="2026-03-12"),
    ]
    table = progress(hold(found, acts)).set_index("day")
    assert table["notified"].tolist() == [2, 1, 0]
    assert table["unreachable"].tolist() == [0, 1, 1]
    assert table["reached"].tolist() == [2, 1, 1]
    assert (table[list(HOLD_STATES)].sum(axis=1) == len(found.hulls)).all()
    assert progress(hold(found, [])).empty


@given(
    st.lists(
        st.tuples(st.sampled_from(range(9)), st.sampled_from(HOLD_STATES), st.booleans()),
        max_size=20,
    )
)
def test_states_add_up_after_any_acts(
    found: Containment, changes: list[tuple[int, str, bool]]
) -> None:
    serials = [f"BT-{n}" for n in range(4)] + found.hulls["hull_serial"].tolist()
    acts = [
        act(hull=serials[n], value=state, hold=NAME if own else "another")
        for n, state, own in changes
    ]
    held = hold(found, acts)
    total = state_counts(held.found.hulls)["total"]
    assert list(total.index) == list(HOLD_STATES)
    assert total.sum() == len(found.hulls) == report_counts(held.found.hulls).may_contain
    days = progress(held)
    assert (days[list(HOLD_STATES)].sum(axis=1) == len(found.hulls)).all()
    if len(days):
        assert days[list(HOLD_STATES)].iloc[-1].tolist() == total.tolist()
