"""What became of each hull on a hold list: one state each, so that they always add up.

What people do about a hold is written down act by act, with who, when and why, and is never
edited. What is in force follows from the acts: the latest one about a hull gives its state.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from tracegraph.domain.errors import DefinitionError
from tracegraph.domain.notice import RiskDecision

HOLD_STATES: tuple[str, ...] = (
    "unknown",
    "notified",
    "unreachable",
    "inspected clear",
    "corrected",
    "refused",
)
"""States of a hull on a hold list; ``unknown`` until somebody writes another one down."""

REACHED: frozenset[str] = frozenset({"notified", "inspected clear", "corrected", "refused"})
"""States that somebody who had been told brought about."""

FINISHED: frozenset[str] = frozenset({"inspected clear", "corrected", "refused"})
"""States after which nothing is left to do about a hull."""


def checked_states(states: Mapping[str, str]) -> dict[str, str]:
    """States by hull serial, after checking the words.

    Parameters
    ----------
    states : mapping of str to str
        State of each hull.

    Returns
    -------
    dict of str to str
        The same.

    Raises
    ------
    DefinitionError
        If a word is none of :data:`HOLD_STATES`.

    Examples
    --------
    >>> checked_states({"BT-1001": "corrected"})
    {'BT-1001': 'corrected'}
    """
    for serial, state in states.items():
        if state not in HOLD_STATES:
            raise DefinitionError(
                f"The state of hull {serial} must be one of {', '.join(HOLD_STATES)}; got "
                f"{state!r}. Write one of them."
            )
    return dict(states)


STATE, DISCOVERED, REPORTED, DECIDED = "state", "discovered", "reported", "decided"
HOLD_ACTS: tuple[str, ...] = (STATE, DISCOVERED, REPORTED, DECIDED)
"""A hull's state was changed; something was discovered; a first report was made; somebody
decided whether notice is to be given."""

NOTIFY, NO_NOTICE = "notify", "no notice"


@dataclass(frozen=True)
class HoldAct:
    """One act about a hold.

    Attributes
    ----------
    at : str
        When it was written down, ISO 8601 with offset.
    who : str
        Code of the person who did or decided it.
    hold : str
        Which hold; see :func:`hold_name`.
    act : str
        One of :data:`HOLD_ACTS`.
    value : str
        A state, or ``notify`` or ``no notice``; empty for the other acts.
    hull : str
        Serial of the hull, for a state; else empty.
    day : str
        Day on which it came about, ISO 8601.
    reason : str
        Why.

    Raises
    ------
    DefinitionError
        If a word is unknown, a time cannot be read, or who or why is blank.
    """

    at: str
    who: str
    hold: str
    act: str
    value: str
    hull: str
    day: str
    reason: str

    def __post_init__(self) -> None:
        for name in ("who", "hold", "reason"):
            if not str(getattr(self, name)).strip():
                raise DefinitionError(
                    f"An act about a hold must say {name}; got nothing. Write it down."
                )
        words = {STATE: HOLD_STATES, DECIDED: (NOTIFY, NO_NOTICE)}.get(self.act, ("",))
        if self.act not in HOLD_ACTS or self.value not in words:
            raise DefinitionError(
                f"{self.act!r} with {self.value!r} is no act about a hold. Acts are "
                f"{', '.join(HOLD_ACTS)}; states are {', '.join(HOLD_STATES)}; decisions are "
                f"{NOTIFY} and {NO_NOTICE}."
            )
        if (self.act == STATE) != bool(self.hull.strip()):
            raise DefinitionError("A state belongs to a hull, and every other act to none.")
        for text, read in ((self.at, datetime.fromisoformat), (self.day, date.fromisoformat)):
            try:
                read(text)
            except ValueError:
                raise DefinitionError(
                    f"A day must be written like 2026-03-09; got {text!r}."
                ) from None


@dataclass(frozen=True)
class Standing:
    """What is in force after all acts about one hold.

    Attributes
    ----------
    states : dict of str to str
        State by hull serial, for hulls that anything was written about.
    discovered_on : date or None
        Day of discovery, as a person recorded it.
    first_report_on : date or None
        Day of the first report.
    decision : RiskDecision or None
        What was decided about the risk, by whom and why.
    """

    states: dict[str, str]
    discovered_on: date | None
    first_report_on: date | None
    decision: RiskDecision | None


def hold_name(members: Sequence[tuple[str, str]]) -> str:
    """Name of the hold on some suspects, whatever their order.

    Examples
    --------
    >>> hold_name([("hull: mold", "S22-H2"), ("deck: mold", "S22-D1")])
    'deck: mold = S22-D1; hull: mold = S22-H2'
    """
    return "; ".join(sorted(f"{family} = {level}" for family, level in members))


def standing(acts: Iterable[HoldAct], hold: str) -> Standing:
    """What is in force for one hold.

    Parameters
    ----------
    acts : iterable of HoldAct
        In the order in which they were written down; those of other holds are passed over.
    hold : str
        Which hold.

    Returns
    -------
    Standing
        The latest act about a hull gives its state; the latest of each other sort stands.

    Examples
    --------
    >>> told = HoldAct("2026-03-09T08:00+00:00", "QL-1", "mold = M1", "state", "notified", "BT-1",
    ...                "2026-03-09", "letter of 9 March")
    >>> standing([told], "mold = M1").states
    {'BT-1': 'notified'}
    """
    states: dict[str, str] = {}
    latest: dict[str, HoldAct] = {}
    for act in acts:
        if act.hold != hold:
            continue
        if act.act == STATE:
            states[act.hull] = act.value
        else:
            latest[act.act] = act
    decided = latest.get(DECIDED)
    return Standing(
        states=states,
        discovered_on=_day(latest.get(DISCOVERED)),
        first_report_on=_day(latest.get(REPORTED)),
        decision=None
        if decided is None
        else RiskDecision(
            decided.value == NOTIFY, decided.who, decided.reason, date.fromisoformat(decided.day)
        ),
    )


def _day(act: HoldAct | None) -> date | None:
    return None if act is None else date.fromisoformat(act.day)
