"""Actions of a case: owner, due date, whether done, and since when overdue."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from tracegraph.cases.chain import Entry
from tracegraph.cases.steps import of_kind, standing


@dataclass(frozen=True)
class Action:
    """One action.

    Attributes
    ----------
    number : int
        From 1, in the order in which they were set.
    what, owner : str
        The action; code of the person who does it.
    due : date
        By when.
    done_on, first_built : date or None
        Day it took effect; day of building of the first hull truly built under it.
    days_overdue : int
        Days past the due date while not done, or by which it was done too late; 0: none.
    """

    number: int
    what: str
    owner: str
    due: date
    done_on: date | None
    first_built: date | None
    days_overdue: int

    @property
    def overdue(self) -> bool:
        """Whether it should be done and is not."""
        return self.done_on is None and self.days_overdue > 0


def actions(entries: Iterable[Entry], today: date) -> list[Action]:
    """Actions of a case as they stand.

    Parameters
    ----------
    entries : iterable of Entry
        All entries of a case.
    today : date
        Day from which open ones are counted.

    Returns
    -------
    list of Action
        In the order in which they were set.
    """
    now = standing(entries)
    done = {entry.content["action"]: entry.content for entry in of_kind(now, "done")}
    found = []
    for entry in of_kind(now, "acted"):
        body = entry.content
        told = done.get(body["number"])
        due = date.fromisoformat(body["due"])
        done_on = None if told is None else date.fromisoformat(told["on"])
        first = None if told is None else told["first_built"]
        found.append(
            Action(
                number=body["number"],
                what=body["what"],
                owner=body["owner"],
                due=due,
                done_on=done_on,
                first_built=date.fromisoformat(first) if first else None,
                days_overdue=max(0, ((done_on or today) - due).days),
            )
        )
    return found
