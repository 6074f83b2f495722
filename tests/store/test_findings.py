"""What was found in a build lies beside it and goes with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.store.test_directory import publish
from tracegraph.store import StoreDirectory
from tracegraph.store.findings import findings_path, keep_finding, kept_findings


def test_findings_are_kept_by_kind_until_their_build_goes(tmp_path: Path) -> None:
    directory = StoreDirectory(tmp_path)
    first = publish(directory, "one")
    assert directory.before() is None
    keep_finding(first, "sums", {"n": 1, "name": "größe"})
    keep_finding(first, "sums", {"n": None, "name": "2"})
    keep_finding(first, "means", {"n": 3})
    assert kept_findings(first, "sums") == [{"n": 1, "name": "größe"}, {"n": None, "name": "2"}]
    second = publish(directory, "two")
    assert directory.before() == first
    assert kept_findings(second, "sums") == []
    publish(directory, "three")
    assert directory.before() == second
    assert not findings_path(first).exists()


def test_lines_that_cannot_be_read_are_passed_over(tmp_path: Path) -> None:
    build = publish(StoreDirectory(tmp_path), "one")
    findings_path(build).write_text(
        '{"kind": "sums"}\nnone\n[1]\n{"kind": "sums", "found": {"n": 2}}\n{"ki'
    )
    assert kept_findings(build, "sums") == [{"n": 2}]


def test_a_build_in_memory_keeps_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    keep_finding(Path(":memory:"), "sums", {"n": 1})
    assert list(tmp_path.iterdir()) == []
    assert kept_findings(Path(":memory:"), "sums") == []
