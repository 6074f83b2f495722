import csv
import io

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.report.safe_csv import safe_text, to_csv

STARTS = ("=", "+", "-", "@")


@pytest.mark.parametrize(
    "text", ["=2+5", "+49123", "-2+3", "@x", "\t=2", " =2", "＝2", "\r=2", "\n@x", "\ttext"]
)
def test_what_a_spreadsheet_would_run_is_quoted(text: str) -> None:
    assert safe_text(text) == f"'{text}"


@pytest.mark.parametrize("text", ["BT-1001", "-4.2", "-4.2e-5", "", "G 2417", "a=b"])
def test_other_texts_stay(text: str) -> None:
    assert safe_text(text) == text


def test_headers_ids_numbers_and_dates() -> None:
    frame = pd.DataFrame(
        {
            "=id": ["@1", None],
            "value": [-4.2, float("nan")],
            "day": pd.to_datetime(["2026-03-09", None]),
            "note": ["two\nlines; =3", 'said "ok"'],
        }
    )
    rows = list(csv.reader(io.StringIO(to_csv(frame))))
    assert rows == [
        ["'=id", "value", "day", "note"],
        ["'@1", "-4.2", "2026-03-09", "two\nlines; =3"],
        ["", "", "", 'said "ok"'],
    ]


def test_two_columns_of_one_name_are_both_kept() -> None:
    frame = pd.DataFrame([["a", "b"]], columns=["lot", "lot"])
    assert to_csv(frame) == '"lot","lot"\n"a","b"\n'


@given(st.lists(st.text(max_size=12), min_size=1, max_size=5))
def test_no_cell_begins_like_a_formula_and_none_is_lost(texts: list[str]) -> None:
    texts = [text.replace("\x00", "").replace("\r", "") for text in texts]
    rows = list(csv.reader(io.StringIO(to_csv(pd.DataFrame({"x": texts})))))
    assert [row[0].removeprefix("'") for row in rows[1:]] == [t.removeprefix("'") for t in texts]
    for (cell,) in rows[1:]:
        if cell.lstrip().startswith(STARTS):
            float(cell)
