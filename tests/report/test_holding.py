"""Where a hold stands, in words."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date

import pytest

from tests.analysis.test_holding import LOT, NAME
from tests.domain.test_holding import act
from tests.exposure.test_exposure import deck_plant, derived
from tracegraph.analysis.containment import Containment, contain
from tracegraph.analysis.holding import hold
from tracegraph.domain.holding import DECIDED, DISCOVERED, NO_NOTICE, NOTIFY, REPORTED
from tracegraph.domain.notice import CAUTION
from tracegraph.report.holding import (
    hold_acts_table,
    hold_json,
    hold_sentences,
    holds_table,
    progress_table,
)
from tracegraph.store.reader import as_store

TODAY = date(2026, 3, 20)


@pytest.fixture(scope="module")
def found() -> Iterator[Containment]:
    with as_store(derived(**deck_plant(9, list("AAAAABBBB")))) as store:
        yield contain(store, LOT, "A")


def test_an_open_hold_asks_who_decides(found: Containment) -> None:
    said = hold_sentences(hold(found, []), TODAY)
    assert said[0].startswith("States add up to 5 exposed hulls: 5 unknown, 0 notified")
    assert "No day of discovery is on record, so no reminder runs." in said
    assert any("Who decides, when, and why?" in line for line in said)
    assert said[-1] == CAUTION
    assert "local law and counsel prevail" in CAUTION


def test_reminders_run_from_the_recorded_discovery(found: Containment) -> None:
    acts = [act(DISCOVERED, day="2026-03-01", hold=NAME)]
    said = hold_sentences(hold(found, acts), TODAY)
    # 1 March + 30 days = 31 March; + 60 = 30 May (33 CFR 179.05 and 179.15).
    assert any(line.endswith("by 2026-03-31, in 11 days.") for line in said)
    assert any("first progress report by 2026-05-30" in line for line in said)
    late = hold_sentences(hold(found, acts), date(2026, 4, 2))
    assert any(line.endswith("by 2026-03-31, 2 days ago.") for line in late)
    told = [*acts, act(REPORTED, day="2026-03-10", hold=NAME)]
    after = hold_sentences(hold(found, told), TODAY)
    assert not any("notice to purchasers" in line for line in after)
    assert any("first progress report by 2026-05-09" in line for line in after)


def test_the_decision_is_told_with_who_when_and_why(found: Containment) -> None:
    acts = [act(DISCOVERED, day="2026-03-01", hold=NAME),
            act(DECIDED, NO_NOTICE, who="QM-1", hold=NAME, reason="gelcoat only.")]  # fmt: skip
    said = hold_sentences(hold(found, acts), TODAY)
    assert "QM-1 decided on 2026-03-09 that no notice is to be given: gelcoat only." in said
    assert not any(line.startswith("Reminder") for line in said)
    assert not any("Who decides" in line for line in said)


def test_hulls_that_left_the_list_are_named(found: Containment) -> None:
    said = hold_sentences(hold(found, [act(hull="GONE-1", hold=NAME)]), TODAY)
    assert "1 hull with a state on record is no longer listed: GONE-1." in said


def test_json_holds_plain_values_that_add_up(found: Containment) -> None:
    serial = str(found.hulls["hull_serial"].iloc[0])
    acts = [act(hull=serial, hold=NAME), act(DECIDED, NOTIFY, hold=NAME),
            act(DISCOVERED, hold=NAME)]  # fmt: skip
    held = hold(found, acts)
    told = hold_json(held, TODAY)
    assert json.loads(json.dumps(told, allow_nan=False)) == told
    assert sum(told["states"].values()) == told["exposed"] == len(told["hulls"]) == 5
    assert told["decision"]["decision"] == "notify"
    assert [one["days_left"] for one in told["reminders"]] == [19, 79]
    assert [row["reached"] for row in told["progress"]] == [1]
    assert progress_table(held).frame["notified"].tolist() == [1]
    assert hold_acts_table(held).frame["what"].tolist() == ["state", "decided", "discovered"]


def test_holds_are_listed_with_their_next_reminder() -> None:
    acts = [
        act(DISCOVERED, day="2026-03-01", hold="a"),
        act(hull="BT-1", hold="b"),
        act(hull="BT-1", hold="b", value="unknown"),
        act(hull="BT-2", hold="b"),
        act(DECIDED, NO_NOTICE, hold="b"),
    ]
    table = holds_table(acts, TODAY).frame.set_index("hold")
    assert list(table.index) == ["b", "a"]
    assert table["hulls with a state"].to_dict() == {"a": 0, "b": 1}
    assert table["decision"].to_dict() == {"a": "open", "b": "no notice"}
    assert table.loc["a", "next reminder"] == date(2026, 3, 31)
    assert table.loc["a", "days left"] == 11
    assert table["days left"].isna()["b"]
    assert holds_table([], TODAY).caption == "0 holds."
