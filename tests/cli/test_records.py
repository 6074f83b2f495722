"""A near match is offered, accepted by an act with who and why, and undone by another."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tracegraph.cli.main import run
from tracegraph.store import open_store

LINK = ["--link", "claim to hull", "--who", "QL-1", "--reason", "photo of the plate"]


@pytest.fixture
def store(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "hulls.csv").write_text("hull_serial,model\nBT-1004,S18\nBT-2005,S18\n")
    (folder / "claims.csv").write_text(
        "claim_no,hull_serial,opened_on,symptom\nC1,BT-1OO4,2025-01-01,blister\n"
    )
    assert run(["load", str(folder), "--store", str(tmp_path / "store")]) == 0
    capsys.readouterr()
    return tmp_path / "store"


def reached(store: Path) -> list[tuple[str, int | None]]:
    with open_store(store) as opened:
        return opened.rows("SELECT claim_no, hull_id FROM claim_index")


def test_offer_accept_undo(store: Path, capsys: pytest.CaptureFixture[str]) -> None:
    where = ["--store", str(store)]
    assert run(["records", "near", "--format", "json", *where]) == 0
    (offer,) = json.loads(capsys.readouterr().out)
    assert (offer["written"], offer["near"]) == ("BT-1OO4", "BT-1004")
    assert reached(store) == [("C1", None)]

    assert run(["records", "accept", "BT-1OO4", "BT-1004", *LINK, *where]) == 0
    assert reached(store) == [("C1", 1)]
    assert run(["records", "undo", "BT-1OO4", "BT-1004", *LINK, *where]) == 0
    assert reached(store) == [("C1", None)]

    capsys.readouterr()
    assert run(["records", "acts", "--format", "json", *where]) == 0
    acts = json.loads(capsys.readouterr().out)
    assert [act["act"] for act in acts] == ["accept", "undo"]
    assert acts[0]["reason"] == "photo of the plate"


def test_acceptance_outlives_the_next_load(store: Path, tmp_path: Path) -> None:
    where = ["--store", str(store)]
    assert run(["records", "accept", "BT-1OO4", "BT-1004", *LINK, *where]) == 0
    more = tmp_path / "more"
    more.mkdir()
    (more / "hulls.csv").write_text("hull_serial,model\nAA-0001,S18\n")
    assert run(["load", str(more), *where]) == 0
    assert reached(store) == [("C1", 2)]  # numbers follow the order of serials


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["accept", "BT-1OO4", "BT-9999", *LINK], "BT-9999"),
        (["accept", "BT-77", "BT-1004", *LINK], "BT-77"),
        (["undo", "BT-1OO4", "BT-1004", *LINK], "nothing to undo"),
        (
            ["accept", "BT-1OO4", "BT-1004", "--link", "claims", "--who", "Q", "--reason", "r"],
            "claim to hull",
        ),
        (
            [
                "accept",
                "BT-1OO4",
                "BT-1004",
                "--link",
                "claim to hull",
                "--who",
                " ",
                "--reason",
                "r",
            ],
            "--who",
        ),
    ],
)
def test_acts_that_cannot_be(
    store: Path, arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["records", *arguments, "--store", str(store)]) == 2
    assert said in capsys.readouterr().err
    assert reached(store) == [("C1", None)]


def test_rows_set_aside_are_handed_out_mended_and_leave_the_list(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder, mend = tmp_path / "records", tmp_path / "mend"
    where = ["--store", str(tmp_path / "store")]
    folder.mkdir()
    (folder / "claims.csv").write_text(
        "claim_no,hull_serial,opened_on,symptom\nC1,BT-1,2025-01-01,void\nC2,BT-1,2025-13-01,void\n"
    )
    assert run(["load", str(folder), *where]) == 0
    assert run(["records", "set-aside", str(mend), *where]) == 0
    (handed,) = mend.rglob("*.csv")
    text = handed.read_text(encoding="utf-8-sig")
    assert "2025-13-01" in text
    handed.write_text(text.replace(",2025-13-01", ",2025-03-01"), encoding="utf-8")
    assert run(["load", str(mend), *where]) == 0
    with open_store(tmp_path / "store") as opened:
        assert opened.rows("SELECT count(*) FROM claims") == [(2,)]
    capsys.readouterr()
    assert run(["records", "set-aside", str(tmp_path / "again"), *where]) == 0
    assert "No row is set aside" in capsys.readouterr().err


def test_proposal_is_printed_and_written_and_loads_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder, store = tmp_path / "records", tmp_path / "store"
    folder.mkdir()
    rows = "\n".join(f"BT-{i:04d},S18,2025-01-{i:02d}" for i in range(1, 29))
    (folder / "boats.csv").write_text(f"Hull No,Model,Shipped\n{rows}\n")
    assert run(["load", "--propose", str(folder), "--store", str(store)]) == 0
    printed = capsys.readouterr()
    assert "[[files]]" in printed.out
    assert "boats" in printed.out
    assert (folder / "intake.proposed.toml").read_text(encoding="utf-8") == printed.out
    assert not store.exists()
    assert run(["load", str(folder), "--store", str(store)]) == 2
