from datetime import date

from tests.support.case_entries import opened, sealed
from tracegraph.report.casefile import case_list
from tracegraph.report.casefile.open_cases import NAMED, open_case_sentences
from tracegraph.report.casefile.safety import REFER

TODAY = date(2026, 3, 31)
ACTED = ("acted", {"number": 1, "what": "mend it", "owner": "PE-1", "due": "2026-03-20"})


def test_without_a_case_it_says_how_to_open_one() -> None:
    assert open_case_sentences(case_list([], TODAY))[0].startswith("No case file yet.")


def test_open_cases_are_told_with_age_next_step_and_what_is_overdue() -> None:
    grave = sealed(opened(safety_class=1))
    said = open_case_sentences(case_list([sealed(opened(), ACTED), grave], TODAY))
    assert said[0] == "2 of 2 case files open, 1 with something overdue."
    assert said[1].startswith("C-0001 Voids: 30 days open. Next: ")
    assert REFER in said[1]
    assert said[2].endswith("Overdue: 1 action.")


def test_many_open_cases_are_counted() -> None:
    said = open_case_sentences(case_list([sealed(opened())] * (NAMED + 2), TODAY))
    assert said[0] == f"{NAMED + 2} of {NAMED + 2} case files open, nothing overdue."
    assert said[-1] == "And 2 more open cases."
    assert len(said) == NAMED + 2
