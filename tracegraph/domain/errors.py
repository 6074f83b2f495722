"""Everything that can go wrong and be put right by the reader of the message.

Each message says what was expected, what came, and what to do. The command line prints
it as one line and exits with status 2; the pages show it as a sentence.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import get_close_matches

FEW_NAMES = 20


class TraceGraphError(Exception):
    """Base of every error that tracegraph raises on purpose."""


class IntakeError(TraceGraphError):
    """A folder, a file or its mapping cannot be read as records."""


class MappingError(IntakeError):
    """An ``intake.toml`` does not say what it must, or says it wrongly."""


class StoreError(TraceGraphError):
    """The store is missing, damaged, or made by another version."""


class StoreBusyError(StoreError):
    """Another load holds the store."""


class LoadStoppedError(TraceGraphError):
    """Whoever watched a load stopped it."""

    def __init__(self) -> None:
        super().__init__("The load was stopped; the records before it stay in force.")


class StoppedError(TraceGraphError):
    """Nobody waits for the work any more."""


class CaseFileError(TraceGraphError):
    """A case file cannot be read, written or proved."""


class DefinitionError(TraceGraphError):
    """A case definition contradicts itself or the records."""


class NotAllowedError(TraceGraphError):
    """Somebody's role does not cover what was to be done."""


class SignInError(NotAllowedError):
    """Nobody has signed in, or too long ago."""


class InvalidTableError(TraceGraphError):
    """Four counts that cannot be a contingency table."""


class FlatTableError(TraceGraphError):
    """A flat sheet lacks what a ranking needs."""


class UnknownNameError(TraceGraphError):
    """A name that the records do not hold.

    Parameters
    ----------
    what : str
        The kind of thing, as the reader would call it ("symptom", "hull").
    name : str
        What was asked for.
    known : iterable of str
        The names that exist; the nearest are offered, or all of them when they are few.
    """

    def __init__(self, what: str, name: str, known: Iterable[str] = ()) -> None:
        self.what = what
        self.name = name
        names = [str(k) for k in known]
        self.near = nearest(name, names)
        hint = ""
        if self.near:
            hint = f" Near: {', '.join(self.near)}."
        elif 0 < len(names) <= FEW_NAMES:
            hint = f" There are: {', '.join(names)}."
        super().__init__(f"There is no {what} {name!r}.{hint}")


class UnknownHullError(UnknownNameError):
    """A hull, claim or part number that the records do not hold."""


class AmbiguousNameError(UnknownHullError):
    """A number that names more than one thing.

    Parameters
    ----------
    name : str
        What was asked for.
    choices : sequence of str
        What it may mean, each in the form in which it can be asked for.
    """

    def __init__(self, name: str, choices: Sequence[str]) -> None:
        super().__init__("thing", name)
        self.near = list(choices)
        shown = ", ".join(choices[:5])
        rest = f" and {len(choices) - 5} more" if len(choices) > 5 else ""
        self.args = (f"{name!r} names {len(choices)} things: {shown}{rest}. Ask for one of them.",)


def nearest(name: str, known: Iterable[str], limit: int = 5) -> list[str]:
    """Known names that look most like a given one.

    Parameters
    ----------
    name : str
        What was typed.
    known : iterable of str
        The names that exist.
    limit : int, default 5
        How many to offer at most.

    Returns
    -------
    list of str
        Best first; empty when nothing is near.

    Examples
    --------
    >>> nearest("blistr", ["blister", "leak"])
    ['blister']
    """
    by_fold = {k.casefold(): k for k in known}
    hits = get_close_matches(name.casefold(), list(by_fold), n=limit, cutoff=0.6)
    return [by_fold[h] for h in hits]
