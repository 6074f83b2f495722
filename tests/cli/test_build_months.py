"""Claims by period of building on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tracegraph.cli.main import run


def test_the_triangle_in_words_rows_and_values(
    sample_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["build-months", "--symptom", "void", "--store", str(sample_store)]
    assert run(asked) == 0
    printed = capsys.readouterr().out
    assert "First claims per 100 hulls, by months in service:" in printed
    assert "so far" in printed
    assert "not yet" in printed
    assert run([*asked, "--period", "12", "--width", "6", "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [row["built_month"][:7] for row in found["periods"]] == [
        f"{year}-01" for year in range(2022, 2027)
    ]
    assert run([*asked, "--format", "csv"]) == 0
    assert capsys.readouterr().out.startswith('"built_month","from_month",')
    assert run([*asked, "--period", "5"]) == 2
    assert "which part a year evenly" in capsys.readouterr().err
