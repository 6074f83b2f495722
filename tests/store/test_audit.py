"""Each sensitive act leaves one line, done or refused, and is refused below pages and commands."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.domain.test_holding import act as hold_act
from tracegraph.domain.acts import CLAIM_TO_HULL, Act
from tracegraph.domain.errors import DefinitionError, NotAllowedError, StoreError
from tracegraph.domain.permission import OWNER, Deed, PeopleReason, Person, Role
from tracegraph.intake import load_folder
from tracegraph.intake.acting import act_on_records
from tracegraph.store import StoreDirectory
from tracegraph.store.acts import append_hold_acts, read_acts, read_hold_acts
from tracegraph.store.audit import people_reason, permit, read_audit

VIEWER = Person("QE-9", Role.VIEW)
INVESTIGATOR = Person("QL-1", Role.INVESTIGATE)
ADMINISTRATOR = Person("QM-1", Role.ADMINISTER)


def test_a_line_says_who_when_what_where_and_the_answer(tmp_path: Path) -> None:
    permit(tmp_path, INVESTIGATOR, Deed.WRITE_HOLD, "hull: mold = M1", signed="QL-1")
    with pytest.raises(NotAllowedError, match="the role administer is needed"):
        permit(tmp_path, INVESTIGATOR, Deed.LOAD, "records")
    done, refused = read_audit(tmp_path)
    assert (done.who, done.role, done.deed, done.about, done.store, done.allowed) == (
        "QL-1", "investigate", "write about a hold", "hull: mold = M1", tmp_path.name, True,
    )  # fmt: skip
    assert done.at.endswith("+00:00")
    assert (refused.deed, refused.allowed) == ("load records", False)


def test_what_the_owner_writes_for_another_names_the_other(tmp_path: Path) -> None:
    permit(tmp_path, OWNER, Deed.WRITE_HOLD, "hold", signed="QL-7")
    permit(tmp_path, None, Deed.LOAD, "records")
    assert [line.who for line in read_audit(tmp_path)] == ["QL-7", "owner"]


def test_a_false_name_is_refused_and_stands_in_the_audit(tmp_path: Path) -> None:
    with pytest.raises(NotAllowedError, match="signs as nobody else"):
        append_hold_acts(tmp_path, [hold_act(who="QM-1")], by=INVESTIGATOR)
    assert read_hold_acts(tmp_path) == ()
    assert [(line.who, line.allowed) for line in read_audit(tmp_path)] == [("QL-1", False)]


def test_hold_acts_need_the_role(tmp_path: Path) -> None:
    with pytest.raises(NotAllowedError, match="To write about a hold, the role investigate"):
        append_hold_acts(tmp_path, [hold_act(who="QE-9")], by=VIEWER)
    append_hold_acts(tmp_path, [hold_act(who="QL-1")], by=INVESTIGATOR)
    assert len(read_hold_acts(tmp_path)) == 1
    assert [line.allowed for line in read_audit(tmp_path)] == [False, True]


def test_loading_needs_the_role_and_is_refused_before_anything_is_read(tmp_path: Path) -> None:
    store = StoreDirectory(tmp_path / "store")
    with pytest.raises(NotAllowedError, match="To load records, the role administer is needed"):
        load_folder(tmp_path / "no such folder", store, by=INVESTIGATOR)
    assert [line.deed for line in read_audit(store.path)] == ["load records"]


def test_settling_numbers_needs_the_role(tmp_path: Path) -> None:
    act = Act("2026-03-01T08:00:00+00:00", "QL-1", "accept", CLAIM_TO_HULL, "A", "1", "photo")
    with pytest.raises(NotAllowedError, match="settle what a number stands for"):
        act_on_records(StoreDirectory(tmp_path), act, by=INVESTIGATOR)
    assert read_acts(tmp_path) == ()
    assert read_audit(tmp_path)[0].about == "accept claim to hull: A for 1"


def test_people_are_shown_for_a_reason_that_stands_in_the_audit(tmp_path: Path) -> None:
    given = people_reason(tmp_path, INVESTIGATOR, " training records ")
    assert isinstance(given, PeopleReason)
    assert read_audit(tmp_path)[0].about == "training records"
    with pytest.raises(NotAllowedError, match="show families of people"):
        people_reason(tmp_path, VIEWER, "curious")
    with pytest.raises(DefinitionError, match="got a blank one"):
        people_reason(tmp_path, ADMINISTRATOR, " ")


def test_what_cannot_be_audited_is_not_done(tmp_path: Path) -> None:
    (tmp_path / "audit.jsonl").mkdir()
    with pytest.raises(StoreError, match="cannot be written"):
        append_hold_acts(tmp_path, [hold_act()], by=OWNER)
    assert read_hold_acts(tmp_path) == ()


def test_lines_hold_any_text(tmp_path: Path) -> None:
    about = "<b>x</b>\u2028=1+1\n\u202eabc 🛥" + "y" * 10_000
    permit(tmp_path, OWNER, Deed.LOAD, about)
    permit(tmp_path, OWNER, Deed.LOAD, "next")
    assert [line.about for line in read_audit(tmp_path)] == [about, "next"]
