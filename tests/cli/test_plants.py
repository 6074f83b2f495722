"""Two plants on the command line: joined, asked together and one by one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tracegraph.cli.main import run

LOT = ["--family", "hull: gelcoat spray: gelcoat lot", "--level", "GN-2129"]


def asked(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    assert run([*words, "--format", "json"]) == 0
    found: dict[str, object] = json.loads(capsys.readouterr().out)
    return found


def test_joined_plants_answer_every_command(
    two_plants: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    joined = ["--store", str(two_plants / "joined")]
    both = asked(capsys, "rank", "--symptom", "porosity", "--resamples", "19", *joined)
    assert both["suspects"][0]["level"] == "GN-2129"
    assert both["verdict"]["allowed_for"] == ["model", "build period", "plant"]
    one = asked(
        capsys, "rank", "--symptom", "porosity", "--plant", "South", "--resamples", "19", *joined
    )
    assert one["definition"]["plants"] == ["South"]
    assert "from plant South" in one["sentence"]
    assert one["cohort"]["left_out"]["hulls of other plants"] == 220
    suspect = asked(capsys, "suspect", "--symptom", "porosity", *LOT, *joined)
    assert [row["plant"] for row in suspect["plants"]] == ["north", "south"]
    held = asked(capsys, "contain", *LOT, *joined)
    listed = {row["hull_serial"].split(":")[0] for row in held["hulls"]}
    assert listed == {"north", "south"}
    assert {row["model"].split(", ")[1] for row in held["ranges"]} == {"north", "south"}
    traced = asked(capsys, "trace", "GN-2129", *joined)
    hulls = {n["label"].split(" ")[1] for n in traced["nodes"] if n["kind"] == "hull"}
    assert {hull.split(":")[0] for hull in hulls} == {"north", "south"}
    history = asked(capsys, "history", "north:S18-0071", *joined)
    assert "north:" in json.dumps(history)
    assert "south:" not in json.dumps(history)


def test_a_number_of_both_plants_is_asked_about(
    two_plants: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["trace", "hull:S18-0071", "--store", str(two_plants / "joined")]) == 2
    said = capsys.readouterr().err
    assert "north:S18-0071" in said
    assert "south:S18-0071" in said


def test_join_says_what_it_took_for_one_thing(
    two_plants: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["join", "--store", str(two_plants / "joined")]) == 0
    printed = capsys.readouterr()
    assert "north" in printed.out
    assert "Nothing new" in printed.err
    found = asked(capsys, "join", "--store", str(two_plants / "joined"))
    assert [row["hulls"] for row in found["plants"]] == [220, 220]
    assert run(["join", "east=nowhere", "--store", str(two_plants / "joined")]) == 2
    assert "No records in nowhere yet" in capsys.readouterr().err
