"""Pages made from the code are current, and every command explains itself."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest
import typer

from tracegraph.cli.main import cli

DOCS = Path(__file__).resolve().parent.parent / "docs"


def maker() -> ModuleType:
    spec = importlib.util.spec_from_file_location("docs_make", DOCS / "make.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", sorted(maker().PAGES))
def test_made_page_is_current(name: str) -> None:
    written = (DOCS / name).read_text(encoding="utf-8")
    assert written == maker().PAGES[name](), "run: python docs/make.py"


def test_every_command_has_help_and_an_example() -> None:
    root = typer.main.get_command(cli)
    for name, command in maker()._leaves("", root):
        assert command.help, name
        assert f"Example: tracegraph {name}" in command.help, name
