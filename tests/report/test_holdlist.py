from __future__ import annotations

import csv
import io
import zipfile
from dataclasses import replace
from typing import Any

import openpyxl
import pandas as pd
import pytest

from tests.analysis.small_plant import linked_plant
from tracegraph.analysis.containment import Containment, contain
from tracegraph.domain.definition import CaseDefinition
from tracegraph.exposure import build_exposure, exposure_from_frames
from tracegraph.report.holdlist import (
    CAUTIONS,
    COLUMNS,
    hold_list_csv,
    hold_list_xlsx,
)
from tracegraph.store.reader import as_store

HOSTILE = ("=2+5", "+49 30", "-cmd|' /C calc'!A0", "@SUM(1)", "\t=1", "\r=1", "\n=1", "＝1")


@pytest.fixture(scope="module")
def found() -> Containment:
    build = linked_plant()
    build_exposure(build)
    with as_store(build) as store:
        return contain(
            store,
            "hull: gelcoat spray: gelcoat lot",
            "G-1",
            definition=CaseDefinition(symptoms=("blister",)),
            states={"BT-1001": "corrected"},
        )


def csv_rows(content: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))


def split(content: bytes) -> tuple[list[dict[str, str]], list[str]]:
    rows = csv_rows(content)
    gap = rows.index([])
    hulls = [dict(zip(rows[0], row, strict=True)) for row in rows[1:gap]]
    return hulls, [cell for (cell,) in rows[gap + 1 :]]


def test_csv_holds_one_row_per_hull_then_notes_and_cautions(found: Containment) -> None:
    content = hold_list_csv(found)
    assert content.startswith(b"\xef\xbb\xbf")
    hulls, notes = split(content)
    assert [row["hull_serial"] for row in hulls] == found.hulls["hull_serial"].tolist()
    assert hulls[2] == {
        "hull_serial": "BT-1001",
        "hin": "US-QZX1001XA525",
        "model": "S22",
        "grade": "recorded",
        "probability": "1.0",
        "reason": "",
        "place": "owner",
        "dealer": "D-1",
        "state": "corrected",
        "priority": "3",
        "built_on": "2025-02-01",
        "delivered_on": "2025-04-01",
        "months_in_service": "13",
        "affected": "yes",
        "claims": "1",
        "expected_claims": "",  # no case within the follow-up: nothing can be foreseen
    }
    assert all(note.startswith("# ") for note in notes)
    assert [f"# {line}" for line in CAUTIONS] == notes[-len(CAUTIONS) :]
    assert "# Of 6 hulls in the records: 4 recorded, 1 probable, 0 possible, 0 remote, " \
        "1 cleared, 0 not applicable." in notes  # fmt: skip
    assert "# Of 5 hulls listed: 4 unknown, 0 notified, 0 unreachable, 0 inspected clear, " \
        "1 corrected, 0 refused." in notes  # fmt: skip
    assert (
        "# Counts for a defect report, should one be decided on: 5 may contain it, 1 purchasers "
        "notified, 0 of 1 dealers notified, 1 corrected, 0 inspected and found free of it, "
        "0 refused, 0 not reached." in notes
    )
    assert (
        "# Model S22, recorded: HIN US-QZX1001XA525 to US-QZX1003XA525. The range holds 3 "
        "hulls, of which 0 are not exposed." in notes
    )


def test_csv_reads_as_a_table_of_hulls_in_pandas(found: Containment) -> None:
    frame = pd.read_csv(io.BytesIO(hold_list_csv(found)), dtype=str)
    hulls = frame[~frame["hull_serial"].str.startswith("#")]
    assert hulls["hull_serial"].tolist() == found.hulls["hull_serial"].tolist()


def hostile(found: Containment) -> Containment:
    hulls = pd.concat([found.hulls] * 2, ignore_index=True).iloc[: len(HOSTILE)]
    hulls = hulls.assign(hull_serial=list(HOSTILE), dealer=list(HOSTILE))
    return replace(found, hulls=hulls, family="=1+1", level="@x\n=cmd")


def test_csv_neutralises_what_a_spreadsheet_would_run(found: Containment) -> None:
    content = hold_list_csv(hostile(found))
    rows = csv_rows(content)
    assert [row[0] for row in rows[1 : 1 + len(HOSTILE)]] == [f"'{text}" for text in HOSTILE]
    for row in rows:
        for cell in row:
            assert cell[:1] not in {"=", "+", "-", "@", "\t", "\r", "\n", "＝"} or _is_number(cell)


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def test_numbers_stay_numbers_even_below_zero(found: Containment) -> None:
    months = replace(found, hulls=found.hulls.assign(months_in_service=-4))
    assert b',-4,"yes"' in hold_list_csv(months)
    sheet = openpyxl.load_workbook(io.BytesIO(hold_list_xlsx(months)))["Hulls"]
    place = list(COLUMNS).index("months_in_service") + 1
    assert sheet.cell(2, place).value == -4


def test_xlsx_keeps_every_text_as_text_and_holds_no_formula(found: Containment) -> None:
    content = hold_list_xlsx(hostile(found))
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        for name in package.namelist():
            if name.startswith("xl/worksheets/"):
                assert b"<f>" not in package.read(name)
                assert b"hyperlink" not in package.read(name)
    sheet = openpyxl.load_workbook(io.BytesIO(content))["Hulls"]
    cells = [sheet.cell(row, 1) for row in range(2, 2 + len(HOSTILE))]
    assert all(cell.data_type == "s" for cell in cells)
    expected = [text.replace("\r", "\n") for text in HOSTILE]
    assert [
        str(cell.value).replace("_x000D_", "\n").replace("\r", "\n") for cell in cells
    ] == expected


def test_ids_keep_their_zeros_in_xlsx() -> None:
    build = exposure_from_frames(
        pd.DataFrame(
            {"hull_serial": ["0042", "12E4"], "model": "S", "in_service_on": "2025-01-01"}
        ),
        pd.DataFrame({"hull_serial": ["0042", "12E4"], "family": "f", "level": "x"}),
        pd.DataFrame({"claim_no": [], "hull_serial": [], "opened_on": [], "symptom": []}),
    )
    with as_store(build) as store:
        found = contain(store, "f", "x")
    workbook = openpyxl.load_workbook(io.BytesIO(hold_list_xlsx(found)))
    assert [workbook["Hulls"].cell(row, 1).value for row in (2, 3)] == ["0042", "12E4"]
    assert b'\n"0042",' in hold_list_csv(found)
    about: list[Any] = [row[0] for row in workbook["About"].iter_rows(values_only=True)]
    assert list(CAUTIONS) == about[-len(CAUTIONS) :]
    assert (
        "Model S, recorded: hull serial 0042 to 12E4. The range holds 2 hulls, of which 0 are "
        "not exposed." in about
    )


def test_the_same_list_gives_the_same_bytes(found: Containment) -> None:
    assert hold_list_xlsx(found) == hold_list_xlsx(found)
