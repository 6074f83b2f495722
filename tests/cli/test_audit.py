"""``tracegraph audit`` lists what was done and what was refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tracegraph.cli.main import run
from tracegraph.domain.errors import NotAllowedError
from tracegraph.domain.permission import Deed, Person, Role
from tracegraph.store.audit import permit, read_audit


def test_audit_lists_and_filters(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["audit", "--store", str(tmp_path)]) == 0
    assert capsys.readouterr().out == "Nothing.\n"
    person = Person("QL-1", Role.INVESTIGATE)
    permit(tmp_path, person, Deed.WRITE_HOLD, "hull: mold = M1")
    with pytest.raises(NotAllowedError):
        permit(tmp_path, person, Deed.LOAD, "records")
    assert run(["audit", "--store", str(tmp_path)]) == 0
    assert "2 lines, 1 of them refused." in capsys.readouterr().out
    assert run(["audit", "--refused", "--store", str(tmp_path), "--format", "json"]) == 0
    (line,) = json.loads(capsys.readouterr().out)
    assert (line["who"], line["what"], line["answer"]) == ("QL-1", "load records", "refused")
    assert run(["audit", "--store", str(tmp_path), "--format", "csv"]) == 0
    assert "write about a hold" in capsys.readouterr().out


def test_commands_leave_their_line(tmp_path: Path) -> None:
    records = tmp_path / "records"
    records.mkdir()
    (records / "hulls.csv").write_text("hull_serial,model\nH1,S18\n")
    store = tmp_path / "store"
    assert run(["load", str(records), "--store", str(store)]) == 0
    assert [(line.who, line.deed) for line in read_audit(store)] == [("owner", "load records")]
