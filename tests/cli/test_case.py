from __future__ import annotations

import json
import shutil
import sqlite3
from base64 import b64decode
from pathlib import Path

import pytest

from tests.cli.conftest import Say
from tests.support.case_yard import BAD, LATER, write_yard
from tracegraph.cases import CaseStore
from tracegraph.intake import load_folder
from tracegraph.store import StoreDirectory

C, WHO = "C-0001", ("--who", "QL-1")
SUSPECT = ("--family", BAD[0], "--level", BAD[1])
OPEN = ("open", "Fuel smell", "--symptom", "fuel smell", *WHO)


def asked(say: Say, *words: str, **more: Path) -> dict:
    return json.loads(say(*words, "--format", "json", **more))


def test_a_case_asks_for_every_part_of_a_definition(say: Say) -> None:
    content = asked(
        say, *OPEN, "--model", "S22", "--built-from", "2023-01-01", "--built-to", "2024-03-31",
        "--service-months", "0:24", "--certainty", "confirmed", "--certainty", "probable",
        "--cut-off", "2024-05-31", "--reporting-days", "10", "--landmark", "6",
    )["content"]  # fmt: skip
    assert content["asked"] == content["definition"]
    assert content["asked"]["models"] == ["S22"]
    assert (content["asked"]["service_months"], content["asked"]["landmark_months"]) == ([0, 24], 6)
    assert content["data_version"]
    assert "on model S22 built 2023-01-01 to 2024-03-31" in content["sentence"]


def test_a_case_asked_again_shows_then_and_now(say: Say, yard_store: Path, tmp_path: Path) -> None:
    say(*OPEN)
    say("rank", C, *WHO)
    now = tmp_path / "now"
    shutil.copytree(yard_store, now)
    write_yard(tmp_path / "records", LATER)
    load_folder(tmp_path / "records", StoreDirectory(now))
    found = asked(say, "rerun", C, *WHO, store=now)
    then, today = found["then"], found["now"]
    assert (then["affected"], today["affected"]) == (11, 19)
    assert (then["at_risk"], today["at_risk"]) == (160, 240)
    assert then["data_version"] != today["data_version"]
    assert len(found["new_claims"]) == len(found["new_hulls"]) == 8
    assert found["gone_claims"] == []
    first = next(one for one in found["suspects"] if one["level"] == "FH-2")
    assert (first["then"]["affected_exposed"], first["then"]["exposed"]) == (6, 14)
    assert (first["now"]["affected_exposed"], first["now"]["exposed"]) == (17, 40)
    new = next(one for one in found["suspects"] if one["level"] == "FH-4")
    assert (new["then"], new["reason"]) == (None, "not among the suspects kept then")
    assert "11 hulls affected when the case was opened, 19 when last asked" in say("show", C)


def test_inspections_carry_a_suspect_from_level_2_to_3(say: Say) -> None:
    say(*OPEN)
    say("rank", C, *WHO)

    def inspect(hull: str, *found: str) -> dict:
        say("inspect", C, "--hull", hull, "--what", "swollen", *found, "--result", "seen", *WHO)
        return asked(say, "show", C)["evidence"][0]

    assert asked(say, "show", C)["evidence"][0]["evidence"] == 2
    # FB-0001 has claimed: what is seen on it is no independent line.
    assert inspect("FB-0001", "--found")["odds"] == 1.0
    assert inspect("fb-0007", "--found")["odds"] == pytest.approx(10.0)
    # A hull without the lot says nothing against no suspect at all.
    assert inspect("FB-0005", "--not-found")["odds"] == pytest.approx(10.0)
    last = inspect("FB-0010", "--found")
    assert (last["odds"], last["evidence"]) == (pytest.approx(100.0), 3)
    assert (last["found_with"], last["clean_without"], last["against"]) == (2, 1, "none of them")
    named = [one["hull"] for one in asked(say, "show", C)["to_inspect"]]
    assert named
    assert not {"FB-0001", "FB-0007", "FB-0010"} & set(named)


def test_an_inspection_before_the_ranking_counts_after_it(say: Say) -> None:
    say(*OPEN)
    for hull in ("FB-0007", "FB-0010"):
        say("inspect", C, "--hull", hull, "--what", "a", "--found", "--result", "b", *WHO)
    say("rank", C, *WHO)
    assert asked(say, "show", C)["evidence"][0]["evidence"] == 3


def test_a_hull_that_is_not_there_is_told_with_near_numbers(say: Say) -> None:
    say(*OPEN)
    words = ("inspect", C, "--hull", "FB-00011", "--what", "a", "--found", "--result", "b", *WHO)
    assert "Near: FB-0011" in say(*words, status=2)


def test_cost_says_what_is_missing(say: Say) -> None:
    say(*OPEN)
    say("contain", C, *SUSPECT, *WHO)
    bare = asked(say, "cost", C, *WHO)
    assert (bare["claims"], bare["claims_without_cost"], bare["to_date"]) == (11, 2, 2080.0)
    assert (bare["contain_all"], bare["contain_reason"]) == (None, "no rate was given for owner")
    rated = asked(say, "cost", C, "--rate", "owner=300", *WHO)
    assert rated["contain_all"] == 300 * 40
    # Rates given once stand for the next time.
    assert asked(say, "cost", C, *WHO)["contain_all"] == 300 * 40
    assert "11 claim lines; 2 lines without a cost" in say("cost", C, *WHO)


def test_a_changed_entry_is_named(say: Say, tmp_path: Path) -> None:
    say(*OPEN)
    say("note", C, "one", *WHO)
    with sqlite3.connect(tmp_path / "cases.sqlite") as base:
        base.execute("DROP TRIGGER entries_stay")
        base.execute("UPDATE entries SET who = 'QL-2' WHERE seq = 2")
    base.close()
    assert "C-0001 is broken at entry 2" in say("verify", status=2)


def test_a_case_is_kept_until_the_rule_lets_it_go(say: Say, tmp_path: Path) -> None:
    say(*OPEN)
    gone = ("delete", C, "--reason", "over", *WHO)
    assert "Only a closed case" in say(*gone, status=2)
    (tmp_path / "photo.jpg").write_bytes(b"photo")
    say("attach", C, str(tmp_path / "photo.jpg"), *WHO)
    say("close", C, "--reason", "done", *WHO)
    assert "kept until" in say(*gone, status=2)
    say("export", C, str(tmp_path / "c.json"))
    exported = json.loads((tmp_path / "c.json").read_text(encoding="utf-8"))
    assert [one["kind"] for one in exported["entries"]] == ["opened", "attached", "closed"]
    (content,) = exported["files"].values()
    assert b64decode(content) == b"photo"


def test_a_case_past_its_time_goes_and_leaves_its_number(say: Say, tmp_path: Path) -> None:
    say(*OPEN)
    files = CaseStore(f"sqlite:///{tmp_path / 'cases.sqlite'}")
    files.append(C, "QL-1", "closed", {"reason": "x"}, at="2010-02-01T00:00:00+00:00")
    say("delete", C, "--reason", "over", *WHO)
    assert [row["case_no"] for row in files.removed()] == [C]
    assert json.loads(say("list", "--format", "json")) == []


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("open", " ", "--symptom", "scuff", *WHO), "needs a title"),
        (("open", "x", *WHO), "A symptom is needed"),
        (("open", "x", "--symptom", "scuff", "--people", " ", *WHO), "only with a reason"),
        (("show", "C-9"), "C-9"),
        (("reported", C, "2024-06-01", "--reason", "r", *WHO), "follows the discovery"),
        (("decide", C, "--what", "a", "--about", "luck", "--reason", "r", *WHO), "about one of"),
        (("decide", C, "--what", "a", "--about", "risk", "--reason", "r", *WHO), "--notify"),
        (("act", C, "--what", "a", "--owner", " ", "--due", "2024-06-01", *WHO), "who does it"),
        (("act", C, "--what", "a", "--owner", "P", "--due", "June", *WHO), "--due must be a date"),
        (("done", C, "1", "--on", "2024-06-01", *WHO), "no action 1"),
        (("effect", C, *SUSPECT, *WHO), "taken effect"),
        (("cost", C, *WHO), "tracegraph case contain"),
        (("cost", C, "--rate", "dealer", *WHO), "--rate is a place"),
        (("note", C, "a", "--form", "poem", *WHO), "A note is one of"),
        (("note", C, "a [9]", *WHO), "entries 1 to 1"),
        (("correct", C, "1", "--set", "zzz=1", "--reason", "r", *WHO), "fields of words"),
        (("correct", C, "1", "--set", "zz", "--reason", "r", *WHO), "FIELD=TEXT"),
        (("correct", C, "9", "--set", "title=1", "--reason", "r", *WHO), "entries 1 to 1"),
        (("attach", C, "nowhere.jpg", *WHO), "cannot be read"),
        (("report", C, "a.txt"), ".html or .pdf"),
        (("report", C, "a.pdf", "--8d", "--summary"), "choose one"),
    ],
)
def test_wrong_input_is_one_line(say: Say, words: tuple[str, ...], message: str) -> None:
    say(*OPEN)
    text = say(*words, status=2)
    assert message in text
    assert len(text.strip().splitlines()) == 1
