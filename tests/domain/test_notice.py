"""Days of 33 CFR 179.05 (30) and 179.15 (60), and the agency's 90, counted by hand."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.domain.errors import DefinitionError
from tracegraph.domain.notice import (
    CAUTION,
    Reminder,
    RiskDecision,
    open_questions,
    reminders,
)

FOUND = date(2026, 1, 15)


def decision(notify: bool) -> RiskDecision:
    return RiskDecision(notify, "the quality manager", "tank seam opens", date(2026, 1, 20))


def test_notice_is_due_30_days_after_discovery_and_the_report_60_days_later() -> None:
    found = reminders(FOUND, date(2026, 2, 1))
    assert found == (
        Reminder(date(2026, 2, 14), "notice to purchasers and dealers, and first report", 13),
        Reminder(date(2026, 4, 15), "first progress report", 73),
    )


def test_reports_follow_every_90_days_up_to_the_next() -> None:
    found = reminders(FOUND, date(2026, 7, 1), first_report_on=date(2026, 2, 10))
    # 10 February + 60 = 11 April; + 90 = 10 July.
    assert [str(one.due_on) for one in found] == ["2026-04-11", "2026-07-10"]
    assert [one.days_left for one in found] == [-81, 9]


def test_a_decision_not_to_notify_leaves_no_day() -> None:
    assert reminders(FOUND, FOUND, decision=decision(False)) == ()
    assert len(reminders(FOUND, FOUND, decision=decision(True))) == 2


def test_nothing_is_decided_here() -> None:
    questions = open_questions(None)
    assert any("Who decides" in question for question in questions)
    assert open_questions(decision(True)) == ()
    assert "local law and counsel prevail" in CAUTION


@pytest.mark.parametrize(("who", "why"), [("", "because"), ("QM", "  ")])
def test_a_decision_without_name_or_reason_is_refused(who: str, why: str) -> None:
    with pytest.raises(DefinitionError, match="must say"):
        RiskDecision(True, who, why, FOUND)


def test_a_report_before_the_discovery_is_refused() -> None:
    with pytest.raises(DefinitionError, match="cannot lie before"):
        reminders(FOUND, FOUND, first_report_on=FOUND - timedelta(days=1))


@given(st.integers(0, 2000), st.integers(0, 400))
def test_the_last_reminder_lies_ahead(days: int, reported_after: int) -> None:
    today = FOUND + timedelta(days=days)
    reported = FOUND + timedelta(days=reported_after)
    last = reminders(FOUND, today, first_report_on=reported)[-1]
    assert last.due_on >= today
    assert last.days_left >= 0
