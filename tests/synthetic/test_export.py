"""The sample's dirt is what its README says, and does not hide the planted causes.

These tests read the committed files with plain pandas, without the tool's own intake.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from python_calamine import CalamineWorkbook
from scipy.stats import fisher_exact

from tracegraph.synthetic import dirt
from tracegraph.synthetic.export import COPY_OF_MOLD_EVENTS

SAMPLE = Path(__file__).parents[2] / "sample_builds"
KEY = json.loads((SAMPLE / "answer_key.json").read_text("utf-8"))


def table(name: str) -> pd.DataFrame:
    return pd.read_csv(SAMPLE / name, dtype=str, keep_default_na=False)


def tidy(ids: pd.Series) -> pd.Series:
    return ids.str.strip().str.upper()


@pytest.fixture(scope="module")
def log() -> pd.DataFrame:
    files = sorted(SAMPLE.glob("spray_log_*.csv"))
    return pd.concat([table(f.name) for f in files], ignore_index=True)


@pytest.fixture(scope="module")
def claims() -> pd.DataFrame:
    book = CalamineWorkbook.from_path(SAMPLE / "dealer_claims.xlsx")
    sheets = [book.get_sheet_by_name(n).to_python() for n in book.sheet_names]
    rows = [row for sheet in sheets for row in sheet[3:] if row[0] != "Total"]
    return pd.DataFrame(rows, columns=sheets[0][2])


@pytest.fixture(scope="module")
def serial_of() -> dict[str, str]:
    """Hull serial by serial and by HIN."""
    hulls = table("hulls.csv")
    return dict(zip(hulls["hull_serial"], hulls["hull_serial"], strict=True)) | dict(
        zip(hulls["hin"], hulls["hull_serial"], strict=True)
    )


@pytest.fixture(scope="module")
def affected(claims: pd.DataFrame, serial_of: dict[str, str]) -> dict[str, set[str]]:
    hull = tidy(claims["Hull"])
    hin = hull.str.replace(r"^US[- ]", "", regex=True).str.replace("-", "")
    serial = hull.map(serial_of).fillna(hin.map(serial_of))
    known = claims.assign(serial=serial, word=claims["Symptom"].str.strip().str.lower())
    return known.dropna(subset="serial").groupby("word")["serial"].agg(set).to_dict()


@pytest.fixture(scope="module")
def hull_of_part() -> dict[str, str]:
    parts, hulls = table("parts.csv"), table("hulls.csv")
    jobs = dict(zip(hulls["job_no"], hulls["hull_serial"], strict=True))
    return dict(zip(parts["part_serial"], tidy(parts["job_no"]).map(jobs), strict=True))


def best(level: pd.Series, cases: set[str]) -> str:
    """Level with the smallest Fisher p (scipy) over hulls, given one row per hull and level."""
    pairs = level.dropna().reset_index().drop_duplicates()
    pairs.columns = pd.Index(["hull", "level"])
    hulls = set(pairs["hull"])
    n, n1 = len(hulls), len(hulls & cases)
    p = {}
    for name, mine in pairs.groupby("level")["hull"]:
        a, k = len(set(mine) & cases), mine.nunique()
        p[name] = fisher_exact([[a, k - a], [n1 - a, n - k - n1 + a]], alternative="greater").pvalue
    return min(p, key=p.__getitem__)


def planted(symptom: str, family: str) -> str:
    (level,) = [
        cause["level"]
        for entry in KEY
        if (entry["symptom"], entry["role"]) == (symptom, "planted")
        for cause in entry["causes"]
        if cause["family"] == family
    ]
    return level


def test_the_planted_lot_stands_out_in_the_files(
    log: pd.DataFrame, affected: dict[str, set[str]], hull_of_part: dict[str, str]
) -> None:
    sprays = log[log["Part SN"].str.strip().str.upper().str.startswith("H")]
    lot = tidy(sprays["Gelcoat Lot"])
    lot = lot.mask(lot.str.lower().isin(dirt.MISSING_WORDS))
    lot.index = pd.Index(tidy(sprays["Part SN"]).map(hull_of_part))
    expected = planted("blister", "hull: gelcoat spray: gelcoat lot")
    assert best(lot[lot.index.notna()], affected["blister"]) == expected


def test_the_planted_mold_stands_out_in_the_files(
    affected: dict[str, set[str]], hull_of_part: dict[str, str]
) -> None:
    parts = table("parts.csv")
    mold = parts[parts["part"] == "hull"].set_index("part_serial")["mold_no"]
    mold.index = pd.Index(mold.index.map(hull_of_part))
    expected = planted("void", "hull: mold")
    assert best(mold[mold.index.notna()], affected["void"]) == expected


def test_the_planted_hose_stands_out_in_the_files(affected: dict[str, set[str]]) -> None:
    hulls, components = table("hulls.csv"), table("components.csv")
    hose = components[components["component"] == "fuel hose"].set_index("job_no")["lot_no"]
    hose = hose[~hose.isin(dirt.MISSING_WORDS)]
    hose.index = pd.Index(hose.index.map(hulls.set_index("job_no")["hull_serial"]))
    expected = planted("fuel smell", "hull: fuel hose: lot")
    assert best(hose, affected["fuel smell"]) == expected


def test_claims_name_hulls_by_serial_by_hin_and_by_what_was_never_built(
    claims: pd.DataFrame, serial_of: dict[str, str]
) -> None:
    hull = tidy(claims["Hull"])
    assert 0.2 < hull.str.contains("QZX").mean() < 0.3
    assert hull.str.startswith("US").any()
    stray = claims[claims["Claim No"].str.fullmatch(r"X0\d{3}")]
    assert len(stray) == dirt.ORPHANS
    assert not set(tidy(stray["Hull"])) & set(serial_of)


def test_a_year_begins_with_rows_of_the_year_before(log: pd.DataFrame) -> None:
    sprays = log[log["Spray No"] != "Total"]
    twice = sprays[sprays["Spray No"].duplicated(keep=False)]
    assert 10 < len(twice) // 2 < 80
    assert twice.duplicated(keep="first").sum() == len(twice) // 2  # the same to the letter
    numbers = [set(table(f"spray_log_{y}.csv")["Spray No"]) for y in (2024, 2025)]
    assert numbers[0] & numbers[1] == set(twice["Spray No"])


def test_one_log_ends_with_a_total_that_is_right(log: pd.DataFrame) -> None:
    rows = table("spray_log_2023.csv")
    total = rows.iloc[-1]
    assert total["Spray No"] == "Total"
    assert (log["Spray No"] == "Total").sum() == 1
    pounds = pd.to_numeric(rows["Lb"].iloc[:-1])
    assert float(total["Lb"]) == pytest.approx(pounds.sum(), abs=0.06)


def test_one_file_lies_there_twice() -> None:
    first = (SAMPLE / "mold_events.csv").read_bytes()
    assert (SAMPLE / COPY_OF_MOLD_EVENTS).read_bytes() == first


def test_unreadable_cells_are_as_many_as_the_readme_says(
    log: pd.DataFrame, claims: pd.DataFrame
) -> None:
    def not_numbers(cells: pd.Series) -> int:
        told = cells[~cells.isin(dirt.MISSING_WORDS)]
        return int(pd.to_numeric(told, errors="coerce").isna().sum())

    once = log[log["Spray No"] != "Total"].drop_duplicates("Spray No")
    in_log = not_numbers(once["Wet Film"]) + not_numbers(once["Air F"])
    start = pd.to_datetime(once["Start"], format="%m/%d/%Y %H:%M", errors="coerce")
    assert in_log + int(start.isna().sum()) == 4
    assert not_numbers(table("usages.csv")["quantity"]) == 2
    at = pd.to_datetime(table("inspections.csv")["at"], format="%Y-%m-%d %H:%M", errors="coerce")
    assert int(at.isna().sum()) == 3
    expires = pd.to_datetime(table("lots.csv")["expires_on"], errors="coerce")
    assert int(expires.isna().sum()) == 1
    assert sum(isinstance(hours, str) and hours != "" for hours in claims["Eng Hrs"]) == 2
    assert sum(isinstance(day, str) for day in claims["Opened"]) == 1
    parts = table("parts.csv")
    assert int(((parts["job_no"] == "") & (parts["hull_serial"] == "")).sum()) == 3


def test_some_lots_and_readings_were_not_written_down(log: pd.DataFrame) -> None:
    once = log[log["Spray No"] != "Total"].drop_duplicates("Spray No")
    for column, low, high in (("Gelcoat Lot", 0.02, 0.06), ("Wet Film", 0.005, 0.03)):
        assert low < once[column].isin(dirt.MISSING_WORDS).mean() < high


def test_the_logger_was_off_on_some_days() -> None:
    ambient = pd.read_csv(SAMPLE / "ambient.csv.gz", usecols=["station", "at"])
    days = ambient["at"].str.slice(0, 10) + ambient["station"]
    possible = 3 * len(pd.date_range("2022-09-05", "2026-06-30"))
    assert 0.98 < days.nunique() / possible < 1


def test_no_name_of_a_person_and_no_stray_control_character() -> None:
    codes = set(table("operations.csv")["operator"]) - set(dirt.MISSING_WORDS)
    assert all(re.fullmatch(r"[A-Z]{2}-\d\d", c) for c in codes)
    for path in SAMPLE.glob("*.csv"):
        assert np.frombuffer(path.read_bytes(), dtype=np.uint8).min() >= 10
