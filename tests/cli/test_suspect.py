"""One suspect from all sides on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tracegraph.cli.main import run

MOLD = ["suspect", "--symptom", "void", "--family", "hull: mold", "--level", "S22-H2"]


def test_a_planted_mold_is_told_from_the_sprayer_who_got_its_hulls(
    sample_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    beside = ["--beside-family", "hull: gelcoat spray: operator", "--beside-level", "SP-07"]
    where = ["--store", str(sample_store), "--people", "the lead sprayer gets most of its hulls"]
    assert run([*MOLD, *beside, *where, "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    cells = {row["cell"]: row for row in found["beside"]["cells"]}
    assert cells["first only"]["observed"] > 2 * cells["first only"]["expected"]
    assert cells["second only"]["observed"] < 2 * cells["second only"]["expected"]
    told = len(found["beside"]["apart"])
    # Hulls not yet in service are listed too, and stand in no cell.
    assert told >= cells["first only"]["hulls"] + cells["second only"]["hulls"] > 0
    assert "Given hull: gelcoat spray: operator SP-07, the hulls with hull: mold" in " ".join(
        found["reading"]
    )
    assert [row["model"] for row in found["models"] if row["observed"]] == ["S22"]
    # Every case is in one half-year, and all those that carry the mold are in one of them.
    assert sum(row["observed"] for row in found["periods"]) == 24
    assert found["periods"][0]["period"] == "2022, July on"
    assert found["rate_ratio"] > 3
    assert found["service_time"]["first_claims"]
    assert run([*MOLD, *where[:2]]) == 0
    printed = capsys.readouterr().out
    assert "times as often at matched months in service" in printed
    assert "Within each model:" in printed


def test_people_need_a_reason_and_options_go_together(
    sample_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    where = ["--store", str(sample_store)]
    sprayer = ["--beside-family", "hull: gelcoat spray: operator", "--beside-level", "SP-07"]
    assert run([*MOLD, *sprayer, *where]) == 2
    assert "only with a reason" in capsys.readouterr().err
    assert run([*MOLD, *where, "--beside-family", "hull: mold"]) == 2
    assert "go together" in capsys.readouterr().err
    assert run([*MOLD, *where, "--beside-family", "hull: mold", "--beside-level", "S22-H2"]) == 2
    assert "given twice" in capsys.readouterr().err


def test_the_definition_is_asked_as_for_rank(
    sample_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    where = ["--store", str(sample_store)]
    narrow = ["--model", "S22", "--built-to", "2024-06-30", "--certainty", "confirmed"]
    assert run([*MOLD, *narrow, *where, "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["sentence"] == (
        "Claims of void on model S22 built up to 2024-06-30, confirmed, in service."
    )
    assert run(["suspect", *MOLD[3:], *where]) == 2
    assert "A symptom is needed" in capsys.readouterr().err
