"""From the sample store: a case from opening to both reports, as a quality lead would go."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from tracegraph.cli.main import run

C = "C-0001"


@pytest.fixture
def said(sample_store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    def say(*words: str) -> dict:
        options = ["--store", str(sample_store), "--cases", f"sqlite:///{tmp_path / 'c.sqlite'}"]
        assert run(["case", *words, *options, "--format", "json"]) == 0
        return json.loads(capsys.readouterr().out)

    return say


def texts(path: Path) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(path).pages]


def test_a_case_from_opening_to_both_reports(
    said,
    sample_store: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    said("open", "Voids at the port chine", "--symptom", "void", "--who", "QL-1")
    ranked = said("rank", C, "--who", "QL-1")["content"]
    first = ranked["suspects"][0]
    # The planted cause of the sample, not the sprayer who gets most of its hulls.
    assert (first["family"], first["level"], first["evidence"]) == ("hull: mold", "S22-H2", 2)
    suspect = ["--family", first["family"], "--level", first["level"]]
    hulls = [one["hull"] for one in ranked["to_inspect"]][:2]
    for hull in hulls:
        said("inspect", C, "--hull", hull, "--what", "voids at the chine", "--found",
             "--result", "two voids", "--who", "QE-1")  # fmt: skip
    shown = said("show", C)
    # Two of two found: 10 x 10 to 1, at the shares of common practice.
    assert shown["evidence"][0]["odds"] == pytest.approx(100.0)
    assert (shown["evidence"][0]["evidence_by_records"], shown["evidence"][0]["evidence"]) == (2, 3)
    # A ranking alone never goes beyond level 2, and tells what the case file adds.
    monkeypatch.setenv("TRACEGRAPH_CASES", f"sqlite:///{tmp_path / 'c.sqlite'}")
    plain = ["rank", "--symptom", "void", "--order", "fisher", "--store", str(sample_store)]
    assert run(plain) == 0
    assert "On file, C-0001: S22-H2 (hull: mold): evidence level 3" in capsys.readouterr().out
    contained = said("contain", C, *suspect, "--who", "QL-1")["content"]
    assert len(contained["hulls"]) >= first["exposed"]
    cost = said("cost", C, "--rate", "owner=650", "--rate", "dealer=300", "--rate", "plant=40",
                "--rate", "transit=90", "--who", "QM-1")  # fmt: skip
    assert cost["contain_all"] == sum(one["hulls"] * one["rate"] for one in cost["places"])
    assert cost["expected"]["low"] <= cost["expected"]["middle"] <= cost["expected"]["high"]
    said("note", C, "voids at the chine [3, 4]", "the glass bridges there [3]", "the mold is worn",
         "--form", "five whys", "--who", "QE-1")  # fmt: skip
    said("decide", C, "--what", "mold S22-H2 is the cause", "--reason", "both hulls", "--who",
         "QM-1")  # fmt: skip
    said("act", C, "--what", "mend the mold", "--owner", "PE-1", "--due", "2025-06-10", "--who",
         "QM-1")  # fmt: skip
    said("done", C, "1", "--on", "2025-06-01", "--first-built", "2025-06-03", "--who", "PE-1")
    effect = said("effect", C, *suspect, "--who", "QL-1")
    assert effect["verdict"] in ("effective", "improved", "no change", "too early")
    if effect["expected_if_unchanged"] < 3:
        assert effect["verdict"] == "too early"
    said("correct", C, "3", "--set", "result=three voids", "--who", "QE-1", "--reason", "typing")
    again = said("rerun", C, "--who", "QL-1")
    assert again["then"] == again["now"]
    assert all(one["then"] == one["now"] for one in again["suspects"] if one["then"])
    for name, *form in (("full",), ("eight", "--8d"), ("short", "--summary")):
        for ending in ("html", "pdf"):
            said("report", C, str(tmp_path / f"{name}.{ending}"), *form)
    full, eight = texts(tmp_path / "full.pdf"), texts(tmp_path / "eight.pdf")
    assert 3 <= len(full) <= 6
    assert 3 <= len(eight) <= 6
    assert len(texts(tmp_path / "short.pdf")) == 1
    assert full[0].startswith("C-0001: Voids at the port chine Date of this report:")
    for text in (
        "evidence level 3", "S22-H2 (hull: mold)", "Claims of void on all models", "1,200 built",
        "three voids", "five whys", "mend the mold", "Claims cost to date", "Check effect",
        "Association is not fault", "Hash of the last entry",
    ):  # fmt: skip
        assert text in " ".join(full)
    for heading in ("D1 Team", "D4 Root cause", "D8 Closing"):
        assert heading in " ".join(eight)
    whole = (tmp_path / "full.html").read_text(encoding="utf-8")
    assert "http" not in whole
    assert whole.count("<svg") == 2
    # People's work stays out unless the case says why.
    assert "SP-07" not in whole
    assert said("verify", C)[0]["whole"] is True
