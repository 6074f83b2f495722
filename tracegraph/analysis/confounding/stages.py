"""What may be allowed for: nothing that happened after the suspect's own work.

An inspection result, a rework or a later reading may be a consequence of the suspect;
allowing for it would hide the very effect that is looked for.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracegraph.domain.errors import DefinitionError

LATER_IS_OUTCOME: frozenset[str] = frozenset({"process reading"})
"""Kinds that are a consequence when they come later."""


@dataclass(frozen=True)
class Place:
    """Where a family stands in the order of building.

    Attributes
    ----------
    family : str
        Its name.
    stage : int
        Place of its step.
    kind : str
        Kind of question.
    """

    family: str
    stage: int
    kind: str


def may_allow_for(suspect: Place, other: Place) -> bool:
    """Whether another family can be allowed for when a suspect is asked about.

    Examples
    --------
    >>> lot = Place("deck: gelcoat lot", 2, "material lot")
    >>> may_allow_for(lot, Place("deck: mold", 1, "mold"))
    True
    >>> may_allow_for(lot, Place("deck: cure: barcol", 5, "process reading"))
    False
    """
    return not (other.kind in LATER_IS_OUTCOME and other.stage > suspect.stage)


def check_may_allow_for(suspect: Place, other: Place) -> None:
    """Refuse to allow for what came after the suspect.

    Parameters
    ----------
    suspect, other : Place
        The family asked about, and the one to be allowed for.

    Raises
    ------
    DefinitionError
        If the other family is a reading taken at a later stage.

    References
    ----------
    .. [1] E. F. Schisterman, S. R. Cole and R. W. Platt, Epidemiology 20:488-495, 2009
       (overadjustment).
    """
    if not may_allow_for(suspect, other):
        raise DefinitionError(
            f"Only what came before the suspect can be allowed for; {other.family!r} was read "
            f"at stage {other.stage}, after {suspect.family!r} at stage {suspect.stage}, and "
            "may be its consequence. Choose a family of an earlier stage."
        )
