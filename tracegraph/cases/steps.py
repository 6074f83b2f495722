"""The steps of an investigation, and what each of them still lacks."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from tracegraph.cases.chain import Entry
from tracegraph.domain.errors import CaseFileError


@dataclass(frozen=True)
class Step:
    """One step and how far it has come.

    Attributes
    ----------
    name : str
        Describe, contain, find cause, verify cause, correct, check effect or close.
    lacks : tuple of str
        What is still missing; empty when the step is done.
    """

    name: str
    lacks: tuple[str, ...]


def standing(entries: Iterable[Entry]) -> list[Entry]:
    """Entries as they stand: a corrected one gives way to its latest correction.

    A correction takes the kind of what it corrects and keeps its place in the order; the
    chain itself still holds both.
    """
    found = list(entries)
    kinds = {entry.seq: entry.kind for entry in found}
    latest: dict[int, Entry] = {}
    for entry in found:
        if entry.corrects is None:
            latest[entry.seq] = entry
            continue
        origin = entry.corrects
        before = next(one for one in found if one.seq == origin)
        while before.corrects is not None:
            origin = before.corrects
            before = next(one for one in found if one.seq == origin)
        latest[origin] = Entry(
            entry.case_no, entry.seq, entry.at, entry.who, kinds[origin], entry.body,
            entry.corrects, entry.previous, entry.sealed,
        )  # fmt: skip
    return [latest[seq] for seq in sorted(latest)]


def of_kind(entries: Iterable[Entry], kind: str) -> list[Entry]:
    """Entries of one kind."""
    return [entry for entry in entries if entry.kind == kind]


def steps(entries: Iterable[Entry]) -> list[Step]:
    """How far each step has come.

    Parameters
    ----------
    entries : iterable of Entry
        All entries of a case.

    Returns
    -------
    list of Step
        In the order of the work.
    """
    now = standing(entries)

    def has(kind: str, wanted: Callable[[dict[str, Any]], bool] = lambda _: True) -> bool:
        return any(entry.kind == kind and wanted(entry.content) for entry in now)

    grave = safety_class(now) == 1
    checks = {
        "describe": [
            ("the case definition", has("opened")),
            ("the day of discovery", has("discovered") or not grave),
            ("who decided about the risk (safety class 1)", not grave or has("decided", _risk)),
        ],
        "contain": [("the list of hulls that carry the suspect", has("contained"))],
        "find cause": [("the suspects with their evidence", has("ranked"))],
        "verify cause": [
            ("an inspection that tells suspects apart", has("inspected")),
            ("a decision about the cause", has("decided", lambda body: not _risk(body))),
        ],
        "correct": [
            ("an action with owner and due date", has("acted")),
            ("that every action is done", has("acted") and not open_actions(now)),
        ],
        "check effect": [
            ("an effect check", has("effect")),
            (
                "a verdict other than too early",
                has("effect", lambda body: body.get("verdict") != "too early"),
            ),
        ],
        "close": [("the closing entry", has("closed"))],
    }
    return [
        Step(name, tuple(what for what, there in parts if not there))
        for name, parts in checks.items()
    ]


def open_actions(entries: Iterable[Entry]) -> list[Entry]:
    """Actions not yet reported done."""
    found = list(entries)
    done = {entry.content.get("action") for entry in of_kind(found, "done")}
    return [entry for entry in of_kind(found, "acted") if entry.content.get("number") not in done]


def safety_class(entries: Iterable[Entry]) -> int | None:
    """Gravest safety class that any entry states; 1 may hurt someone."""
    classes = [
        int(entry.content["safety_class"])
        for entry in entries
        if entry.content.get("safety_class") is not None
    ]
    return min(classes, default=None)


def attached(entries: Iterable[Entry]) -> list[str]:
    """SHA-256 of the files attached, each once."""
    return list(dict.fromkeys(one.content["sha256"] for one in of_kind(entries, "attached")))


def people_reason(entries: Iterable[Entry]) -> str | None:
    """Why families of people are switched on in a case; None when they are not."""
    found = [entry.content.get("people_reason") for entry in of_kind(entries, "opened")]
    return str(found[-1]) if found and found[-1] else None


def require(entries: Iterable[Entry], kind: str, todo: str) -> Entry:
    """The latest entry of a kind.

    Raises
    ------
    CaseFileError
        If there is none; ``todo`` says what to do.
    """
    found = of_kind(entries, kind)
    if not found:
        raise CaseFileError(f"This case holds no entry of the kind {kind!r} yet. {todo}")
    return found[-1]


def _risk(body: dict[str, Any]) -> bool:
    return body.get("about") == "risk"
