"""Long work in a thread of its own: its pieces are shown as they come, and it can be stopped."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from itertools import islice
from threading import Condition, Thread
from typing import Generic, TypeVar

from tracegraph.domain.errors import StoppedError, TraceGraphError
from tracegraph.domain.stopping import StopSign, heeding

Piece = TypeVar("Piece")


class Background(Generic[Piece]):
    """Pieces made one after another while at least one session looks on.

    Shared by all sessions. A session that stops it stops it for itself: it goes on while
    another one waits. With the last one it ends at its next step, and the piece in hand is
    begun anew when someone comes back.

    Parameters
    ----------
    make : callable
        Makes the pieces; called once, and once more after a failure or a stop.
    total : int
        How many there will be.
    """

    def __init__(self, make: Callable[[], Iterator[Piece]], total: int) -> None:
        self.total = total
        self.failed: str | None = None
        self.finished = False
        self._make = make
        self._pieces = make()
        self._done: list[Piece] = []
        self._watchers: set[str] = set()
        self._running = False
        self._sign = StopSign()
        self._changed = Condition()

    @classmethod
    def of_one(cls, make: Callable[[], Piece]) -> Background[Piece]:
        """Work that is one piece."""

        def once() -> Iterator[Piece]:
            yield make()

        return cls(once, 1)

    def watch(self, session: str) -> None:
        """Wait for it in a session; begin or go on if it stands still."""
        with self._changed:
            self._watchers.add(session)
            self._sign.lower()
            if self._running or self.finished:
                return
            if self.failed:
                self._pieces, self._done = self._make(), []
            self._running, self.failed = True, None
        Thread(target=self._work, daemon=True).start()

    def leave(self, session: str) -> None:
        """Wait for it no longer; with the last one it stops."""
        with self._changed:
            self._watchers.discard(session)
            if not self._watchers:
                self._sign.raise_()

    def leave_all(self) -> None:
        """Stop, for everyone."""
        with self._changed:
            self._watchers.clear()
            self._sign.raise_()

    def done(self, patience: float = 0.0) -> list[Piece]:
        """Pieces made so far.

        Parameters
        ----------
        patience : float, default 0
            Seconds to wait for the end.
        """
        end = time.monotonic() + patience
        with self._changed:
            while self._running and (left := end - time.monotonic()) > 0:
                self._changed.wait(left)
            return list(self._done)

    def _work(self) -> None:
        while True:
            failed, stopped = None, False
            try:
                with heeding(self._sign):
                    piece = next(self._pieces, None)
            except StoppedError:
                piece, stopped = None, True
            except TraceGraphError as error:
                piece, failed = None, str(error)
            except Exception as error:  # a thread has nobody above it who would tell
                piece, failed = None, f"This could not be worked out ({type(error).__name__})."
            with self._changed:
                if piece is not None:
                    self._done.append(piece)
                if stopped:
                    self._pieces = islice(self._make(), len(self._done), None)
                self.failed = failed
                self.finished = piece is None and failed is None and not stopped
                self._running = not (failed or self.finished) and bool(self._watchers)
                self._changed.notify_all()
                if not self._running:
                    return
