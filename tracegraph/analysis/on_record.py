"""What the records alone say of a suspect, at once: who carries it, and where they are."""

from __future__ import annotations

from dataclasses import dataclass

from tracegraph.analysis.naming import find_suspect
from tracegraph.store import Store


@dataclass(frozen=True)
class OnRecord:
    """Hulls in whose records a level stands.

    Attributes
    ----------
    family, level : str
        As the records write them.
    places : dict of str to int
        Hulls by place, nearest first; ``""``: not known.
    """

    family: str
    level: str
    places: dict[str, int]

    @property
    def hulls(self) -> int:
        """How many they are."""
        return sum(self.places.values())


def on_record(
    store: Store, family: str, level: str, *, people_reason: str | None = None
) -> OnRecord:
    """Count the hulls in whose records a level stands; quick at any size.

    Parameters
    ----------
    store : Store
        The records.
    family, level : str
        The suspect, as typed.
    people_reason : str, optional
        Why a family of people is asked for.

    Returns
    -------
    OnRecord
        What may carry it besides, :func:`~tracegraph.analysis.containment.contain` finds.

    Raises
    ------
    UnknownNameError
        If there is no such family or level.
    DefinitionError
        If the family is one of people and no reason is given.
    """
    with store.session() as session:
        suspect = find_suspect(session, family, level, people_reason=people_reason)
        rows = session.named_rows(
            "contain/on_record", {"family_id": suspect.family_id, "level_id": suspect.level_id}
        )
    return OnRecord(suspect.family, suspect.level, {str(place): int(n) for place, n in rows})
