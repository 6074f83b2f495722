"""``tracegraph hold``: states, days and decisions are written down and never lost."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tracegraph.cli.main import run

HOSE = ["--family", "hull: fuel hose: lot", "--level", "FH-00342"]
BY = ["--who", "QL-1", "--reason", "letter of 9 March"]


@pytest.fixture
def store(sample_store: Path, tmp_path: Path) -> list[str]:
    """A copy of the sample's store, to write beside."""
    shutil.copytree(sample_store, tmp_path / "store")
    return ["--store", str(tmp_path / "store")]


def shown(store: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    capsys.readouterr()
    assert run(["hold", "show", *HOSE, *store, "--format", "json"]) == 0
    found: dict[str, object] = json.loads(capsys.readouterr().out)
    return found


def test_a_hold_is_kept_act_by_act(store: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    mark = ["hold", "mark", *HOSE, *BY, *store]
    assert run([*mark, "S22-0401", "QZX00422A424", "--state", "notified"]) == 0
    assert "2 hulls notified" in capsys.readouterr().err
    assert run([*mark, "S22-0401", "--state", "inspected clear", "--on", "2026-03-12"]) == 0
    assert run(["hold", "discovered", "2026-03-01", *HOSE, *BY, *store]) == 0
    assert run(["hold", "reported", "2026-03-20", *HOSE, *BY, *store]) == 0
    assert run(["hold", "decide", "--notify", *HOSE, *BY, *store]) == 0
    found = shown(store, capsys)
    assert found["states"] == {
        "unknown": 39, "notified": 1, "unreachable": 0, "inspected clear": 1, "corrected": 0,
        "refused": 0,
    }  # fmt: skip
    assert found["exposed"] == 41
    assert (found["discovered_on"], found["first_report_on"]) == ("2026-03-01", "2026-03-20")
    assert [act["act"] for act in found["acts"]] == [  # type: ignore[attr-defined]  # a list
        "state", "state", "state", "discovered", "reported", "decided",
    ]  # fmt: skip
    assert run(["hold", "list", *store, "--format", "json"]) == 0
    (row,) = json.loads(capsys.readouterr().out)
    assert (row["hold"], row["decision"]) == ("hull: fuel hose: lot = FH-00342", "notify")
    assert (row["discovered"], row["hulls with a state"]) == ("2026-03-01", 2)
    assert run(["hold", "list", *store]) == 0
    assert "1 hold." in capsys.readouterr().out
    assert run(["contain", *HOSE, *store, "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out)["states"] == found["states"]
    assert run(["hold", "show", *HOSE, *store]) == 0
    printed = capsys.readouterr().out
    assert "States add up to 41 exposed hulls" in printed
    assert "local law and counsel prevail" in printed


def test_all_hulls_at_a_place_are_marked_at_once(
    store: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    mark = ["hold", "mark", *HOSE, *BY, *store, "--state", "notified"]
    assert run([*mark, "--place", "owner"]) == 0
    found = shown(store, capsys)
    assert found["report"]["purchasers_notified"] == 41  # type: ignore[index]  # a dict


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["mark", "S22-0401", "--state", "fixed", *BY, *HOSE], "must be one of unknown, notified"),
        (["mark", "S22-0001", "--state", "notified", *BY, *HOSE], "is not on this list"),
        (["mark", "--state", "notified", *BY, *HOSE], "Name hulls, or a --place"),
        (["mark", "--place", "plant", "--state", "notified", *BY, *HOSE], "at the place 'plant'"),
        (["mark", "S22-0401", "--state", "notified", "--who", " ", "--reason", "x", *HOSE],
         "must say who"),
        (["discovered", "9 March", *BY, *HOSE], "must be a date like 2026-03-09"),
        (["decide", *BY, *HOSE], "Missing parameter: notify"),
        (["show"], "Each suspect is a --family FAMILY"),
    ],
)  # fmt: skip
def test_wrong_input_is_one_line_and_writes_nothing(
    store: list[str],
    capsys: pytest.CaptureFixture[str],
    arguments: list[str],
    words: str,
) -> None:
    assert run(["hold", *arguments, *store]) == 2
    printed = capsys.readouterr()
    assert words in printed.err
    assert printed.err.count("\n") == 1
    assert not (Path(store[1]) / "holds.jsonl").exists()


def test_the_plants_own_limits_hold_for_a_history(
    store: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    (Path(store[1]) / "limits.toml").write_text(
        '[[limit]]\nquantity = "wet_film"\nunit = "um"\nlow = 1000\nsource = "our sheet"\n'
    )
    assert run(["history", "S22-0401", *store, "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    thin = [row for row in found["findings"] if row["source"] == "our sheet"]
    assert len(thin) == 4  # every part that was sprayed
