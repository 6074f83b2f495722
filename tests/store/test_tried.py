"""Definitions tried are counted once each, cluster by cluster."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tracegraph.store.tried import count_tried


def test_a_definition_counts_once_however_often_it_is_tried(tmp_path: Path) -> None:
    assert count_tried(tmp_path, ("blister", "void"), "a") == 1
    assert count_tried(tmp_path, ("Void", "blister"), "a") == 1
    assert count_tried(tmp_path, ("blister", "void"), "b") == 2
    assert count_tried(tmp_path, ("blister",), "a") == 1


def test_people_at_once_lose_no_count(tmp_path: Path) -> None:
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda n: count_tried(tmp_path, ("void",), str(n)), range(40)))
    assert count_tried(tmp_path, ("void",), "0") == 40


def test_a_directory_that_cannot_be_written_gives_no_count(tmp_path: Path) -> None:
    (tmp_path / "tried.jsonl").mkdir()
    assert count_tried(tmp_path, ("void",), "a") is None
    (tmp_path / "tried.jsonl").rmdir()
    (tmp_path / "tried.jsonl").write_text("not json")
    assert count_tried(tmp_path, ("void",), "a") is None
