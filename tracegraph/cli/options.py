"""Options that several commands share."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tracegraph.domain.errors import DefinitionError
from tracegraph.domain.permission import OWNER, PeopleReason

if TYPE_CHECKING:
    from tracegraph.store import Store


class Format(StrEnum):
    """How a result is printed."""

    table = "table"
    json = "json"
    csv = "csv"


StoreOption = Annotated[
    Path | None,
    typer.Option(
        "--store",
        metavar="DIR",
        envvar="TRACEGRAPH_STORE",
        help="Directory of the store; your own data folder when left out.",
        show_default=False,
    ),
]
FormatOption = Annotated[Format, typer.Option("--format", help="How to print the result.")]
WhoOption = Annotated[str, typer.Option("--who", metavar="CODE", help="Code of the person.")]
ReasonOption = Annotated[str, typer.Option("--reason", metavar="TEXT", help="Why.")]
DayArgument = Annotated[str, typer.Argument(metavar="DAY", help="The day, as 2026-03-09.")]


def day(text: str | None, option: str) -> date | None:
    """Read a day given on the command line.

    Raises
    ------
    DefinitionError
        If it is not a date like 2026-03-09.
    """
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise DefinitionError(f"{option} must be a date like 2026-03-09; got {text!r}.") from None


def audited_reason(records: Store, reason: str | None) -> PeopleReason | None:
    """The reason given for showing families of people, once it stands in the audit.

    Raises
    ------
    DefinitionError
        If the reason is blank.
    """
    from tracegraph.store.audit import people_reason

    return None if reason is None else people_reason(records.path.parent, OWNER, reason)


def months(text: str | None, option: str) -> tuple[int | None, int | None]:
    """Read a range of months such as ``0:24``, ``6:`` or ``:12``.

    Raises
    ------
    DefinitionError
        If it is not such a range.
    """
    if text is None:
        return None, None
    first, colon, last = text.partition(":")
    try:
        if not colon:
            raise ValueError(text)
        return (int(first) if first else None), (int(last) if last else None)
    except ValueError:
        raise DefinitionError(
            f"{option} must be two months such as 0:24, 6: or :12; got {text!r}."
        ) from None
