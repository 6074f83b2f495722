"""Three roles, what each may do, and in whose name."""

from __future__ import annotations

import pytest

from tracegraph.domain.errors import NotAllowedError
from tracegraph.domain.permission import OWNER, Deed, Person, Role, is_shared, require, whoever

MAY = {
    Role.VIEW: set(),
    Role.INVESTIGATE: {Deed.SHOW_PEOPLE, Deed.WRITE_HOLD, Deed.WRITE_CASE},
    Role.ADMINISTER: set(Deed),
}


@pytest.mark.parametrize("role", Role)
@pytest.mark.parametrize("deed", Deed)
def test_each_role_may_do_just_what_it_covers(role: Role, deed: Deed) -> None:
    person = Person("QE-1", role)
    if deed in MAY[role]:
        require(person, deed)
    else:
        with pytest.raises(NotAllowedError, match=f"QE-1 has the role {role}. Ask whoever"):
            require(person, deed)


def test_who_signed_in_signs_as_nobody_else() -> None:
    person = Person("QE-1", Role.ADMINISTER)
    require(person, Deed.WRITE_HOLD, signed=" QE-1 ")
    with pytest.raises(NotAllowedError, match="signs as nobody else; got 'QM-1'"):
        require(person, Deed.WRITE_HOLD, signed="QM-1")


def test_the_owner_writes_down_what_others_did() -> None:
    require(OWNER, Deed.WRITE_HOLD, signed="QM-1")


def test_unnamed_is_the_owner_on_ones_own_machine_only(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("TRACEGRAPH_ACCESS", raising=False)
    assert whoever(None) is OWNER
    monkeypatch.setenv("TRACEGRAPH_ACCESS", "access.toml")
    assert is_shared()
    with pytest.raises(NotAllowedError, match="nobody has signed in"):
        whoever(None)
    viewer = Person("QE-1", Role.VIEW)
    assert whoever(viewer) is viewer
