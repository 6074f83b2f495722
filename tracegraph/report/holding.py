"""Where a hold stands, in words and tables: states, reminders, and who decided what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date
from typing import Any

import pandas as pd

from tracegraph.analysis.containing.holding import report_counts, state_counts
from tracegraph.analysis.holding import Hold, progress
from tracegraph.domain.holding import (
    HOLD_STATES,
    NO_NOTICE,
    NOTIFY,
    HoldAct,
    Standing,
    standing,
)
from tracegraph.domain.notice import CAUTION, Reminder, open_questions, reminders
from tracegraph.report.formats import day
from tracegraph.report.holdlist import report_sentence
from tracegraph.report.numbers import count, plural
from tracegraph.report.tables import COUNT, DisplayTable


def hold_sentences(held: Hold, today: date) -> tuple[str, ...]:
    """Where a hold stands.

    Parameters
    ----------
    held : Hold
        From :func:`~tracegraph.analysis.holding.hold`.
    today : date
        Day from which days are counted.

    Returns
    -------
    tuple of str
        States, which add up; the counts of a defect report; the reminders that run from
        the recorded discovery; who decided about the risk, or that it is still open; the
        caution.
    """
    hulls = held.found.hulls
    states = state_counts(hulls)["total"]
    stand = ", ".join(f"{count(number)} {state}" for state, number in states.items())
    said = [
        f"States add up to {plural(len(hulls), 'exposed hull')}: {stand}.",
        report_sentence(report_counts(hulls)),
    ]
    if held.not_listed:
        some = ", ".join(held.not_listed[:5]) + (" and more" if len(held.not_listed) > 5 else "")
        said.append(
            f"{plural(len(held.not_listed), 'hull')} with a state on record "
            f"{'is' if len(held.not_listed) == 1 else 'are'} no longer listed: {some}."
        )
    now = held.standing
    if now.discovered_on is None:
        said.append("No day of discovery is on record, so no reminder runs.")
    else:
        said.append(f"Discovered on {day(now.discovered_on)}, as recorded.")
    said += [reminder_sentence(one) for one in _reminders(held, today)]
    if now.decision is not None:
        verdict = "notice is to be given" if now.decision.notify else "no notice is to be given"
        said.append(
            f"{now.decision.decided_by} decided on {day(now.decision.decided_on)} that {verdict}: "
            f"{now.decision.reason}"
        )
    said += open_questions(now.decision)
    return (*said, CAUTION)


def reminder_sentence(reminder: Reminder) -> str:
    """One reminder in words.

    Examples
    --------
    >>> reminder_sentence(Reminder(date(2026, 3, 31), "notice", -2))
    'Reminder: notice by 2026-03-31, 2 days ago.'
    """
    days = abs(reminder.days_left)
    when = (
        "today"
        if not days
        else f"in {plural(days, 'day')}"
        if reminder.days_left > 0
        else f"{plural(days, 'day')} ago"
    )
    return f"Reminder: {reminder.what} by {day(reminder.due_on)}, {when}."


def hold_acts_table(held: Hold) -> DisplayTable:
    """Everything that was written down about a hold, oldest first."""
    table = pd.DataFrame(
        [[act.day, act.who, act.hull, act.act, act.value, act.reason, act.at] for act in held.acts],
        columns=["day", "who", "hull", "what", "which", "why", "written down"],
    )
    return DisplayTable(table, caption=plural(len(table), "act") + ".")


def progress_table(held: Hold) -> DisplayTable:
    """How the states changed day by day; every row adds up to the hulls listed."""
    table = progress(held)
    return DisplayTable(
        table,
        dict.fromkeys([*HOLD_STATES, "reached"], COUNT),
        caption=f"Of {plural(len(held.found.hulls), 'exposed hull')}, after each day.",
    )


def holds_table(acts: Sequence[HoldAct], today: date) -> DisplayTable:
    """Every hold that anything was written about, the latest act first.

    Parameters
    ----------
    acts : sequence of HoldAct
        All acts of a store directory, oldest first.
    today : date
        Day from which days are counted.
    """
    rows = []
    for name in dict.fromkeys(act.hold for act in reversed(acts)):
        now = standing(acts, name)
        ahead = _due(now, today)
        decision = None if now.decision is None else NOTIFY if now.decision.notify else NO_NOTICE
        rows.append(
            {
                "hold": name,
                "acts": sum(act.hold == name for act in acts),
                "hulls with a state": sum(state != HOLD_STATES[0] for state in now.states.values()),
                "discovered": now.discovered_on,
                "decision": decision or "open",
                "next reminder": ahead[0].due_on if ahead else None,
                "days left": ahead[0].days_left if ahead else None,
            }
        )
    heads = ["hold", "acts", "hulls with a state", "discovered", "decision", "next reminder",
             "days left"]  # fmt: skip
    table = pd.DataFrame(rows, columns=heads).astype({"days left": "Int64"})
    return DisplayTable(
        table,
        {"acts": COUNT, "hulls with a state": COUNT, "days left": COUNT},
        caption=plural(len(table), "hold") + ".",
    )


def hold_json(held: Hold, today: date) -> dict[str, Any]:
    """Where a hold stands, as plain values.

    Parameters
    ----------
    held : Hold
        From :func:`~tracegraph.analysis.holding.hold`.
    today : date
        Day from which days are counted.

    Returns
    -------
    dict
        ``hold``, ``data_version``; ``states`` {state: hulls} that add up to ``exposed``;
        ``hulls`` [{``hull_serial``, ``place``, ``grade``, ``state``}]; ``report`` {what a
        defect report asks for: count}; ``discovered_on``, ``first_report_on``,
        ``decision`` {``decision``, ``decided_by``, ``decided_on``, ``reason``} or None;
        ``reminders`` [{``due_on``, ``what``, ``days_left``}]; ``open_questions``;
        ``not_listed``; ``progress`` [{``day``, one count for each state, ``reached``}];
        ``acts``; ``caution``.
    """
    hulls, now = held.found.hulls, held.standing
    decision = now.decision
    return {
        "hold": held.name,
        "exposed": len(hulls),
        "states": {str(s): int(n) for s, n in state_counts(hulls)["total"].items()},
        "hulls": hulls[["hull_serial", "place", "grade", "state"]].to_dict("records"),
        "report": asdict(report_counts(hulls)),
        "discovered_on": None if now.discovered_on is None else now.discovered_on.isoformat(),
        "first_report_on": None if now.first_report_on is None else now.first_report_on.isoformat(),
        "decision": None
        if decision is None
        else {
            "decision": NOTIFY if decision.notify else NO_NOTICE,
            "decided_by": decision.decided_by,
            "decided_on": decision.decided_on.isoformat(),
            "reason": decision.reason,
        },
        "reminders": [
            asdict(one) | {"due_on": one.due_on.isoformat()} for one in _reminders(held, today)
        ],
        "open_questions": list(open_questions(decision)),
        "not_listed": list(held.not_listed),
        "progress": progress(held).to_dict("records"),
        "acts": [asdict(act) for act in held.acts],
        "caution": CAUTION,
        "data_version": held.found.data_version,
    }


def _reminders(held: Hold, today: date) -> tuple[Reminder, ...]:
    return _due(held.standing, today)


def _due(now: Standing, today: date) -> tuple[Reminder, ...]:
    if now.discovered_on is None:
        return ()
    return reminders(
        now.discovered_on, today, first_report_on=now.first_report_on, decision=now.decision
    )
