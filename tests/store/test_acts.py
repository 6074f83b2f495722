"""Acts are appended, kept in order, and readable years later."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from tests.domain.test_holding import act as hold_act
from tracegraph.domain.acts import CLAIM_TO_HULL, Act, meanings_in_force
from tracegraph.domain.errors import StoreError
from tracegraph.store.acts import append_act, append_hold_acts, read_acts, read_hold_acts


def act(written: str, meant: str, what: str = "accept") -> Act:
    return Act(
        "2026-03-01T08:00:00+00:00",
        "QL-1",
        what,
        CLAIM_TO_HULL,
        written,
        meant,
        "photo",  # type: ignore[arg-type]  # both words are used
    )


def test_acts_come_back_in_order(tmp_path: Path) -> None:
    acts = [act("A", "1"), act("B", "2"), act("A", "1", "undo")]
    for one in acts:
        append_act(tmp_path, one)
    assert list(read_acts(tmp_path)) == acts
    assert [m.written for m in meanings_in_force(acts)] == ["B"]


def test_later_acceptance_replaces_and_only_its_own_undo_takes_it_back() -> None:
    acts = [act("A", "1"), act("A", "2"), act("A", "1", "undo")]
    assert [m.meant for m in meanings_in_force(acts)] == ["2"]


def test_many_writers_lose_nothing(tmp_path: Path) -> None:
    def write(worker: int) -> None:
        for number in range(25):
            append_act(tmp_path, act(f"{worker}-{number}", "1"))

    threads = [threading.Thread(target=write, args=(n,)) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len({one.written for one in read_acts(tmp_path)}) == 100


def test_damaged_line_is_named(tmp_path: Path) -> None:
    append_act(tmp_path, act("A", "1"))
    with (tmp_path / "acts.jsonl").open("a") as file:
        file.write("{half\n")
    with pytest.raises(StoreError, match="line 2 is not an act"):
        read_acts(tmp_path)


def test_no_file_means_no_acts(tmp_path: Path) -> None:
    assert read_acts(tmp_path) == ()
    assert read_hold_acts(tmp_path) == ()


def test_acts_about_holds_have_a_file_of_their_own(tmp_path: Path) -> None:
    acts = [hold_act(), hold_act(value="corrected", reason="hose changed — Ø 10 mm")]
    append_hold_acts(tmp_path, acts)
    append_act(tmp_path, act("A", "1"))
    assert list(read_hold_acts(tmp_path)) == acts
    assert len(read_acts(tmp_path)) == 1
    with (tmp_path / "holds.jsonl").open("a") as file:
        file.write('{"at": "x"}\n')
    with pytest.raises(StoreError, match="line 3 is not an act"):
        read_hold_acts(tmp_path)
