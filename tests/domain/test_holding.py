"""What is in force follows from the acts, the latest one about a hull first."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.domain.errors import DefinitionError
from tracegraph.domain.holding import (
    DECIDED,
    DISCOVERED,
    HOLD_STATES,
    NO_NOTICE,
    NOTIFY,
    REPORTED,
    STATE,
    HoldAct,
    hold_name,
    standing,
)
from tracegraph.domain.notice import RiskDecision

MOLD = "hull: mold = M1"


def act(what: str = STATE, value: str = "notified", hull: str = "BT-1", **more: str) -> HoldAct:
    if what != STATE:
        hull = ""
    if what not in (STATE, DECIDED):
        value = ""
    given = {"at": "2026-03-09T08:00:00+00:00", "who": "QL-1", "hold": MOLD, "day": "2026-03-09",
             "reason": "letter"}  # fmt: skip
    return HoldAct(act=what, value=value, hull=hull, **(given | more))


def test_the_latest_act_about_a_hull_gives_its_state() -> None:
    acts = [act(), act(hull="BT-2"), act(value="corrected"), act(value="refused", hold="another")]
    assert standing(acts, MOLD).states == {"BT-1": "corrected", "BT-2": "notified"}
    assert standing(acts, "another").states == {"BT-1": "refused"}


def test_days_and_the_decision_are_those_written_last() -> None:
    acts = [
        act(DISCOVERED, day="2026-03-01"),
        act(DECIDED, NO_NOTICE, day="2026-03-02"),
        act(DISCOVERED, day="2026-02-27", reason="an earlier letter turned up"),
        act(DECIDED, NOTIFY, day="2026-03-05", who="QM-1", reason="second leak"),
        act(REPORTED, day="2026-03-10"),
    ]
    now = standing(acts, MOLD)
    assert now.discovered_on == date(2026, 2, 27)
    assert now.first_report_on == date(2026, 3, 10)
    assert now.decision == RiskDecision(True, "QM-1", "second leak", date(2026, 3, 5))
    assert standing([], MOLD).decision is None


@given(st.lists(st.tuples(st.sampled_from(["a", "b", "c"]), st.sampled_from(HOLD_STATES))))
def test_states_are_those_of_the_last_act_whatever_came_before(
    changes: list[tuple[str, str]],
) -> None:
    acts = [act(value=state, hull=hull) for hull, state in changes]
    assert standing(acts, MOLD).states == dict(changes)


def test_the_name_of_a_hold_does_not_hang_on_the_order_of_its_suspects() -> None:
    pair = [("b", "1"), ("a", "2")]
    assert hold_name(pair) == hold_name(pair[::-1]) == "a = 2; b = 1"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"who": " "}, "must say who"),
        ({"reason": ""}, "must say reason"),
        ({"value": "fixed"}, "is no act about a hold"),
        ({"act": "moved"}, "is no act about a hold"),
        ({"act": DECIDED, "value": "notified", "hull": ""}, "is no act about a hold"),
        ({"hull": ""}, "belongs to a hull"),
        ({"act": DISCOVERED, "value": ""}, "belongs to a hull"),
        ({"day": "9 March"}, "2026-03-09"),
        ({"at": "yesterday"}, "2026-03-09"),
    ],
)
def test_a_wrong_act_is_refused(change: dict[str, str], words: str) -> None:
    with pytest.raises(DefinitionError, match=words):
        replace(act(), **change)
