"""One line for each act that not everybody may do: who, when, what, where, allowed or refused."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tracegraph.domain.errors import DefinitionError, NotAllowedError
from tracegraph.domain.permission import Deed, PeopleReason, Person, require, whoever
from tracegraph.store.journal import append_lines, read_lines

_FILE = "audit.jsonl"


@dataclass(frozen=True)
class AuditLine:
    """One line of the audit.

    Attributes
    ----------
    at : str
        When, ISO 8601 in UTC.
    who, role : str
        Code of the person, and the role in which it was tried.
    deed : str
        What was tried; one of :class:`tracegraph.domain.permission.Deed`.
    about : str
        What it was about: a folder, a hold, a case, a reason.
    store : str
        Name of the store.
    allowed : bool
        Whether the role covered it. Whether it then worked is told elsewhere.
    """

    at: str
    who: str
    role: str
    deed: str
    about: str
    store: str
    allowed: bool


def permit(
    directory: Path, by: Person | None, deed: Deed, about: str, signed: str | None = None
) -> None:
    """Write into the audit what is about to be done, and refuse it when the role does not cover it.

    Parameters
    ----------
    directory : Path
        The store directory.
    by : Person or None
        Who is about to act; None is the owner of the machine.
    deed : Deed
        What is about to be done.
    about : str
        What it is about, in few words.
    signed : str, optional
        Code that the act is signed with.

    Raises
    ------
    NotAllowedError
        If the role does not cover it, or the act is signed with somebody else's code.
    StoreError
        If the audit cannot be written; nothing may then be done.
    """
    person = whoever(by)
    refused: NotAllowedError | None = None
    try:
        require(person, deed, signed)
    except NotAllowedError as error:
        refused = error
    who = person.code if person.signed_in or not signed else signed.strip()
    now = datetime.now(UTC).isoformat(timespec="seconds")
    line = AuditLine(
        now, who, str(person.role), str(deed), about, directory.resolve().name, refused is None
    )
    append_lines(directory / _FILE, [line])
    if refused is not None:
        raise refused


def people_reason(directory: Path, by: Person | None, reason: str) -> PeopleReason:
    """A reason for showing families of people, once it stands in the audit.

    Parameters
    ----------
    directory : Path
        The store directory.
    by : Person or None
        Who wants to see them; None is the owner of the machine.
    reason : str
        Why.

    Raises
    ------
    DefinitionError
        If the reason is blank.
    NotAllowedError
        If the role does not cover it.
    """
    if not reason.strip():
        raise DefinitionError(
            "Families of people are shown only with a reason; got a blank one. Say why they are "
            "needed."
        )
    permit(directory, by, Deed.SHOW_PEOPLE, reason.strip())
    return PeopleReason(reason)


def read_audit(directory: Path) -> tuple[AuditLine, ...]:
    """All lines of the audit of a store directory, oldest first.

    Raises
    ------
    StoreError
        If a line cannot be read.
    """
    return read_lines(directory / _FILE, AuditLine)
