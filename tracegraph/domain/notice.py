"""Reminders of the days on which a notice or report may be due: US rules for boats.

46 USC 4310 and 33 CFR 179 ask a maker to notify first purchasers within 30 days of
discovering a defect that creates a substantial risk of personal injury, to report progress
within 60 days of the first report, and then every 90 days. Nothing here decides whether
there is such a risk: people do, and their decision is written down with their reason.
Local law and counsel prevail over every day named here.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from tracegraph.domain.errors import DefinitionError

NOTICE_DAYS = 30
"""Days from discovery to the notice (33 CFR 179.05)."""

FIRST_REPORT_DAYS = 60
"""Days from the first report to the first progress report (33 CFR 179.15)."""

NEXT_REPORT_DAYS = 90
"""Days between later progress reports (the agency's instruction to its form)."""

LOOK_BACK_YEARS = 10
"""Years after certification or manufacture in which the duty lasts (46 USC 4310(c)(2))."""

CAUTION = (
    "These days are reminders. They decide nothing: whether there is a substantial risk of "
    "personal injury is for a person to decide, and local law and counsel prevail."
)


@dataclass(frozen=True)
class RiskDecision:
    """What a person decided about the risk.

    Attributes
    ----------
    notify : bool
        Whether notice is to be given.
    decided_by, reason : str
        Who, and why.
    decided_on : date
        When.

    Raises
    ------
    DefinitionError
        If the name or the reason is blank.
    """

    notify: bool
    decided_by: str
    reason: str
    decided_on: date

    def __post_init__(self) -> None:
        for what, text in (("who decided", self.decided_by), ("why", self.reason)):
            if not text.strip():
                raise DefinitionError(f"A decision must say {what}; got nothing. Write it down.")


@dataclass(frozen=True)
class Reminder:
    """One day to keep in mind.

    Attributes
    ----------
    due_on : date
        The day.
    what : str
        What may be due.
    days_left : int
        Days from today; negative when it is past.
    """

    due_on: date
    what: str
    days_left: int


def reminders(
    discovered_on: date,
    today: date,
    *,
    first_report_on: date | None = None,
    decision: RiskDecision | None = None,
) -> tuple[Reminder, ...]:
    """Days to keep in mind after something was discovered.

    Parameters
    ----------
    discovered_on : date
        Day on which the information was discovered or acquired, as a person recorded it.
    today : date
        Day from which days are counted.
    first_report_on : date, optional
        Day of the first report; the last day for it when left out.
    decision : RiskDecision, optional
        What was decided. After a decision that no notice is due nothing is left but the
        record of it.

    Returns
    -------
    tuple of Reminder
        The notice while no report was made, else the progress reports up to the first one
        still ahead.

    Raises
    ------
    DefinitionError
        If the report lies before the discovery.

    Examples
    --------
    >>> first, *_ = reminders(date(2026, 3, 1), date(2026, 3, 11))
    >>> str(first.due_on), first.days_left
    ('2026-03-31', 20)
    """
    if first_report_on is not None and first_report_on < discovered_on:
        raise DefinitionError(
            f"The first report cannot lie before the discovery; got {first_report_on} and "
            f"{discovered_on}. Mend one of them."
        )
    if decision is not None and not decision.notify:
        return ()
    due = discovered_on + timedelta(days=NOTICE_DAYS)
    days = [] if first_report_on else [(due, "notice to purchasers and dealers, and first report")]
    report = (first_report_on or due) + timedelta(days=FIRST_REPORT_DAYS)
    days.append((report, "first progress report"))
    while first_report_on and report < today:
        report += timedelta(days=NEXT_REPORT_DAYS)
        days.append((report, "next progress report"))
    return tuple(Reminder(day, what, (day - today).days) for day, what in days)


def open_questions(decision: RiskDecision | None) -> tuple[str, ...]:
    """What a person has still to answer.

    Parameters
    ----------
    decision : RiskDecision or None
        What was decided.

    Returns
    -------
    tuple of str
        Empty once somebody has decided.
    """
    if decision is not None:
        return ()
    return (
        "Does this create a substantial risk of personal injury, or break a safety rule? The "
        "records cannot say.",
        "Who decides, when, and why? Write it into the case file, whatever is decided.",
    )
