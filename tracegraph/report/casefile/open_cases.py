"""Open case files as sentences, for the manager's overview."""

from __future__ import annotations

from tracegraph.report.numbers import count, of, plural
from tracegraph.report.tables import DisplayTable

NAMED = 6
"""Open cases that are told; the list holds all."""


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
            "worked: tracegraph case open.",
        )
    still = frame[frame["days open"].notna()]
    late = int((still["overdue"] > 0).sum())
    said = [
        f"{of(len(still), len(frame))} case files open"
        + (f", {count(late)} with something overdue." if late else ", nothing overdue.")
    ]
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
