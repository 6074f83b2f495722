"""Who may do what on a shared server: the file of people and roles, and how a sign-in is read."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError
from pydantic import model_validator as whole_model

from tracegraph.domain.errors import NotAllowedError, SignInError, StoreError
from tracegraph.domain.permission import Person, Role

SIGNED_IN_HOURS = 12
"""How long a sign-in is good for: one long shift."""

Word = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Member(_Strict):
    """One person of the file.

    Attributes
    ----------
    code : str
        By which the person's acts are signed.
    role : Role
        What the person may do.
    email : str or None
        Counts only where the provider says that it was verified.
    subject : str or None
        The provider's own, unchanging number of the person.
    """

    code: Annotated[Word, StringConstraints(pattern=r"^[^@]*$")]
    role: Role
    email: Word | None = None
    subject: Word | None = None

    @whole_model(mode="after")
    def _named_once(self) -> Member:
        if (self.email is None) == (self.subject is None):
            raise ValueError("name the person by email or by subject, and not by both")
        return self


class Group(_Strict):
    """A group as the provider names it, and the role of its members."""

    name: Word
    role: Role


class Roster(_Strict):
    """The file of people and roles.

    Attributes
    ----------
    people : tuple of Member
        Named one by one; they have the role that is written here, whatever their groups.
    groups : tuple of Group
        For everybody else: the highest role of the groups that the provider puts them in.
    group_claim : str
        Where the provider writes the groups.
    """

    people: tuple[Member, ...] = ()
    groups: tuple[Group, ...] = ()
    group_claim: Word = Field(default="groups")

    @whole_model(mode="after")
    def _each_once(self) -> Roster:
        for what, names in (
            ("code", [one.code for one in self.people]),
            ("email", [one.email.casefold() for one in self.people if one.email]),
            ("subject", [one.subject for one in self.people if one.subject]),
            ("group", [one.name for one in self.groups]),
        ):
            twice = [name for name, times in Counter(names).items() if times > 1]
            if twice:
                raise ValueError(f"the {what} {twice[0]!r} is there twice")
        return self

    def person(self, claims: Mapping[str, Any], now: float) -> Person:
        """The person whom the provider vouches for, with the role.

        Parameters
        ----------
        claims : mapping of str to object
            What the provider said at signing in (claims of OpenID Connect Core 1.0).
        now : float
            Seconds since 1970.

        Raises
        ------
        SignInError
            If nobody has signed in, or too long ago.
        NotAllowedError
            If the file gives the person no role.
        """
        if not claims.get("is_logged_in") or not claims.get("sub"):
            raise SignInError("Nobody has signed in. Sign in to see the records.")
        issued = claims.get("iat")
        if not isinstance(issued, int | float) or now - issued > SIGNED_IN_HOURS * 3600:
            raise SignInError(
                f"A sign-in is good for {SIGNED_IN_HOURS} hours, and this one is older. Sign in "
                "again."
            )
        subject = str(claims["sub"])
        email = str(claims.get("email") or "") if claims.get("email_verified") is True else ""
        for one in self.people:
            if one.subject == subject or (one.email and one.email.casefold() == email.casefold()):
                return Person(one.code, one.role)
        given = claims.get(self.group_claim)
        names = {given} if isinstance(given, str) else set(given or ())
        roles = [role for role in Role if role in {g.role for g in self.groups if g.name in names}]
        if not roles:
            raise NotAllowedError(
                f"{email or subject} has signed in but has no role here. Ask whoever administers "
                "this server to add the person or one of the groups to the file of roles."
            )
        return Person(email or subject, roles[-1])


def read_roster(path: Path) -> Roster:
    """Read the file of people and roles.

    Raises
    ------
    StoreError
        If it cannot be read, is not TOML, or says something wrong; every fault is named.
    """
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise StoreError(
            f"The file of roles {path.name} cannot be read: {error.strerror}. Nobody may do "
            "anything until it can."
        ) from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise StoreError(f"{path.name} is not readable as TOML: {error}. Mend it.") from error
    try:
        return Roster.model_validate(content)
    except ValidationError as error:
        faults = "; ".join(_fault(item) for item in error.errors(include_url=False))
        raise StoreError(f"{path.name}: {faults}. Mend it.") from error


def _fault(item: Any) -> str:
    where = ".".join(f"{part + 1}" if isinstance(part, int) else str(part) for part in item["loc"])
    if item["type"] == "extra_forbidden":
        return f"{where}: no such key"
    return f"{where or 'the file'}: {item['msg'].removeprefix('Value error, ')}"
