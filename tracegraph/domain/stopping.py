"""Long work that can be stopped from another thread, at once or between two of its steps."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from threading import Lock

from tracegraph.domain.errors import StoppedError


class StopSign:
    """Says to the work of one thread that nobody waits for it any more.

    Examples
    --------
    >>> sign = StopSign()
    >>> with heeding(sign):
    ...     stop_if_asked()
    >>> sign.raise_()
    >>> with heeding(sign):
    ...     stop_if_asked()
    Traceback (most recent call last):
    tracegraph.domain.errors.StoppedError: Stopped, since nobody waits for it.
    """

    def __init__(self) -> None:
        self._raised = False
        self._breaks: list[Callable[[], None]] = []
        self._lock = Lock()

    @property
    def raised(self) -> bool:
        """Whether the work is to stop."""
        return self._raised

    def raise_(self) -> None:
        """Stop the work: what can be broken off now, the rest at its next step."""
        with self._lock:
            self._raised = True
            for break_off in self._breaks:
                break_off()

    def lower(self) -> None:
        """Take it back; what was broken off by then stays so."""
        with self._lock:
            self._raised = False

    @contextmanager
    def breaking(self, break_off: Callable[[], None]) -> Iterator[None]:
        """Have something called while it runs, if the sign is raised.

        Parameters
        ----------
        break_off : callable
            Called in the thread that raises the sign.
        """
        with self._lock:
            self._breaks.append(break_off)
        try:
            yield
        finally:
            with self._lock:
                self._breaks.remove(break_off)


_HEEDED: ContextVar[StopSign | None] = ContextVar("stop sign", default=None)


@contextmanager
def heeding(sign: StopSign) -> Iterator[None]:
    """Work that heeds a sign; work outside such a block is never stopped."""
    before = _HEEDED.set(sign)
    try:
        yield
    finally:
        _HEEDED.reset(before)


def heeded() -> StopSign | None:
    """The sign that the work of this thread heeds, or None."""
    return _HEEDED.get()


def stop_if_asked() -> None:
    """End the work here if it is to stop; called between two steps of long work.

    Raises
    ------
    StoppedError
        If the sign is raised.
    """
    sign = _HEEDED.get()
    if sign is not None and sign.raised:
        raise StoppedError("Stopped, since nobody waits for it.")
