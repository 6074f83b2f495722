from datetime import date

from tests.support.case_entries import opened, sealed
from tracegraph.report.casefile import case_list
from tracegraph.report.casefile.open_cases import (
    ALARMS,
    NAMED,
    grave_sentences,
    open_case_sentences,
)
from tracegraph.report.casefile.safety import REFER

TODAY = date(2026, 3, 31)
ACTED = ("acted", {"number": 1, "what": "mend it", "owner": "PE-1", "due": "2026-03-20"})


def test_without_a_case_it_says_how_to_open_one() -> None:
    assert open_case_sentences(case_list([], TODAY))[0].startswith("No case file yet.")


def test_open_cases_are_told_with_age_next_step_and_what_is_overdue() -> None:
    grave = sealed(opened(safety_class=1))
    said = open_case_sentences(case_list([sealed(opened(), ACTED), grave], TODAY))
    assert said[0] == "2 of 2 case files open, 1 with something overdue."
    assert said[1] == (
        "Their claims cost 1,800 to date; to come not known; containment still open not known."
    )
    assert said[2].startswith("C-0001 Voids: 30 days open. Next: ")
    assert REFER in said[2]
    assert said[3].endswith("Overdue: 1 action.")


def test_a_cost_that_is_missing_is_counted_not_guessed() -> None:
    listed = case_list([sealed(opened()), sealed(opened(cost=None))], TODAY)
    assert "claims cost 900 (not known for 1) to date" in open_case_sentences(listed)[1]


def test_open_safety_matters_are_told_first_and_closed_ones_no_more() -> None:
    grave = sealed(opened(safety_class=1))
    closed = sealed(opened(safety_class=1), ("closed", {"reason": "x", "lacks": []}))
    assert grave_sentences(case_list([sealed(opened()), closed], TODAY)) == ()
    (told,) = grave_sentences(case_list([grave, closed], TODAY))
    assert told.startswith(f"C-0001 Voids: {REFER}")
    assert len(grave_sentences(case_list([grave] * 9, TODAY))) == ALARMS + 1


def test_many_open_cases_are_counted() -> None:
    said = open_case_sentences(case_list([sealed(opened())] * (NAMED + 2), TODAY))
    assert said[0] == f"{NAMED + 2} of {NAMED + 2} case files open, nothing overdue."
    assert said[-1] == "And 2 more open cases."
    assert len(said) == NAMED + 3
