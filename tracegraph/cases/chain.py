"""Entries of a case file, each sealed with the hash of the one before."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

START = "0" * 64
"""What stands for the hash before the first entry."""


@dataclass(frozen=True)
class Entry:
    """One thing written down in a case file.

    Attributes
    ----------
    case_no : str
        Number of the case.
    seq : int
        Place in the case, from 1.
    at : str
        When it was written, ISO 8601 in UTC.
    who : str
        Code of the person.
    kind : str
        Kind of entry.
    body : str
        Canonical JSON of what was written.
    corrects : int or None
        Place of the entry that this one puts right.
    previous, sealed : str
        SHA-256 of the entry before, and of this one.
    """

    case_no: str
    seq: int
    at: str
    who: str
    kind: str
    body: str
    corrects: int | None
    previous: str
    sealed: str

    @property
    def content(self) -> dict[str, Any]:
        """What was written, as plain values."""
        value: dict[str, Any] = json.loads(self.body)
        return value

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "case": self.case_no,
            "seq": self.seq,
            "at": self.at,
            "who": self.who,
            "kind": self.kind,
            "content": self.content,
            "corrects": self.corrects,
            "previous": self.previous,
            "hash": self.sealed,
        }


@dataclass(frozen=True)
class ChainState:
    """Whether the entries of a case are as they were written.

    Attributes
    ----------
    case_no : str
    entries : int
        Entries found.
    head : str
        Hash of the last sound entry.
    broken_at : int or None
        Place of the first entry that is not as it was written; None when all are.
    reason : str
        What is wrong with it; empty when nothing is.
    """

    case_no: str
    entries: int
    head: str
    broken_at: int | None = None
    reason: str = ""

    @property
    def whole(self) -> bool:
        """Whether the chain is unbroken."""
        return self.broken_at is None


def canonical(value: Any) -> str:
    """JSON that is the same for the same values.

    Parameters
    ----------
    value : object
        Plain values; no infinite or missing numbers.

    Returns
    -------
    str
        Keys sorted, no spaces, letters as they are.

    Examples
    --------
    >>> canonical({"b": 1, "a": "é"})
    '{"a":"é","b":1}'
    """
    return json.dumps(
        value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )


def seal(
    previous: str, case_no: str, seq: int, at: str, who: str, kind: str, body: str,
    corrects: int | None,
) -> str:  # fmt: skip
    """SHA-256 over the hash before and everything an entry says, as 64 hex digits."""
    text = previous + canonical([case_no, seq, at, who, kind, body, corrects])
    return hashlib.sha256(text.encode()).hexdigest()


def entry_after(
    previous: str, case_no: str, seq: int, at: str, who: str, kind: str, body: str,
    corrects: int | None = None,
) -> Entry:  # fmt: skip
    """An entry, sealed onto the one before."""
    sealed = seal(previous, case_no, seq, at, who, kind, body, corrects)
    return Entry(case_no, seq, at, who, kind, body, corrects, previous, sealed)


def check_chain(case_no: str, entries: Iterable[Entry], last: int, head: str) -> ChainState:
    """Go over a chain and name the first entry that is not as it was written.

    Parameters
    ----------
    case_no : str
        Number of the case.
    entries : iterable of Entry
        In the order of their places.
    last : int
        Place of the last entry, as kept with the case.
    head : str
        Its hash, as kept with the case.

    Returns
    -------
    ChainState
        Also broken when entries at the end are missing.

    Examples
    --------
    >>> first = entry_after(START, "C-0001", 1, "2026-03-09T08:00:00+00:00", "QL-1", "note", "{}")
    >>> check_chain("C-0001", [first], 1, first.sealed).whole
    True
    >>> check_chain("C-0001", [], 1, first.sealed).broken_at
    1
    """
    before, count = START, 0
    for entry in entries:
        place = count + 1
        expected = seal(
            entry.previous, entry.case_no, entry.seq, entry.at, entry.who, entry.kind,
            entry.body, entry.corrects,
        )  # fmt: skip
        if entry.seq != place:
            return ChainState(case_no, count, before, place, f"entry {place} is missing")
        if entry.case_no != case_no or entry.previous != before:
            reason = "it does not carry the hash of the entry before"
            return ChainState(case_no, count, before, place, reason)
        if entry.sealed != expected:
            return ChainState(
                case_no, count, before, place, "what it says is not what its hash was made of"
            )
        before, count = entry.sealed, place
    if count != last or before != head:
        place = min(count + 1, max(last, 1))
        return ChainState(
            case_no, count, before, place, f"the case was left with {last} entries; {count} agree"
        )
    return ChainState(case_no, count, before)
