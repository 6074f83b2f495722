"""What a load tells whoever watches it. Intake prints nothing itself."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import TracebackType
from typing import Protocol, Self

from tracegraph.domain.errors import LoadStoppedError

_PAUSE = 0.2  # seconds between two looks at a running step


class Progress(Protocol):
    """Someone who watches a load.

    A load calls ``start`` once, ``step`` any number of times and from more than one thread,
    and ``end`` once.
    """

    def start(self, total: int) -> None:
        """Begin; the load will report up to ``total`` bytes of records."""

    def step(self, text: str, done: int) -> None:
        """Say what is being done now and how many bytes lie behind; never fewer than before."""

    def end(self) -> None:
        """Finish, well or badly."""


class Meter:
    """Tells a watcher how far a load is, within long steps too.

    The steps of a load stand one behind another between 0 and 1, each with about the share
    of the time that it takes; a thread of its own asks how far the running step is.

    Parameters
    ----------
    watcher : Progress or None
        None when nobody watches: nothing is asked then.
    total : int
        Bytes of records.
    stop : callable, optional
        Asked at the beginning of every step whether to give the load up.
    """

    def __init__(
        self, watcher: Progress | None, total: int, stop: Callable[[], bool] | None = None
    ) -> None:
        self._watcher = watcher
        self._stop = stop
        self._total = total
        self._part = (0.0, 1.0)
        self._text = ""
        self._step = (0.0, 0.0)
        self._reached = 0.0
        self._share: Callable[[], float] | None = None
        self._break: Callable[[], None] | None = None
        self._lock = threading.RLock()
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._look, daemon=True)

    def __enter__(self) -> Self:
        if self._watcher is not None:
            self._watcher.start(self._total)
            self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._watcher is not None:
            self._over.set()
            self._thread.join()
            self._watcher.end()

    def part(self, first: float, last: float) -> None:
        """From where to where the next steps go, of the whole load."""
        self._part = (first, last)

    def step(self, text: str, first: float = 0.0, last: float = 0.0) -> None:
        """Begin a step.

        Parameters
        ----------
        text : str
            What is being done.
        first, last : float, default 0
            From where to where it goes, of the part; a last one below the first is the first.

        Raises
        ------
        LoadStoppedError
            If the load is to be given up.
        """
        if self._stop is not None and self._stop():
            raise LoadStoppedError
        begin, end = self._part
        first, last = (begin + (end - begin) * share for share in (first, max(first, last)))
        with self._lock:
            self._text, self._step = text, (first, last)
            self._tell(first)

    @contextmanager
    def asking(self, share: Callable[[], float]) -> Iterator[None]:
        """Ask how far the running step is, 0 to 1, while a block runs."""
        with self._lock:
            before, self._share = self._share, share
        try:
            yield
        finally:
            with self._lock:
                self._share = before

    @contextmanager
    def breaking(self, end: Callable[[], None]) -> Iterator[None]:
        """End the running step by a call, again and again, once the load is to be given up."""
        with self._lock:
            self._break = end
        try:
            yield
        finally:
            with self._lock:
                self._break = None

    def _look(self) -> None:
        while not self._over.wait(_PAUSE):
            with self._lock:
                if self._break is not None and self._stop is not None and self._stop():
                    self._break()
                first, last = self._step
                share = self._share() if self._share is not None and first < last else 0.0
                self._tell(first + (last - first) * min(max(share, 0.0), 1.0))

    def _tell(self, reached: float) -> None:
        self._reached = max(self._reached, reached)
        if self._watcher is not None:
            self._watcher.step(self._text, round(self._total * self._reached))
