"""Writing into case files and removing them takes a role, and leaves a line in the audit."""

from __future__ import annotations

from pathlib import Path

import pytest

from tracegraph.cases import CaseStore
from tracegraph.domain.errors import NotAllowedError
from tracegraph.domain.permission import Person, Role
from tracegraph.store.audit import read_audit


def opened(folder: Path, who: str, role: Role) -> CaseStore:
    return CaseStore(f"sqlite:///{folder / 'cases.sqlite'}", folder, Person(who, role))


def test_whoever_may_only_look_writes_nothing_but_reads(tmp_path: Path) -> None:
    opened(tmp_path, "QL-1", Role.INVESTIGATE).open_case("QL-1", {"title": "blisters"})
    viewer = opened(tmp_path, "QE-9", Role.VIEW)
    with pytest.raises(NotAllowedError, match="To write into a case, the role investigate"):
        viewer.append("C-0001", "QE-9", "noted", {"lines": ["x"]})
    with pytest.raises(NotAllowedError, match="write into a case"):
        viewer.open_case("QE-9", {"title": "mine"})
    assert viewer.numbers() == ["C-0001"]
    assert len(viewer.entries("C-0001")) == 1
    assert [(line.about, line.allowed) for line in read_audit(tmp_path)] == [
        ("a new case", True), ("C-0001: noted", False), ("a new case", False),
    ]  # fmt: skip


def test_removing_a_case_is_for_whoever_administers(tmp_path: Path) -> None:
    opened(tmp_path, "QL-1", Role.INVESTIGATE).open_case("QL-1", {"title": "blisters"})
    with pytest.raises(NotAllowedError, match="To remove a case, the role administer"):
        opened(tmp_path, "QL-1", Role.INVESTIGATE).remove("C-0001", "QL-1", "done with it")
    opened(tmp_path, "QM-1", Role.ADMINISTER).remove("C-0001", "QM-1", "kept long enough")
    assert opened(tmp_path, "QL-1", Role.INVESTIGATE).numbers() == []


def test_nobody_signs_with_anothers_code(tmp_path: Path) -> None:
    with pytest.raises(NotAllowedError, match="signs as nobody else"):
        opened(tmp_path, "QL-1", Role.INVESTIGATE).open_case("QM-1", {"title": "blisters"})
