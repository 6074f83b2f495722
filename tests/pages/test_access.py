"""The door: one's own machine, a shared server, and what neither is."""

from __future__ import annotations

from pathlib import Path

import pytest
from streamlit.runtime.context import ContextProxy

from tests.pages.conftest import Open, words
from tracegraph.store.audit import read_audit


@pytest.mark.parametrize("host", ["localhost:8501", "127.0.0.1:8501", "[::1]:8501", "localhost"])
def test_ones_own_machine_needs_no_sign_in(
    tmp_path: Path, visit: Open, monkeypatch: pytest.MonkeyPatch, host: str
) -> None:
    monkeypatch.setattr(ContextProxy, "headers", {"Host": host})
    assert "No records yet." in words(visit(tmp_path / "store"))


@pytest.mark.parametrize("host", ["yard.example", "192.0.2.7:8501", "localhost.example:80"])
def test_an_app_without_roles_answers_nobody_from_elsewhere(
    tmp_path: Path, visit: Open, monkeypatch: pytest.MonkeyPatch, host: str
) -> None:
    monkeypatch.setattr(ContextProxy, "headers", {"Host": host})
    said = words(visit(tmp_path / "store"))
    assert "was reached from elsewhere" in said
    assert "No records" not in said


def test_a_shared_server_without_a_provider_says_so(
    tmp_path: Path, visit: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "access.toml").write_text("")
    monkeypatch.setenv("TRACEGRAPH_ACCESS", str(tmp_path / "access.toml"))
    at = visit(tmp_path / "store")
    assert "Nobody has signed in." in words(at)
    at.button[0].click().run()
    assert "Signing in is not set up on this server" in words(at)


def test_a_wrong_file_of_roles_lets_nobody_in(
    tmp_path: Path, visit: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TRACEGRAPH_ACCESS", str(tmp_path / "access.toml"))
    assert "Nobody may do anything until it can." in words(visit(tmp_path / "store"))


def test_a_reason_for_showing_people_is_audited_once(
    tmp_path: Path, sample_store: Path, visit: Open
) -> None:
    before = len(read_audit(sample_store))
    at = visit(sample_store, "containment")
    at.toggle(key="field: people on").set_value(True).run()
    at.text_input(key="field: people reason").set_value("who was trained").run()
    at.run()
    words(at)
    lines = read_audit(sample_store)[before:]
    assert [(line.who, line.about) for line in lines] == [("owner", "who was trained")]
