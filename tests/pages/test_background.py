"""Long work goes on while someone waits, stops when nobody does, and never loses a piece."""

from __future__ import annotations

from collections.abc import Iterator
from threading import Semaphore

from tracegraph.domain.errors import StoreError
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
