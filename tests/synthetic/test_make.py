from __future__ import annotations

import gzip
import hashlib
import json
import tomllib
from pathlib import Path

import pandas as pd
import pytest
from python_calamine import CalamineWorkbook

from tracegraph.domain.errors import TraceGraphError, UnknownNameError
from tracegraph.domain.records import TABLE_BY_NAME
from tracegraph.synthetic import SCENARIO_LINES, SCENARIOS, make_builds

TEXT_FILES = {".csv", ".toml", ".json", ".md"}


def digests(folder: Path) -> dict[str, str]:
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in sorted(folder.iterdir())}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("made") / "builds"
    make_builds(out, hulls=60, seed=5)
    return out


def test_the_same_seed_gives_the_same_bytes(folder: Path, tmp_path: Path) -> None:
    make_builds(tmp_path / "again", hulls=60, seed=5)
    assert digests(tmp_path / "again") == digests(folder)


def test_another_seed_gives_another_yard(folder: Path, tmp_path: Path) -> None:
    make_builds(tmp_path / "other", hulls=60, seed=6)
    mine, other = digests(folder), digests(tmp_path / "other")
    for name in ("operations.csv", "spray_log_2024.csv", "ambient.csv.gz", "dealer_claims.xlsx"):
        assert mine[name] != other[name], name


@pytest.mark.parametrize("scenario", SCENARIOS)
def test_every_scenario_runs(scenario: str, tmp_path: Path) -> None:
    made = make_builds(tmp_path, hulls=150, seed=2, scenario=scenario)
    key = json.loads((tmp_path / "answer_key.json").read_text("utf-8"))
    assert [e["symptom"] for e in key] == [e.symptom for e in made.causes]
    assert {e["role"] for e in key} <= {"planted", "decoy", "nothing"}
    for entry in key:
        assert bool(entry["causes"]) == (entry["role"] != "nothing")
        assert entry["note"]
        for cause in entry["causes"]:
            part, rest = cause["family"].split(": ", 1)
            assert part in {"hull", "deck"}
            assert rest
    assert SCENARIO_LINES[scenario] in (tmp_path / "README.md").read_text("utf-8")


def test_reported_rows_are_in_the_files(folder: Path, tmp_path: Path) -> None:
    made = make_builds(tmp_path, hulls=60, seed=5)
    listed = {p.name for p in folder.iterdir()}
    assert listed == {*made.files, "intake.toml", "answer_key.json", "README.md"}
    for name, rows in made.files.items():
        path = tmp_path / name
        if path.suffix == ".xlsx":
            book = CalamineWorkbook.from_path(path)
            body = [r for n in book.sheet_names for r in book.get_sheet_by_name(n).to_python()[3:]]
            found = [r for r in body if r[0] != "Total"]
            assert len(body) - len(found) == len(book.sheet_names)
        else:
            lines = pd.read_csv(path, dtype=str, keep_default_na=False)
            found = lines[lines.iloc[:, 0] != "Total"]
        assert len(found) == rows, name


def test_plain_files_carry_the_record_tables_names_and_headers(folder: Path) -> None:
    for path in folder.glob("*.csv*"):
        table = path.name.split(".")[0]
        if table.startswith("spray_log") or table.endswith("copy"):
            continue
        header = pd.read_csv(path, nrows=0).columns
        assert set(header) <= set(TABLE_BY_NAME[table].field_names), path.name
        required = {f.name for f in TABLE_BY_NAME[table].fields if f.required}
        assert required <= set(header), path.name


def test_the_mapping_names_real_fields_and_real_headers(folder: Path) -> None:
    mapping = tomllib.loads((folder / "intake.toml").read_text("utf-8"))
    headers = {
        "spray_log_*.csv": set(pd.read_csv(folder / "spray_log_2024.csv", nrows=0).columns),
        "mold_events_copy.csv": set(pd.read_csv(folder / "mold_events.csv", nrows=0).columns),
    }
    book = CalamineWorkbook.from_path(folder / "dealer_claims.xlsx")
    headers["dealer_claims.xlsx"] = set(book.get_sheet_by_index(0).to_python()[2])
    assert [f["match"] for f in mapping["files"]] == [
        "spray_log_*.csv",
        "dealer_claims.xlsx",
        "mold_events_copy.csv",
    ]
    assert mapping["files"][1]["sheets"] == book.sheet_names
    for file in mapping["files"]:
        for entry in file["tables"]:
            table = TABLE_BY_NAME[entry["table"]]
            given = {**entry["columns"], **entry.get("constants", {})}
            assert set(given) <= set(table.field_names)
            assert {f.name for f in table.fields if f.required} <= set(given)
            assert set(entry["columns"].values()) <= headers[file["match"]]


def test_line_ends_and_encoding_do_not_depend_on_the_machine(folder: Path) -> None:
    for path in folder.iterdir():
        data = gzip.decompress(path.read_bytes()) if path.suffix == ".gz" else path.read_bytes()
        if path.suffix in TEXT_FILES | {".gz"}:
            assert b"\r" not in data, path.name
            data.decode("utf-8")


def test_the_gz_holds_no_time_and_no_name(folder: Path) -> None:
    head = (folder / "ambient.csv.gz").read_bytes()[:10]
    assert head[:3] == b"\x1f\x8b\x08"
    assert head[3] == 0  # no file name: RFC 1952, section 2.3.1
    assert head[4:8] == b"\0\0\0\0"  # no time


def test_an_unknown_scenario_is_named_with_its_neighbours(tmp_path: Path) -> None:
    with pytest.raises(UnknownNameError, match=r"one-lots.*one-lot"):
        make_builds(tmp_path / "out", scenario="one-lots")
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(("hulls", "seed"), [(0, 1), (29, 1), (330_000, 1), (100, -1)])
def test_numbers_out_of_range_are_refused(hulls: int, seed: int, tmp_path: Path) -> None:
    with pytest.raises(TraceGraphError, match="must be"):
        make_builds(tmp_path / "out", hulls=hulls, seed=seed)
    assert not (tmp_path / "out").exists()


def test_a_folder_with_other_files_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("mine", "utf-8")
    with pytest.raises(TraceGraphError, match=r"letter\.txt"):
        make_builds(tmp_path, hulls=30)
    assert [p.name for p in tmp_path.iterdir()] == ["letter.txt"]


def test_a_file_in_the_way_is_refused(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("mine", "utf-8")
    with pytest.raises(TraceGraphError, match="is a file"):
        make_builds(tmp_path / "out", hulls=30)


def test_a_second_run_replaces_the_first(tmp_path: Path) -> None:
    make_builds(tmp_path, hulls=30, scenario="sample")
    made = make_builds(tmp_path, hulls=30, scenario="one-lot")
    assert not (tmp_path / "mold_events_copy.csv").exists()
    assert {p.name for p in tmp_path.glob("*.csv*")} == {n for n in made.files if ".csv" in n}
