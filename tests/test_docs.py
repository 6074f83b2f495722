"""Pages made from the code are current, and every command explains itself."""

from __future__ import annotations

import importlib.util
import json
import re
import tomllib
from pathlib import Path
from types import ModuleType

import jsonschema
import pytest
import typer

from tracegraph.cli.main import cli
from tracegraph.intake.mapping import IntakeSettings

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


def test_examples_of_intake_toml_are_valid() -> None:
    schema = json.loads((DOCS / "intake.schema.json").read_text(encoding="utf-8"))
    examples = re.findall(r"```toml\n(.*?)```", (DOCS / "data-format.md").read_text(), re.DOTALL)
    examples.append((DOCS.parent / "sample_builds" / "intake.toml").read_text(encoding="utf-8"))
    assert len(examples) >= 3
    for text in examples:
        content = tomllib.loads(text)
        IntakeSettings.model_validate(content)
        jsonschema.validate(json.loads(json.dumps(content, default=str)), schema)
