from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path

import pytest

from tracegraph.cases import CaseStore, acts
from tracegraph.cases.actions import actions
from tracegraph.domain.errors import CaseFileError

DUE = date(2026, 5, 1)


@pytest.fixture
def files(tmp_path: Path) -> CaseStore:
    store = CaseStore(f"sqlite:///{tmp_path / 'cases.sqlite'}")
    store.open_case("QL-1", {"title": "a"})
    return store


def test_actions_set_at_once_get_numbers_of_their_own(files: CaseStore) -> None:
    def act(person: int) -> int:
        entry = acts.act(files, f"QM-{person}", "C-0001", "mend it", "PE-1", DUE)
        return int(entry.content["number"])

    with ThreadPoolExecutor(8) as people:
        numbers = list(people.map(act, range(16)))
    assert sorted(numbers) == list(range(1, 17))
    assert files.verify("C-0001").whole


def test_an_action_is_done_once_it_is_said_to_be(files: CaseStore) -> None:
    acts.act(files, "QM-1", "C-0001", "mend it", "PE-1", DUE)
    (before,) = actions(files.entries("C-0001"), date(2026, 5, 11))
    assert (before.overdue, before.days_overdue) == (True, 10)
    acts.done(files, "PE-1", "C-0001", 1, date(2026, 5, 12), date(2026, 5, 14))
    (after,) = actions(files.entries("C-0001"), date(2026, 6, 1))
    assert (after.overdue, after.days_overdue) == (False, 11)
    assert after.first_built == date(2026, 5, 14)


def test_the_first_hull_is_not_built_before_the_action(files: CaseStore) -> None:
    acts.act(files, "QM-1", "C-0001", "mend it", "PE-1", DUE)
    with pytest.raises(CaseFileError, match="cannot be built before"):
        acts.done(files, "PE-1", "C-0001", 1, date(2026, 5, 12), date(2026, 5, 11))


def test_a_report_does_not_come_before_the_discovery(files: CaseStore) -> None:
    acts.discover(files, "QL-1", "C-0001", date(2026, 3, 9), "second leak")
    with pytest.raises(CaseFileError, match="on record with 2026-03-09"):
        acts.report_made(files, "QL-1", "C-0001", date(2026, 3, 8), "sent")


def test_a_blank_is_no_answer(files: CaseStore) -> None:
    with pytest.raises(CaseFileError, match="must say why"):
        acts.discover(files, "QL-1", "C-0001", date(2026, 3, 9), " ")
