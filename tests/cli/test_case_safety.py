"""A matter that may hurt someone stands above everything that any command about it prints."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.cli.conftest import Say
from tests.support.case_yard import BAD
from tracegraph.cases import CaseStore
from tracegraph.cli.case import group
from tracegraph.report.casefile.safety import REFER

C, WHO, WHY = "C-0001", ("--who", "QL-1"), ("--reason", "second leak")
SUSPECT = ("--family", BAD[0], "--level", BAD[1])
OPEN = ("open", "Fuel smell", "--symptom", "fuel smell", *WHO)
# In an order in which each may be said; a command that is not here fails the test below.
COMMANDS = (
    OPEN,
    ("list",),
    ("discovered", C, "2024-06-12", *WHO, *WHY),
    ("reported", C, "2024-06-20", *WHO, *WHY),
    ("decide", C, "--what", "tell owners", "--about", "risk", "--notify", *WHO, *WHY),
    ("rank", C, *WHO),
    ("contain", C, *SUSPECT, *WHO),
    ("inspect", C, "--hull", "FB-0007", "--what", "swollen", "--found", "--result", "soft", *WHO),
    ("cost", C, "--rate", "owner=300", *WHO),
    ("act", C, "--what", "withdraw it", "--owner", "PE-1", "--due", "2024-01-15", *WHO),
    ("done", C, "1", "--on", "2024-01-01", *WHO),
    ("note", C, "mold: none [2]", "--form", "cause and effect", *WHO),
    ("attach", C, "FILE", *WHO),
    ("correct", C, "2", "--set", "reason=third leak", *WHO, *WHY),
    ("effect", C, *SUSPECT, *WHO),
    ("rerun", C, *WHO),
    ("show", C),
    ("verify", C),
    ("report", C, "OUT.html"),
    ("export", C, "OUT.json"),
    ("close", C, *WHO, *WHY),
    ("delete", C, *WHO, *WHY),
)


def test_every_command_is_among_those_held_to_it() -> None:
    assert {one.name for one in group.registered_commands} == {words[0] for words in COMMANDS}


@pytest.fixture
def grown_old(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a case that was just closed be removed."""
    monkeypatch.setattr("tracegraph.cases.retention.check_removal", lambda entries, today: None)
    (tmp_path / "FILE").write_text("photo", encoding="utf-8")
    monkeypatch.chdir(tmp_path)


@pytest.mark.usefixtures("grown_old")
@pytest.mark.parametrize("form", ["table", "json", "csv"])
def test_it_stands_above_whatever_a_command_prints(say: Say, tmp_path: Path, form: str) -> None:
    for words in COMMANDS:
        out = say(*words, "--format", form)
        if form == "table":
            assert out.startswith(REFER), words[0]
        elif form == "json":
            read = json.loads(out)
            told = read[0] if isinstance(read, list) else read
            assert next(iter(told)) == "safety", words[0]
            assert told["safety"]["notice"].startswith(REFER), words[0]
        else:
            row = next(csv.DictReader(io.StringIO(out)))
            assert next(iter(row)) == "safety", words[0]
            assert row["safety"].startswith(REFER), words[0]
    exported = json.loads((tmp_path / "OUT.json").read_text(encoding="utf-8"))
    assert next(iter(exported)) == "safety"


def test_it_names_the_discovery_the_clock_and_who_decided(say: Say) -> None:
    for words in COMMANDS[:5]:
        told = say(*words)
    first, clock = told.splitlines()[:2]
    assert "Discovered on 2024-06-12. First report on 2024-06-20." in first
    assert "QL-1 decided on" in first
    assert "notice is to be given: tell owners (second leak)" in first
    assert "days since discovery" in clock
    assert "first progress report by 2024-08-19" in clock
    safety = json.loads(say("show", C, "--format", "json"))["safety"]
    assert (safety["decided_by"], safety["notify"]) == ("QL-1", True)
    assert safety["reminders"][0]["due_on"] == "2024-08-19"


@pytest.mark.parametrize("form", [(), ("--8d",), ("--summary",)])
def test_it_stands_at_the_head_of_every_page(say: Say, tmp_path: Path, form: tuple[str]) -> None:
    say(*OPEN)
    say("contain", C, *SUSPECT, *WHO)
    for n in range(40):
        say("note", C, f"something seen {n}", *WHO)
    for ending in ("pdf", "html"):
        say("report", C, str(tmp_path / f"out.{ending}"), *form)
    pages = PdfReader(tmp_path / "out.pdf").pages
    assert len(pages) >= (1 if form == ("--summary",) else 2)
    for page in pages:
        assert page.extract_text().startswith(REFER)
    body = (tmp_path / "out.html").read_text(encoding="utf-8").partition("<body>")[2].strip()
    assert body.startswith(f'<p class="alarm" role="alert">{REFER}')


def test_a_case_that_hurts_nobody_has_none(say: Say, tmp_path: Path) -> None:
    say("open", "Scuffs", "--symptom", "scuff", *WHO)
    assert say("show", C).startswith(f"{C}: Scuffs")
    assert json.loads(say("show", C, "--format", "json"))["safety"] is None
    files = CaseStore(f"sqlite:///{tmp_path / 'cases.sqlite'}")
    assert files.entries(C)[0].content["safety_class"] is None
