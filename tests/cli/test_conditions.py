"""Measured conditions on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tracegraph.cli.main import run


def test_conditions_are_listed_and_one_is_looked_at(
    sample_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["conditions", "--symptom", "void", "--store", str(sample_store)]
    molds = [*asked, "--kind", "mold condition"]
    assert run([*molds, "--top", "2"]) == 0
    printed = capsys.readouterr().out
    assert "hull: mold pulls since repair is higher on affected hulls" in printed
    assert "The first 2 of 20 conditions" in printed
    assert run([*molds, "--format", "json"]) == 0
    first = json.loads(capsys.readouterr().out)["conditions"][0]
    assert (first["family"], first["reading"]) == ("hull: mold pulls since repair", "holds")
    one = [*asked, "--family", first["family"]]
    assert run(one) == 0
    assert "Where claims differ most:" in capsys.readouterr().out
    assert run([*one, "--kind", "timing"]) == 2
    assert "give one" in capsys.readouterr().err
    assert run([*asked, "--family", "hull: moon"]) == 2
    assert "There is no measured condition 'hull: moon'" in capsys.readouterr().err
