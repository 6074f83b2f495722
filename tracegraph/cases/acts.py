"""What people find, decide and do, checked and written into a case.

The command line and the pages call these, so that both hold to the same rules.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from tracegraph.analysis.cluster import cluster_cases
from tracegraph.analysis.comparison import hull_numbers
from tracegraph.cases.chain import Entry
from tracegraph.cases.changes import KEPT
from tracegraph.cases.corroboration import carried_rows, latest_ranking
from tracegraph.cases.notes import note_lines
from tracegraph.cases.question import asked_of
from tracegraph.cases.steps import of_kind, standing, steps
from tracegraph.cases.store import CaseStore
from tracegraph.domain.errors import CaseFileError
from tracegraph.store import Store

ABOUT: tuple[str, ...] = ("cause", "containment", "risk", "other")
"""What a decision may be about."""


def discover(files: CaseStore, who: str, case_no: str, on: date, reason: str) -> Entry:
    """Write down the day of discovery; the clock of a safety matter runs from it."""
    content = {"on": on.isoformat(), "reason": _said(reason, "why")}
    return files.append(case_no, who, "discovered", content)


def report_made(files: CaseStore, who: str, case_no: str, on: date, reason: str) -> Entry:
    """Write down the day of the first report to the agency; later reminders run from it.

    Raises
    ------
    CaseFileError
        If no day of discovery is on record, or it lies after the report.
    """
    found = of_kind(standing(files.entries(case_no)), "discovered")
    if not found or found[-1].content["on"] > on.isoformat():
        since = found[-1].content["on"] if found else "no day"
        raise CaseFileError(
            f"A first report follows the discovery, which is on record with {since}; got {on}. "
            "Write down or mend the day of discovery: tracegraph case discovered."
        )
    content = {"on": on.isoformat(), "reason": _said(reason, "why")}
    return files.append(case_no, who, "reported", content)


def inspect(
    files: CaseStore,
    records: Store,
    who: str,
    case_no: str,
    hull: str,
    what: str,
    result: str,
    *,
    found: bool,
) -> Entry:
    """Write down what was found on a hull, and which suspects it carries.

    An inspection of a hull that has claimed is kept, but is no independent line.

    Parameters
    ----------
    files, records : CaseStore, Store
        The case files; the records, which must know the hull.
    who, case_no : str
        Code of the person; number of the case.
    hull : str
        As typed.
    what, result : str
        What was looked for; what was seen, in words.
    found : bool
        Whether the fault that the case is about was there.

    Raises
    ------
    UnknownHullError
        If the records do not hold the hull; near numbers are offered.
    """
    with records.session() as session:
        serial = next(iter(hull_numbers(session, [hull]).values()))
    definition, people = asked_of(files, records, case_no)
    suspects = latest_ranking(standing(files.entries(case_no))) or []
    affected = set(cluster_cases(records, definition).frame["hull_serial"])
    content = {
        "hull": serial,
        "claimed": serial in affected,
        "carrying": carried_rows(records, [serial], suspects[:KEPT], people),
        "what": _said(what, "what was looked for"),
        "result": _said(result, "what was seen"),
        "found": found,
        "data_version": records.version,
    }
    return files.append(case_no, who, "inspected", content)


def decide(
    files: CaseStore,
    who: str,
    case_no: str,
    what: str,
    reason: str,
    *,
    about: str = "cause",
    notify: bool | None = None,
) -> Entry:
    """Write down a decision; a person decides about risk, never the records.

    Raises
    ------
    CaseFileError
        If it is about none of :data:`ABOUT`, or one about risk does not say whether notice
        is to be given.
    """
    if about not in ABOUT:
        raise CaseFileError(
            f"A decision is about one of {', '.join(ABOUT)}; got {about!r}. Choose one."
        )
    if (about == "risk") != (notify is not None):
        raise CaseFileError(
            "A decision about risk, and no other, says whether notice is to be given: --notify "
            f"or --no-notice. This one is about {about}."
        )
    content = {
        "what": _said(what, "what was decided"),
        "about": about,
        "reason": _said(reason, "why"),
        "notify": notify,
    }
    return files.append(case_no, who, "decided", content)


def act(files: CaseStore, who: str, case_no: str, what: str, owner: str, due: date) -> Entry:
    """Set an action with its owner and due date, under the next number."""
    told = {
        "what": _said(what, "what is to be done"),
        "owner": _said(owner, "who does it"),
        "due": due.isoformat(),
    }

    def numbered(before: list[Entry]) -> dict[str, Any]:
        return {**told, "number": len(of_kind(before, "acted")) + 1}

    return files.append(case_no, who, "acted", numbered)


def done(
    files: CaseStore, who: str, case_no: str, action: int, on: date, first_built: date | None
) -> Entry:
    """Write down that an action took effect, and the first hull truly built under it.

    Raises
    ------
    CaseFileError
        If there is no such action, or the hull was built before the action.
    """
    numbers = [one.content["number"] for one in of_kind(standing(files.entries(case_no)), "acted")]
    if action not in numbers:
        raise CaseFileError(
            f"There is no action {action} in {case_no}; it has {len(numbers)}. Set it first: "
            "tracegraph case act."
        )
    if first_built is not None and first_built < on:
        raise CaseFileError(
            f"The first hull under an action cannot be built before it took effect; got "
            f"{first_built} and {on}. Mend one of them."
        )
    content = {
        "action": action,
        "on": on.isoformat(),
        "first_built": None if first_built is None else first_built.isoformat(),
    }
    return files.append(case_no, who, "done", content)


def close(files: CaseStore, who: str, case_no: str, reason: str) -> Entry:
    """Close a case; what it still lacks is written down with it."""
    lacks = [what for one in steps(files.entries(case_no))[:-1] for what in one.lacks]
    content = {"reason": _said(reason, "why"), "lacks": lacks}
    return files.append(case_no, who, "closed", content)


def note(files: CaseStore, who: str, case_no: str, form: str, lines: Sequence[str]) -> Entry:
    """Write a note of some form, each line tied to the entries that it rests on.

    Parameters
    ----------
    files, who, case_no
        The case files; code of the person; number of the case.
    form : str
        One of :data:`~tracegraph.cases.notes.NOTE_FORMS`.
    lines : sequence of str
        In order; see :func:`~tracegraph.cases.notes.note_lines`.

    Raises
    ------
    CaseFileError
        If the form is unknown, or a line does not have its shape.
    """
    last = len(files.entries(case_no))
    content = {"form": form, "lines": note_lines(form, lines, last)}
    return files.append(case_no, who, "noted", content)


def attach(files: CaseStore, who: str, case_no: str, name: str, content: bytes) -> Entry:
    """Attach a file; it is kept with the case and held to its hash."""
    sha = hashlib.sha256(content).hexdigest()
    body = {"name": name, "sha256": sha, "bytes": len(content)}
    return files.append(case_no, who, "attached", body, file=content)


def correct(
    files: CaseStore, who: str, case_no: str, entry: int, reason: str, changes: Mapping[str, str]
) -> Entry:
    """Put an earlier entry right with a new one that points at it; the old one stays.

    Parameters
    ----------
    files, who, case_no
        The case files; code of the person; number of the case.
    entry : int
        Place of the entry.
    reason : str
        Why.
    changes : mapping of str to str
        Fields of words with their right values.

    Raises
    ------
    CaseFileError
        If there is no such entry, or it has no such field of words.
    """
    found = [one for one in files.entries(case_no) if one.seq == entry]
    body: dict[str, Any] = dict(found[0].content) if found else {}
    for field, value in changes.items():
        if found and not isinstance(body.get(field), str):
            words = [name for name, text in body.items() if isinstance(text, str)]
            raise CaseFileError(
                f"Entry {entry} has the fields of words {', '.join(words) or 'none'}; got "
                f"{field!r}. Name one of them."
            )
        body[field] = value
    body["correction_reason"] = _said(reason, "why")
    return files.append(case_no, who, "corrected", body, corrects=entry)


def _said(text: str, what: str) -> str:
    if not text.strip():
        raise CaseFileError(f"An entry must say {what}; got nothing. Write it down.")
    return text.strip()
