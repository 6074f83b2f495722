"""Who may do what: three roles, and the acts that are written down for an audit.

On one's own machine there is one user, the owner, who may do everything and writes down acts
for others too. On a shared server each person signs in, has one role, and signs as nobody
else. The functions that do an act take the person as an argument, so that no page and no
command can leave the question out.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from enum import StrEnum

from tracegraph.domain.errors import NotAllowedError, SignInError

SETTINGS_VARIABLE = "TRACEGRAPH_ACCESS"
"""Names the file of people and roles; where it is set, the machine is a shared server."""


class Role(StrEnum):
    """What a person may do; each role may do all that the one before it may."""

    VIEW = "view"
    INVESTIGATE = "investigate"
    ADMINISTER = "administer"

    def covers(self, other: Role) -> bool:
        """Whether whoever has this role may do what the other may.

        Examples
        --------
        >>> Role.ADMINISTER.covers(Role.INVESTIGATE), Role.VIEW.covers(Role.INVESTIGATE)
        (True, False)
        """
        roles = list(Role)
        return roles.index(self) >= roles.index(other)


class Deed(StrEnum):
    """An act that not everybody may do and that leaves a line in the audit."""

    SHOW_PEOPLE = "show families of people"
    WRITE_HOLD = "write about a hold"
    WRITE_CASE = "write into a case"
    LOAD = "load records"
    SETTLE = "settle what a number stands for"
    REMOVE_CASE = "remove a case"

    @property
    def least(self) -> Role:
        """The least role that may do it."""
        return _LEAST[self]


_LEAST = {
    Deed.SHOW_PEOPLE: Role.INVESTIGATE,
    Deed.WRITE_HOLD: Role.INVESTIGATE,
    Deed.WRITE_CASE: Role.INVESTIGATE,
    Deed.LOAD: Role.ADMINISTER,
    Deed.SETTLE: Role.ADMINISTER,
    Deed.REMOVE_CASE: Role.ADMINISTER,
}


@dataclass(frozen=True)
class Person:
    """Somebody who acts.

    Attributes
    ----------
    code : str
        By which acts are signed.
    role : Role
        What the person may do.
    signed_in : bool
        Whether somebody vouches for who it is; such a person signs as nobody else.
    """

    code: str
    role: Role
    signed_in: bool = True


OWNER = Person("owner", Role.ADMINISTER, signed_in=False)
"""Whoever has the machine, and so the files of the store, in hand."""


class PeopleReason(str):
    """A reason for showing families of people that stands in the audit."""

    __slots__ = ()


def is_shared() -> bool:
    """Whether this is a shared server, on which nobody acts without having signed in."""
    return bool(os.environ.get(SETTINGS_VARIABLE))


def whoever(by: Person | None) -> Person:
    """The person named, or the owner of the machine when none is.

    Raises
    ------
    SignInError
        On a shared server, where somebody must be named.
    """
    if by is not None:
        return by
    if is_shared():
        raise SignInError(
            "This is a shared server, and nobody has signed in. Sign in, and try again."
        )
    return OWNER


def require(person: Person, deed: Deed, signed: str | None = None) -> None:
    """Refuse what a person may not do.

    Parameters
    ----------
    person : Person
        Who is about to act.
    deed : Deed
        What is about to be done.
    signed : str, optional
        Code that the act is signed with.

    Raises
    ------
    NotAllowedError
        If the role does not cover it, or the act is signed with somebody else's code.

    Examples
    --------
    >>> require(Person("QE-1", Role.INVESTIGATE), Deed.WRITE_HOLD, signed="QE-1")
    """
    if not person.role.covers(deed.least):
        raise NotAllowedError(
            f"To {deed}, the role {deed.least!s} is needed; {person.code} has the role "
            f"{person.role!s}. Ask whoever administers this server."
        )
    if person.signed_in and signed is not None and signed.strip() != person.code:
        raise NotAllowedError(
            f"{person.code} has signed in and signs as nobody else; got {signed.strip()!r}. Leave "
            "the code as it is."
        )
