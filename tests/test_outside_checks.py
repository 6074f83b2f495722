"""The list of outside checks in docs/methods.md names tests that exist, each with its source."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
HEADING = "### Outside checks"


@cache
def rows() -> list[tuple[str, str, list[str]]]:
    """What is checked, its source, and the tests that check it."""
    text = (ROOT / "docs" / "methods.md").read_text(encoding="utf-8")
    section = text.split(HEADING, 1)[1].split("\n## ", 1)[0]
    found = []
    for line in section.splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if line.startswith("|") and len(cells) == 3 and "`" in cells[2]:
            found.append((cells[0], cells[1], re.findall(r"`([^`]+)`", cells[2])))
    return found


@cache
def names_in(path: str) -> set[str]:
    tree = ast.parse((ROOT / "tests" / path).read_text(encoding="utf-8"))
    return {
        node.name
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    }


def test_there_is_a_list() -> None:
    assert len(rows()) >= 30


@pytest.mark.parametrize("row", rows(), ids=lambda row: row[0])
def test_every_check_exists_and_has_a_source(row: tuple[str, str, list[str]]) -> None:
    what, source, nodes = row
    assert what
    assert source
    for node in nodes:
        path, _, name = node.partition("::")
        assert name in names_in(path), node
