"""How long a case must be kept, and who may remove it when."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from tracegraph.cases.chain import Entry
from tracegraph.cases.steps import of_kind, standing
from tracegraph.domain.errors import CaseFileError

KEEP_YEARS = 10
"""Years from closing for which a case is kept (look-back of defect notification)."""


def kept_until(entries: Iterable[Entry], years: int = KEEP_YEARS) -> date | None:
    """Day up to which a case must be kept; None while it is not closed.

    Examples
    --------
    >>> kept_until([]) is None
    True
    """
    closed = of_kind(standing(entries), "closed")
    if not closed:
        return None
    day = date.fromisoformat(closed[-1].at[:10])
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        # 29 February of a year that has none.
        return day.replace(year=day.year + years, month=3, day=1)


def check_removal(entries: Iterable[Entry], today: date, years: int = KEEP_YEARS) -> None:
    """See whether the rule lets a case go.

    Raises
    ------
    CaseFileError
        If it is not closed, or not yet kept for long enough.
    """
    until = kept_until(entries, years)
    if until is None:
        raise CaseFileError(
            "Only a closed case can be removed. Close it first: tracegraph case close."
        )
    if today < until:
        raise CaseFileError(
            f"This case is to be kept until {until} ({years} years from closing). Export it if "
            "you need a copy elsewhere: tracegraph case export."
        )
