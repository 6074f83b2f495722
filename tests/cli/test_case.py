import io
import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from tracegraph.cases import CaseStore
from tracegraph.cli.main import run

MOLD = ["--family", "hull: mold", "--level", "S22-H2"]


@pytest.fixture
def said(sample_store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    def say(*words: str, status: int = 0) -> str:
        options = ["--store", str(sample_store), "--cases", f"sqlite:///{tmp_path / 'c.sqlite'}"]
        assert run(["case", *words, *options]) == status
        out = capsys.readouterr()
        return out.out if status == 0 else out.err

    return say


def test_a_case_from_opening_to_both_reports(said, tmp_path: Path) -> None:
    said("open", "Blisters on decks", "--symptom", "blister", "--who", "QL-1")
    said("discovered", "C-0001", "2026-04-10", "--who", "QL-1", "--reason", "third claim")
    ranked = json.loads(said("rank", "C-0001", "--who", "QL-1", "--format", "json"))
    first = next(one for one in ranked["content"]["suspects"] if one["kind"] != "pair")
    suspect = ["--family", first["family"], "--level", first["level"]]
    contained = json.loads(
        said("contain", "C-0001", "--who", "QL-1", *suspect, "--format", "json")
    )["content"]
    held = [one["hull_serial"] for one in contained["hulls"]]
    for hull, result, found in ((held[0], "voids", "--found"), (held[1], "none", "--not-found")):
        said("inspect", "C-0001", "--who", "QE-1", "--hull", hull, "--what", "voids",
             "--result", result, found)  # fmt: skip
    assert len(contained["hulls"]) >= first["exposed"] > 0
    said("decide", "C-0001", "--who", "QM-1", "--what", "it is the cause", "--reason", "voids")
    said("act", "C-0001", "--who", "QM-1", "--what", "withdraw it", "--owner", "PE-1",
         "--due", "2026-05-01")  # fmt: skip
    said("done", "C-0001", "1", "--on", "2024-06-01", "--who", "PE-1")
    said("note", "C-0001", "why blisters", "why voids [3, 5]", "--form", "five whys",
         "--who", "QE-1")  # fmt: skip
    effect = json.loads(said("effect", "C-0001", "--who", "QL-1", *suspect, "--format", "json"))
    assert {"verdict", "observed", "expected_if_unchanged", "expected_if_cured"} <= set(effect)
    if effect["expected_if_unchanged"] < 3:
        assert effect["verdict"] == "too early"
    said("correct", "C-0001", "5", "--set", "result=two voids", "--who", "QE-1",
         "--reason", "typing error")  # fmt: skip
    again = json.loads(said("rerun", "C-0001", "--who", "QL-1", "--format", "json"))
    assert again["then"] == again["now"]
    shown = json.loads(said("show", "C-0001", "--format", "json"))
    assert [one["kind"] for one in shown["entries"]][:4] == [
        "opened", "discovered", "ranked", "contained",
    ]  # fmt: skip
    assert {one["step"]: one["lacks"] for one in shown["steps"]}["verify cause"] == []
    assert "as written" in said("verify", "C-0001")
    pages = {}
    for name, *form in (("full",), ("eight", "--8d"), ("short", "--summary")):
        for ending in ("html", "pdf"):
            out = tmp_path / f"{name}.{ending}"
            said("report", "C-0001", str(out), *form)
            once = out.read_bytes()
            said("report", "C-0001", str(out), *form)
            assert out.read_bytes() == once
        read = PdfReader(io.BytesIO((tmp_path / f"{name}.pdf").read_bytes()))
        pages[name] = (len(read.pages), " ".join(page.extract_text() for page in read.pages))
    assert pages["short"][0] == 1
    assert pages["full"][0] >= 2
    for text in ("Blisters on decks", "Check effect", first["level"], "two voids", "five whys"):
        assert text in " ".join(pages["full"][1].split())
    assert "D4 Root cause" in pages["eight"][1]
    whole = (tmp_path / "full.html").read_text(encoding="utf-8")
    assert "http" not in whole
    assert "<svg" in whole


def test_a_changed_entry_is_named(said, tmp_path: Path) -> None:
    import sqlite3

    said("open", "Blisters", "--symptom", "blister", "--who", "QL-1")
    said("note", "C-0001", "one", "--who", "QL-1")
    with sqlite3.connect(tmp_path / "c.sqlite") as base:
        base.execute("UPDATE entries SET who = 'QL-2' WHERE seq = 2")
    base.close()
    assert "C-0001 is broken at entry 2" in said("verify", status=2)


def test_a_case_is_kept_until_the_rule_lets_it_go(said, tmp_path: Path) -> None:
    said("open", "Blisters", "--symptom", "blister", "--who", "QL-1")
    gone = ("delete", "C-0001", "--who", "QM-1", "--reason", "over")
    assert "Only a closed case" in said(*gone, status=2)
    said("close", "C-0001", "--who", "QM-1", "--reason", "done")
    assert "kept until" in said(*gone, status=2)
    said("export", "C-0001", str(tmp_path / "c.json"))
    assert len(json.loads((tmp_path / "c.json").read_text())["entries"]) == 2


def test_a_case_past_its_time_goes_and_leaves_its_number(said, tmp_path: Path) -> None:
    files = CaseStore(f"sqlite:///{tmp_path / 'c.sqlite'}")
    files.open_case("QL-1", {"title": "old"}, at="2010-01-01T00:00:00+00:00")
    files.append("C-0001", "QL-1", "closed", {"reason": "x"}, at="2010-02-01T00:00:00+00:00")
    said("delete", "C-0001", "--who", "QM-1", "--reason", "over")
    assert [row["case_no"] for row in files.removed()] == ["C-0001"]
    assert json.loads(said("list", "--format", "json")) == []


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("show", "C-9"), "C-9"),
        (("done", "C-0001", "1", "--on", "2024-06-01", "--who", "X"), "no action 1"),
        (("effect", "C-0001", "--who", "X", *MOLD), "taken effect"),
        (("note", "C-0001", "a", "--form", "poem", "--who", "X"), "A note is one of"),
        (("note", "C-0001", "a [9]", "--who", "X"), "entries 1 to 1"),
        (
            ("correct", "C-0001", "1", "--set", "zzz=1", "--who", "X", "--reason", "r"),
            "fields of words",
        ),
        (("correct", "C-0001", "1", "--set", "zz", "--who", "X", "--reason", "r"), "FIELD=TEXT"),
        (("attach", "C-0001", "nowhere.jpg", "--who", "X"), "cannot be read"),
        (("report", "C-0001", "a.txt"), ".html or .pdf"),
    ],
)
def test_wrong_input_is_one_line(said, words: tuple[str, ...], message: str) -> None:
    said("open", "Blisters", "--symptom", "blister", "--who", "QL-1")
    text = said(*words, status=2)
    assert message in text
    assert len(text.strip().splitlines()) == 1
