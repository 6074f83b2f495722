"""What a sign-in is worth: the role in the file, or none."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tracegraph.domain.errors import NotAllowedError, SignInError, StoreError
from tracegraph.domain.permission import Person, Role
from tracegraph.store.roster import Roster, read_roster

NOW = 1_800_000_000.0
FILE = """
group_claim = "teams"

[[people]]
code = "QL-1"
email = "Lead@Yard.example"
role = "investigate"

[[people]]
code = "QM-1"
subject = "248289761001"
role = "administer"

[[groups]]
name = "yard"
role = "view"

[[groups]]
name = "quality"
role = "investigate"
"""


@pytest.fixture
def roster(tmp_path: Path) -> Roster:
    path = tmp_path / "access.toml"
    path.write_text(FILE)
    return read_roster(path)


def claims(**more: Any) -> dict[str, Any]:
    return {"is_logged_in": True, "sub": "7", "iat": NOW - 60} | more


def test_a_person_is_known_by_a_verified_email_in_any_case(roster: Roster) -> None:
    signed_in = claims(email="lead@yard.EXAMPLE", email_verified=True)
    assert roster.person(signed_in, NOW) == Person("QL-1", Role.INVESTIGATE)


@pytest.mark.parametrize("verified", [False, None, "true", 0])
def test_an_email_that_nobody_verified_is_worth_nothing(roster: Roster, verified: object) -> None:
    signed_in = claims(email="lead@yard.example", email_verified=verified)
    with pytest.raises(NotAllowedError, match="7 has signed in but has no role here"):
        roster.person(signed_in, NOW)


def test_a_person_is_known_by_the_providers_number(roster: Roster) -> None:
    found = roster.person(claims(sub="248289761001", teams=["yard"]), NOW)
    assert found == Person("QM-1", Role.ADMINISTER)


@pytest.mark.parametrize(
    ("teams", "role"),
    [
        (["yard"], Role.VIEW),
        (["yard", "quality", "paint"], Role.INVESTIGATE),
        ("yard", Role.VIEW),
    ],
)
def test_groups_give_the_highest_of_their_roles(roster: Roster, teams: object, role: Role) -> None:
    signed_in = claims(email="x@yard.example", email_verified=True, teams=teams)
    assert roster.person(signed_in, NOW) == Person("x@yard.example", role)


def test_a_named_person_has_the_role_written_there_whatever_the_groups(tmp_path: Path) -> None:
    path = tmp_path / "access.toml"
    path.write_text(FILE.replace('role = "investigate"', 'role = "view"', 1))
    signed_in = claims(email="lead@yard.example", email_verified=True, teams=["quality"])
    assert read_roster(path).person(signed_in, NOW).role is Role.VIEW


@pytest.mark.parametrize("teams", [None, [], ["paint"], ["Yard"], "quality yard"])
def test_no_group_no_role(roster: Roster, teams: object) -> None:
    with pytest.raises(NotAllowedError, match="no role here"):
        roster.person(claims(teams=teams), NOW)


@pytest.mark.parametrize(
    "signed_in",
    [
        {},
        {"is_logged_in": False, "sub": "248289761001", "iat": NOW},
        {"is_logged_in": True, "iat": NOW},
        claims(sub="248289761001", iat=NOW - 12 * 3600 - 1),
        claims(sub="248289761001", iat=None),
    ],
)
def test_no_sign_in_or_an_old_one_is_told_to_sign_in(
    roster: Roster, signed_in: dict[str, Any]
) -> None:
    with pytest.raises(SignInError, match="Sign in"):
        roster.person(signed_in, NOW)


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("people = 3", "people: Input should be a valid tuple"),
        ('[[people]]\ncode = "A"\nrole = "boss"\nemail = "a@b"', "people.1.role: Input should be"),
        ('[[people]]\ncode = "A"\nrole = "view"', "name the person by email or by subject"),
        ('[[people]]\ncode = "a@b"\nrole = "view"\nsubject = "1"', "people.1.code: String should"),
        (
            '[[people]]\ncode = "A"\nrole = "view"\nsubject = "1"\n' * 2,
            "the code 'A' is there twice",
        ),
        ('[[groups]]\nname = "q"\nrole = "view"\n' * 2, "the group 'q' is there twice"),
        ("roles = 1", "roles: no such key"),
        ("[[", "not readable as TOML"),
    ],
)
def test_faults_of_the_file_are_named(tmp_path: Path, text: str, fault: str) -> None:
    path = tmp_path / "access.toml"
    path.write_text(text)
    with pytest.raises(StoreError, match=f"access.toml.*{fault}"):
        read_roster(path)


def test_a_missing_file_lets_nobody_in(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="Nobody may do anything"):
        read_roster(tmp_path / "access.toml")
