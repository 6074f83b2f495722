"""What stands on top of everything about a case that may hurt someone."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from tracegraph.cases.chain import Entry
from tracegraph.cases.safety import SafetyMatter, safety_matter
from tracegraph.domain.notice import CAUTION, open_questions
from tracegraph.report.casefile.words import shortened
from tracegraph.report.holding import reminder_sentence
from tracegraph.report.numbers import plural

NOTICE = 100
"""Letters of a decision and of its reason in a notice; the entry holds all."""

REFER = "Refer to a person today: safety class 1."


def safety_notice(entries: Iterable[Entry]) -> str:
    """What stands on top, the same on every day; empty without a safety matter.

    Parameters
    ----------
    entries : iterable of Entry
        All entries of a case.
    """
    matter = safety_matter(entries)
    return "" if matter is None else f"{REFER} {_discovered(matter)} {_decided(matter)}"


def safety_clock(entries: Iterable[Entry], today: date) -> str:
    """Days since discovery and to the next reminder; empty where no clock runs.

    Parameters
    ----------
    entries : iterable of Entry
        All entries of a case.
    today : date
        Day from which days are counted.
    """
    matter = safety_matter(entries)
    if matter is None or matter.discovered_on is None:
        return ""
    days = (today - matter.discovered_on).days
    since = f"{plural(days, 'day')} since discovery."
    return " ".join([since, *(reminder_sentence(one) for one in matter.reminders(today))])


def safety_lines(entries: Iterable[Entry], today: date) -> tuple[str, ...]:
    """Everything about a safety matter, the notice first; empty where there is none.

    Parameters
    ----------
    entries : iterable of Entry
        All entries of a case.
    today : date
        Day from which days are counted.
    """
    found = list(entries)
    matter = safety_matter(found)
    if matter is None:
        return ()
    clock = safety_clock(found, today)
    return (
        safety_notice(found),
        *([clock] if clock else []),
        *open_questions(matter.decision),
        CAUTION,
    )


def safety_json(entries: Iterable[Entry], today: date) -> dict[str, Any] | None:
    """A safety matter as plain values; None where there is none.

    Returns
    -------
    dict or None
        ``notice``, ``discovered_on``, ``days_since_discovery``, ``first_report_on``,
        ``reminders`` [{``due_on``, ``what``, ``days_left``}], ``decided_by``,
        ``decided_on``, ``notify``, ``decision``. What is not on record is None.
    """
    found = list(entries)
    matter = safety_matter(found)
    if matter is None:
        return None
    decision = matter.decision
    since = matter.discovered_on
    return {
        "notice": safety_notice(found),
        "discovered_on": None if since is None else since.isoformat(),
        "days_since_discovery": None if since is None else (today - since).days,
        "first_report_on": (
            None if matter.first_report_on is None else matter.first_report_on.isoformat()
        ),
        "reminders": [
            {"due_on": one.due_on.isoformat(), "what": one.what, "days_left": one.days_left}
            for one in matter.reminders(today)
        ],
        "decided_by": None if decision is None else decision.decided_by,
        "decided_on": None if decision is None else decision.decided_on.isoformat(),
        "notify": None if decision is None else decision.notify,
        "decision": matter.words or None,
    }


def _discovered(matter: SafetyMatter) -> str:
    if matter.discovered_on is None:
        return "No day of discovery is on record, so no clock runs: write it down."
    told = f"Discovered on {matter.discovered_on}."
    if matter.first_report_on is not None:
        told += f" First report on {matter.first_report_on}."
    return told


def _decided(matter: SafetyMatter) -> str:
    decision = matter.decision
    if decision is None:
        return "Nobody has decided about the risk yet."
    notice = "notice is to be given" if decision.notify else "no notice is to be given"
    return (
        f"{decision.decided_by} decided on {decision.decided_on} that {notice}: "
        f"{shortened(matter.words, NOTICE)} ({shortened(decision.reason, NOTICE)})."
    )
