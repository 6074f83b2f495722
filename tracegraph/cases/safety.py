"""The safety matter of a case: discovered when, reported when, who decided what."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from tracegraph.cases.chain import Entry
from tracegraph.cases.steps import of_kind, safety_class, standing
from tracegraph.domain.notice import Reminder, RiskDecision, reminders


@dataclass(frozen=True)
class SafetyMatter:
    """What is on record about a case that may hurt someone.

    Attributes
    ----------
    discovered_on, first_report_on : date or None
        Day of discovery and of the first report, as a person recorded them.
    decision : RiskDecision or None
        What a person decided about the risk, who, when and why.
    words : str
        The decision as it was written; empty while there is none.
    """

    discovered_on: date | None
    first_report_on: date | None
    decision: RiskDecision | None
    words: str

    def reminders(self, today: date) -> tuple[Reminder, ...]:
        """Days to keep in mind; empty without a day of discovery."""
        if self.discovered_on is None:
            return ()
        return reminders(
            self.discovered_on,
            today,
            first_report_on=self.first_report_on,
            decision=self.decision,
        )


def safety_matter(entries: Iterable[Entry]) -> SafetyMatter | None:
    """The safety matter of a case; None when no entry states safety class 1.

    Parameters
    ----------
    entries : iterable of Entry
        All entries of a case.
    """
    now = standing(entries)
    if safety_class(now) != 1:
        return None
    risk = [one for one in of_kind(now, "decided") if one.content["about"] == "risk"]
    decision, words = None, ""
    if risk:
        last, body = risk[-1], risk[-1].content
        on = date.fromisoformat(last.at[:10])
        decision, words = RiskDecision(body["notify"], last.who, body["reason"], on), body["what"]
    return SafetyMatter(_day(now, "discovered"), _day(now, "reported"), decision, words)


def _day(now: list[Entry], kind: str) -> date | None:
    found = of_kind(now, kind)
    return date.fromisoformat(found[-1].content["on"]) if found else None
