"""Open case files as sentences, for the manager's overview."""

from __future__ import annotations

import pandas as pd

from tracegraph.report.numbers import count, of, plural
from tracegraph.report.tables import DisplayTable

NAMED = 6
"""Open cases that are told; the list holds all."""


ALARMS = 3
"""Safety matters that are told one by one."""


def grave_sentences(listed: DisplayTable) -> tuple[str, ...]:
    """Open cases that may hurt someone; they stand above everything a manager reads.

    Parameters
    ----------
    listed : DisplayTable
        From :func:`~tracegraph.report.casefile.view.case_list`.

    Returns
    -------
    tuple of str
        Empty where there is none.
    """
    frame = listed.frame
    grave = frame[(frame["safety"] != "") & frame["days open"].notna()]
    said = [
        f"{row['case']} {row['title']}: {row['safety']}"
        for row in grave.head(ALARMS).to_dict("records")
    ]
    if len(grave) > ALARMS:
        more = plural(len(grave) - ALARMS, "more open case")
        said.append(f"And {more} of safety class 1: refer each to a person today.")
    return tuple(said)


def cost_of_open_cases(still: pd.DataFrame) -> str:
    """What the open cases cost in all; a cost that is missing is counted, not guessed."""

    def told(name: str) -> str:
        known = still[name].dropna()
        lacking = len(still) - len(known)
        if known.empty:
            return "not known"
        return count(known.sum()) + (f" (not known for {count(lacking)})" if lacking else "")

    return (
        f"Their claims cost {told('claims cost')} to date; to come {told('cost to come')}; "
        f"containment still open {told('containment open')}."
    )


def open_case_sentences(listed: DisplayTable) -> tuple[str, ...]:
    """How many cases are open, and each with its age, next step and what is overdue.

    Parameters
    ----------
    listed : DisplayTable
        From :func:`~tracegraph.report.casefile.view.case_list`.

    Returns
    -------
    tuple of str
        In the order of the list: safety matters first, then the oldest.
    """
    frame = listed.frame
    if frame.empty:
        return (
            "No case file yet. A case keeps what was decided, on what evidence, and whether it "
            "worked. Open one from the Cluster page.",
        )
    still = frame[frame["days open"].notna()]
    late = int((still["overdue"] > 0).sum())
    said = [
        f"{of(len(still), len(frame))} case files open"
        + (f", {count(late)} with something overdue." if late else ", nothing overdue.")
    ]
    if len(still):
        said.append(cost_of_open_cases(still))
    for row in still.head(NAMED).to_dict("records"):
        overdue = f" Overdue: {plural(row['overdue'], 'action')}." if row["overdue"] else ""
        grave = f" {row['safety']}" if row["safety"] else ""
        said.append(
            f"{row['case']} {row['title']}: {plural(int(row['days open']), 'day')} open. Next: "
            f"{row['next']}{'' if row['next'].endswith('.') else '.'}{overdue}{grave}"
        )
    if len(still) > NAMED:
        said.append(f"And {plural(len(still) - NAMED, 'more open case')}.")
    return tuple(said)
