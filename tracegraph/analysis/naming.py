"""Find a family and a level by the names that a person types."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from tracegraph.domain.errors import (
    AmbiguousNameError,
    DefinitionError,
    NotAllowedError,
    UnknownNameError,
)
from tracegraph.domain.kinds import PEOPLE
from tracegraph.domain.permission import PeopleReason, is_shared
from tracegraph.store import Connection


@dataclass(frozen=True)
class Suspect:
    """One level of one family.

    Attributes
    ----------
    family_id, level_id : int
        Numbers inside the build.
    family, level, kind : str
        Their names.
    """

    family_id: int
    level_id: int
    family: str
    level: str
    kind: str


def find_suspect(
    session: Connection, family: str, level: str, *, people_reason: str | None = None
) -> Suspect:
    """The level of that name in the family of that name.

    Case and spaces beside the colons do not matter, unless two levels differ by nothing
    else.

    Parameters
    ----------
    session : Connection
        Line to a store.
    family, level : str
        As typed.
    people_reason : str, optional
        Why a family of people is asked for.

    Returns
    -------
    Suspect
        What was meant.

    Raises
    ------
    UnknownNameError
        If there is no such family, or no such level in it.
    AmbiguousNameError
        If two levels differ from each other, and from what was typed, only by case.
    DefinitionError
        If the family is one of people and no reason is given.
    """
    families = session.frame("contain/families")
    by_name = {name: n for n, name in enumerate(families["family"])}
    found = families.iloc[by_name[_match("family", family, by_name)]]
    if found["kind"] == PEOPLE:
        require_reason(people_reason)
    family_id = int(found["family_id"])
    levels = session.frame("contain/levels", {"family_id": family_id})
    numbers = {
        str(name): int(n) for name, n in zip(levels["level"], levels["level_id"], strict=True)
    }
    name = _match("level", level, numbers)
    return Suspect(family_id, numbers[name], str(found["family"]), name, str(found["kind"]))


def parent_lot(session: Connection, suspect: Suspect) -> Suspect | None:
    """The lot that a drum is part of, as a level of its own family; None if there is none.

    Parameters
    ----------
    session : Connection
        Line to a store.
    suspect : Suspect
        Any level; one of another kind than a drum has no parent.
    """
    if suspect.kind != "drum" or not suspect.family.endswith(" drum"):
        return None
    family = suspect.family.removesuffix(" drum") + " lot"
    lot, slash, _ = suspect.level.rpartition("/")
    try:
        return find_suspect(session, family, lot) if slash else None
    except UnknownNameError:
        return None


def require_reason(people_reason: str | None) -> None:
    """Refuse a family of people for which no reason is given.

    Raises
    ------
    DefinitionError
        If the reason is missing or blank.
    NotAllowedError
        On a shared server, if the reason does not stand in the audit.
    """
    if people_reason is None or not people_reason.strip():
        raise DefinitionError(
            "Families of people are shown only with a reason; got none. Say why they are needed."
        )
    if is_shared() and not isinstance(people_reason, PeopleReason):
        raise NotAllowedError(
            "On a shared server families of people are shown to whoever may see them and has said "
            "why; this reason stands in no audit. Give it on the page, signed in."
        )


def _match(what: str, typed: str, known: Mapping[str, int]) -> str:
    if typed in known:
        return typed
    hits = [name for name in known if _folded(name) == _folded(typed)]
    if len(hits) > 1:
        raise AmbiguousNameError(typed, hits)
    if not hits:
        raise UnknownNameError(what, typed, known)
    return hits[0]


def _folded(name: str) -> str:
    return " ".join(re.sub(r"\s*:\s*", ": ", name.casefold()).split())
