"""The command line: results to stdout, remarks to stderr, one line and status 2 for mistakes."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import networkx as nx
import pytest

from tests.genealogy.epcis_rules import check_document
from tests.reference.oswego import oswego
from tracegraph.cli.main import run
from tracegraph.store import StoreDirectory


@pytest.fixture
def supper(tmp_path: Path) -> Path:
    path = tmp_path / "supper.csv"
    oswego().to_csv(path, index=False)
    return path


def test_oswego_from_a_file(supper: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = run(
        [
            "rank",
            "--table",
            str(supper),
            "--unit",
            "person",
            "--affected",
            "ill",
            "--format",
            "json",
        ]
    )
    assert status == 0
    found = json.loads(capsys.readouterr().out)
    first = found["suspects"][0]
    assert first["family"] == "vanilla ice cream"
    # Published line listing; p by integer arithmetic.
    assert first["p_fisher"] == pytest.approx(2.59745069184e-7, rel=1e-9)
    assert [s["family"] for s in found["suspects"] if (s["q_bh"] or 1) < 0.05] == [
        "vanilla ice cream"
    ]


def test_order_of_evidence_says_what_was_expected(
    sample_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["rank", "--symptom", "void", "--store", str(sample_store)]
    assert run([*arguments, "--format", "json", "--top", "3"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert {"definition", "cohort", "tested", "suspects"} <= set(found)
    assert {"affected", "at_risk", "left_out"} <= set(found["cohort"])
    assert set(found["tested"]) == {"families", "levels"}
    assert {
        "rank", "family", "level", "kind", "part", "affected_exposed", "exposed",
        "affected_unexposed", "unexposed", "unknown", "odds_ratio", "odds_ratio_low",
        "odds_ratio_high", "risk_ratio", "risk_ratio_low", "risk_ratio_high", "p_fisher",
        "log10_p_fisher", "p_chi2", "q_bh", "reading",
    } <= set(found["suspects"][0])  # fmt: skip
    first = found["suspects"][0]
    assert found["order"] == "evidence"
    assert (first["family"], first["level"]) == ("hull: mold", "S22-H2")
    assert first["expected"] < first["matched_cases"]
    assert first["rate_ratio_low"] < first["rate_ratio"] < first["rate_ratio_high"]
    assert first["evidence"] == 2
    assert first["window_margin"] > 1
    assert "evidence level 2" in first["reading"]
    assert found["definitions_tried"] >= 1
    finding = found["verdict"]["findings"][0]
    assert finding["refuted_by_claims_elsewhere"] > 0
    assert found["verdict"]["allowed_for"] == ["model", "build period"]
    pair = found["suspects"][1]
    assert (pair["kind"], pair["rank"]) == ("pair", 2)
    assert pair["level"].startswith("S22-H2 × ")
    assert pair["p_family"] == 0.005
    assert (pair["evidence"], pair["held_back_by"]) == (1, ["depends-on-leader"])
    assert "A pair never stands before the leading level" in pair["reading"]
    assert run([*arguments, "--no-pairs", "--control", "cracking", "--top", "1"]) == 0
    assert "its controls are even" in capsys.readouterr().out
    assert run([*arguments, "--control", "void"]) == 2
    assert "cannot share the cause" in capsys.readouterr().err
    assert run([*arguments, "--no-pairs"]) == 0
    printed = capsys.readouterr()
    assert printed.out.startswith("Claims of void on all models")
    assert "hull: mold" in printed.out
    assert "Association is not fault" in printed.err
    assert "were to be expected" in printed.out
    assert "Evidence level 2 of 4" in printed.out
    assert "What would refute it" in printed.out
    assert "Definitions tried on these symptoms" in printed.err
    assert run(["rank", "--symptom", "steering stiffness", *arguments[3:]]) == 0
    assert "No shared factor stands out." in capsys.readouterr().out


def test_csv_is_one_table(sample_store: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        run(
            [
                "rank",
                "--symptom",
                "void",
                "--format",
                "csv",
                "--top",
                "3",
                "--order",
                "fisher",
                "--store",
                str(sample_store),
            ]
        )
        == 0
    )
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert [row["rank"] for row in rows] == ["1", "2", "3"]


def test_trace_writes_a_graph_that_opens_again(
    sample_store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["rank", "--symptom", "void", "--order", "fisher", "--format", "json"]
    assert run([*asked, "--store", str(sample_store)]) == 0
    first = json.loads(capsys.readouterr().out)["suspects"][0]
    assert run(
        ["contain", "--family", first["family"], "--level", first["level"], "--format", "json",
         "--store", str(sample_store)]
    ) == 0  # fmt: skip
    hull = json.loads(capsys.readouterr().out)["hulls"][0]["hull_serial"]
    out = tmp_path / "hull.graphml"
    assert (
        run(
            ["trace", hull, "--graphml", str(out), "--store", str(sample_store), "--format", "json"]
        )
        == 0
    )
    traced = json.loads(capsys.readouterr().out)
    assert set(nx.read_graphml(out).nodes) == {node["id"] for node in traced["nodes"]}
    kinds = {node["kind"] for node in traced["nodes"]}
    assert {"hull", "part", "operation", "lot", "mold", "station", "component", "supplier"} <= kinds


def test_contain_writes_a_hold_list(
    sample_store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "hold.csv"
    arguments = [
        "contain",
        "--family",
        "hull: mold",
        "--level",
        "S22-H2",
        "--store",
        str(sample_store),
    ]
    assert run([*arguments, "--hold-list", str(out)]) == 0
    assert "recorded" in capsys.readouterr().out
    assert "hull_serial" in out.read_text(encoding="utf-8-sig")
    assert run([*arguments, "--hold-list", str(tmp_path / "hold.pdf")]) == 2


def test_contain_says_what_checks_it_and_what_is_to_come(
    sample_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    hose = ["--family", "hull: fuel hose: lot", "--level", "FH-00342", "--symptom", "fuel smell"]
    assert run(["contain", *hose, "--store", str(sample_store)]) == 0
    printed = capsys.readouterr().out
    for words in ("rate ratio", "not shown clean", "Further first claims expected", "urgent"):
        assert words in printed
    assert run(["contain", *hose, "--format", "json", "--store", str(sample_store)]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["forecast"]["claims"]["total"].keys() == {"low", "middle", "high", "mean"}
    assert {"chance_as_suspect", "shown_clean", "inside"} <= set(found["bracket"]["rows"][0])
    assert {"priority", "expected_claims", "probability"} <= set(found["hulls"][0])


def test_contain_counts_the_cases_of_the_whole_definition(
    sample_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["contain", "--family", "hull: mold", "--level", "S22-H2", "--symptom", "void"]
    affected: list[int] = []
    for narrower in ([], ["--service-months", "0:6"]):
        where = ["--store", str(sample_store), "--format", "json"]
        assert run([*asked, *narrower, *where]) == 0
        hulls = json.loads(capsys.readouterr().out)["hulls"]
        affected.append(sum(bool(hull["affected"]) for hull in hulls))
    assert affected[0] > affected[1] > 0


def test_contain_holds_several_suspects_together_until_decided(
    sample_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    hose = "hull: fuel hose: lot"
    pair = ["--family", hose, "--level", "FH-00342", "--family", hose, "--level", "FH-00338"]
    assert run(["contain", *pair, "--store", str(sample_store)]) == 0
    printed = capsys.readouterr().out
    assert "2 suspects cannot be told apart" in printed
    assert "Inspect these to tell them apart" in printed
    assert run(["contain", *pair, "--format", "json", "--store", str(sample_store)]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [one["level"] for one in found["members"]] == ["FH-00342", "FH-00338"]
    assert len(found["hulls"]) >= max(row["listed"] for row in found["alternatives"])


def test_contain_takes_days_of_work(sample_store: Path, capsys: pytest.CaptureFixture[str]) -> None:
    days = ["contain", "--window", "2024-03-04:2024-03-08", "--store", str(sample_store)]
    assert run([*days, "--work", "hull: laminate", "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["kind"] == "window"
    assert found["counts"]["recorded"]["total"] > 0
    assert run([*days, "--format", "csv"]) == 0
    assert "hull_serial" in capsys.readouterr().out
    assert run(days) == 0


def test_compare_shows_the_rarest_shared_answer_first(
    sample_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["contain", "--family", "hull: mold", "--level", "S22-H2", "--format", "json",
                "--store", str(sample_store)]) == 0  # fmt: skip
    hulls = [row["hull_serial"] for row in json.loads(capsys.readouterr().out)["hulls"][:2]]
    assert run(["compare", *hulls, "--store", str(sample_store)]) == 0
    assert "rarest first" in capsys.readouterr().out


def test_compare_puts_unaffected_hulls_beside_the_affected(
    sample_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ["compare", "--symptom", "blister", "--store", str(sample_store)]
    assert run(asked) == 0
    printed = capsys.readouterr().out
    assert "unaffected ones of the same model" in printed
    assert "Most telling: hull: gelcoat spray: gelcoat lot GW-2147" in printed
    assert run([*asked, "--per-hull", "2", "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    beside = [pair["unaffected"] for pair in found["pairs"]]
    assert len(set(beside)) == len(beside)


def test_history_reviews_a_hull_against_its_peers(
    sample_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["history", "S22-0401", "--readings", "--store", str(sample_store)]) == 0
    printed = capsys.readouterr()
    for words in ("Hull S22-0401", "out of limits", "passed after a fail", "place among peers"):
        assert words in printed.out
    assert "proves no fault" in printed.err
    asked = ["history", "QZX00401L324", "--store", str(sample_store)]
    assert run([*asked, "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["hull_serial"] == "S22-0401"
    assert {"percentile", "peers", "far"} <= set(found["measures"][0])
    assert run([*asked, "--format", "csv"]) == 0
    assert "expired material" in capsys.readouterr().out


def test_trace_writes_epcis_events(
    sample_store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "hull.json"
    asked = ["trace", "S22-0401", "--direction", "up", "--store", str(sample_store)]
    assert run([*asked, "--epcis", str(out)]) == 0
    capsys.readouterr()
    events = check_document(json.loads(out.read_text(encoding="utf-8")))
    assert {event["type"] for event in events} == {
        "TransformationEvent", "ObjectEvent", "AggregationEvent", "AssociationEvent",
    }  # fmt: skip
    assert "SP-" not in out.read_text(encoding="utf-8")  # codes of people are left out


def test_make_builds_loads_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out, store = tmp_path / "yard", tmp_path / "store"
    assert run(["make-builds", str(out), "--hulls", "60", "--seed", "3"]) == 0
    assert run(["load", str(out), "--store", str(store), "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out.split("\n{", 1)[1].join(["{", ""]))
    assert all(
        file["seen"] == file["loaded"] + file["set_aside"] + file["repeats"] + file["furniture"]
        for file in found["files"]
    )


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["rank", "--symptom", "blistr"], "Near: blister"),
        (["rank", "--symptom", "blister", "--model", "S99"], "There is no model 'S99'."),
        (["rank"], "A symptom is needed"),
        (["rank", "--symptom", "blister", "--built-from", "9/3"], "date like 2026-03-09"),
        (["rank", "--symptom", "blister", "--service-months", "soon"], "two months such as 0:24"),
        (["rank", "--symptom", "blister", "--certainty", "sure"], "certainty must be"),
        (["rank", "--symptom", "blister", "--people", " "], "reason"),
        (["rank", "--symptom", "blister", "--format", "xml"], "xml"),
        (["trace", "nobody-knows-this"], "nobody-knows-this"),
        (["contain", "--family", "hull: mould", "--level", "x"], "Near: hull: mold"),
        (["contain", "--family", "hull: mold", "--level", "S22-H9"], "S22-H"),
        (["contain", "--level", "x"], "Each suspect is a --family FAMILY with its --level LEVEL"),
        (["contain", "--family", "a", "--level", "b", "--window", "2024-01-01"], "not both"),
        (["contain", "--family", "a", "--level", "b", "--work", "a: b"], "--work goes with"),
        (["contain", "--window", "2024-03-01:x"], "--window must be a date"),
        (["contain", "--window", "2024-03-01", "--work", "laminate"], "a part and a step"),
        (["contain", "--family", "a", "--level", "b", "--zone", "deck"], "A symptom is needed"),
        (["compare", "only-one"], "only-one"),
        (["compare", "--per-hull", "3"], "--per-hull goes with --symptom"),
        (["compare", "--symptom", "no-such"], "no-such"),
        (["history", "nobody-knows-this"], "nobody-knows-this"),
        (["nonsense"], "nonsense"),
    ],
)
def test_mistakes_are_one_line_and_status_2(
    sample_store: Path, arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    where = [] if arguments == ["nonsense"] else ["--store", str(sample_store)]
    assert run([*arguments, *where]) == 2
    printed = capsys.readouterr()
    assert said in printed.err
    assert printed.err.count("\n") == 1
    assert printed.out == ""


def test_table_mistakes_are_one_line(
    supper: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    picture = tmp_path / "picture.png"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(range(256)))
    for arguments in (
        ["rank", "--table", str(supper), "--unit", "persn", "--affected", "ill"],
        ["rank", "--table", str(supper), "--unit", "person"],
        ["rank", "--table", str(tmp_path / "none.csv"), "--unit", "person", "--affected", "ill"],
        ["rank", "--table", str(picture), "--unit", "person", "--affected", "ill"],
        ["rank", "--unit", "person", "--symptom", "x"],
    ):
        assert run(arguments) == 2, arguments
        assert capsys.readouterr().err.count("\n") == 1


def test_folder_mistakes_are_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    for arguments in (
        ["load", str(tmp_path / "missing")],
        ["load", str(empty)],
        ["rank", "--symptom", "x"],
        ["trace", "x"],
        ["history", "x"],
        ["check"],
    ):
        assert run([*arguments, "--store", str(tmp_path / "store")]) == 2, arguments
        printed = capsys.readouterr()
        assert printed.err.count("\n") == 1
        assert "Traceback" not in printed.err


def test_store_in_use_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "hulls.csv").write_text("hull_serial,model\nBT-1,S18\n")
    with StoreDirectory(tmp_path / "store").loading():
        assert run(["load", str(folder), "--store", str(tmp_path / "store")]) == 2
    printed = capsys.readouterr()
    assert "Another load is writing" in printed.err
    assert printed.err.count("\n") == 1


def test_demo_prints_the_planted_suspects(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["demo", "--no-app", "--store", str(tmp_path)]) == 0
    printed = capsys.readouterr().out
    for planted in ("GW-2147", "S22-H2", "FH-00342"):
        assert planted in printed
