"""What may be allowed for: nothing that happened after the suspect's own work.

An inspection result, a rework or a later reading may be a consequence of the suspect;
allowing for it would hide the very effect that is looked for.
"""

from __future__ import annotations

from tracegraph.domain.errors import DefinitionError

LATER_IS_OUTCOME: frozenset[str] = frozenset({"process reading"})
"""Kinds that are a consequence when they come later."""


def check_may_allow_for(
    suspect: str, suspect_stage: int, other: str, other_stage: int, other_kind: str
) -> None:
    """Refuse to allow for what came after the suspect.

    Parameters
    ----------
    suspect, other : str
        Names of the families.
    suspect_stage, other_stage : int
        Their places in the order of building.
    other_kind : str
        Kind of the family to be allowed for.

    Raises
    ------
    DefinitionError
        If the other family is a reading taken at a later stage.

    References
    ----------
    .. [1] E. F. Schisterman, S. R. Cole and R. W. Platt, Epidemiology 20:488-495, 2009
       (overadjustment).

    Examples
    --------
    >>> check_may_allow_for("deck: gelcoat lot", 2, "deck: mold", 1, "mold")
    """
    if other_kind in LATER_IS_OUTCOME and other_stage > suspect_stage:
        raise DefinitionError(
            f"Only what came before the suspect can be allowed for; {other!r} was read at stage "
            f"{other_stage}, after {suspect!r} at stage {suspect_stage}, and may be its "
            "consequence. Choose a family of an earlier stage."
        )
