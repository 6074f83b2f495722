"""What became of each hull on a hold list: one state each, so that they always add up."""

from __future__ import annotations

from collections.abc import Mapping

from tracegraph.domain.errors import DefinitionError

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
