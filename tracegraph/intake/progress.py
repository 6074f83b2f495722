"""What a load tells whoever watches it. Intake prints nothing itself."""

from __future__ import annotations

from typing import Protocol


class Progress(Protocol):
    """Someone who watches a load.

    A load calls ``start`` once, ``step`` any number of times, and ``end`` once.
    """

    def start(self, total: int) -> None:
        """Begin; the load will report up to ``total`` bytes of records."""

    def step(self, text: str, done: int) -> None:
        """Say what is being done now and how many bytes lie behind."""

    def end(self) -> None:
        """Finish, well or badly."""


class Unwatched:
    """Stands in when nobody watches."""

    def start(self, total: int) -> None:
        """Take no notice."""

    def step(self, text: str, done: int) -> None:
        """Take no notice."""

    def end(self) -> None:
        """Take no notice."""
