"""Long work goes on while someone waits, stops when nobody does, and never loses a piece."""

from __future__ import annotations

from collections.abc import Iterator
from threading import Event, Semaphore

from tracegraph.domain.errors import StoreError
from tracegraph.domain.stopping import stop_if_asked
from tracegraph.pages.background import Background

PATIENCE = 20


def paced(gate: Semaphore, made: list[int]) -> Iterator[int]:
    for number in range(4):
        gate.acquire()
        made.append(number)
        yield number


def test_pieces_come_in_order_and_end() -> None:
    work = Background(lambda: iter([1, 2, 3]), 3)
    assert work.done() == []
    work.watch("a")
    assert work.done(PATIENCE) == [1, 2, 3]
    assert work.finished
    work.watch("b")
    assert work.done(PATIENCE) == [1, 2, 3]


def test_it_stops_after_the_piece_in_hand_and_goes_on_from_there() -> None:
    gate, made = Semaphore(0), []  # type: ignore[var-annotated]  # filled below
    work = Background(lambda: paced(gate, made), 4)
    work.watch("a")
    work.watch("b")
    work.leave("a")
    gate.release()
    work.leave("b")
    gate.release()
    assert work.done(PATIENCE)[:1] == [0]
    assert not work.finished
    gate.release(4)
    work.watch("a")
    assert work.done(PATIENCE) == [0, 1, 2, 3] == made
    assert work.finished


def test_a_failure_is_a_sentence() -> None:
    gone = [True, False]

    def fails() -> Iterator[int]:
        yield 1
        if gone.pop(0):
            raise StoreError("The store is gone.")
        yield 2

    work = Background(fails, 2)
    work.watch("a")
    assert work.done(PATIENCE) == [1]
    assert work.failed == "The store is gone."
    assert not work.finished
    work.watch("a")
    assert work.done(PATIENCE) == [1, 2]
    assert work.finished


def endless(began: Event, turns: list[int], last: int) -> Iterator[str]:
    """Work of many steps, which ends by itself only in its later turn."""
    yield "first"
    turns.append(1)
    began.set()
    while len(turns) < last:
        stop_if_asked()
    yield "second"


def test_stopped_by_the_last_who_waits_it_ends_at_its_next_step_and_is_begun_anew() -> None:
    began, turns = Event(), []  # type: ignore[var-annotated]  # filled below
    work = Background(lambda: endless(began, turns, 2), 2)
    work.watch("a")
    work.watch("b")
    assert began.wait(PATIENCE)
    work.leave("a")
    assert work.done(0.05) == ["first"]  # goes on: the other one waits
    work.leave("b")
    assert work.done(PATIENCE) == ["first"]
    assert not work.finished
    assert not work.failed
    work.watch("a")
    assert work.done(PATIENCE) == ["first", "second"]
    assert turns == [1, 1]
    assert work.finished


def test_whoever_comes_back_before_it_has_ended_is_served() -> None:
    began, turns = Event(), []  # type: ignore[var-annotated]  # filled below
    work = Background(lambda: endless(began, turns, 2), 2)
    work.watch("a")
    assert began.wait(PATIENCE)
    for _ in range(20):
        work.leave("a")
        work.watch("a")
    work.leave("a")
    work.done(PATIENCE)
    work.watch("b")
    assert work.done(PATIENCE) == ["first", "second"]
    assert work.finished
