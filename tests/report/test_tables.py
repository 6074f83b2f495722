import json
import math

import pandas as pd

from tests.report.rankings import Cells, frame_of, ranking_of
from tracegraph.analysis.flat import rank_table
from tracegraph.report.tables import (
    DisplayTable,
    left_out_table,
    ranking_as_json,
    sheet_ranking_as_json,
    suspects_table,
)

TABLES: list[Cells] = [
    (9, 52, 3, 1017),
    (900, 0, 0, 2700),
    (0, 9, 7, 14),
    (4, 6, 0, 0),
    (2500, 600, 600000, 5600000),
]


def test_json_of_a_ranking_keeps_the_contract() -> None:
    value = json.loads(json.dumps(ranking_as_json(ranking_of(frame_of(TABLES))), allow_nan=False))
    assert list(value["cohort"]) == ["affected", "at_risk", "left_out", "ladder", "remarks"]
    assert value["cohort"]["left_out"] == {"hulls not delivered": 119}
    assert value["tested"] == {"families": 1, "levels": 4}
    assert value["definition"]["symptoms"] == ["blister"]
    first = value["suspects"][3 - 1]
    assert {
        "rank",
        "family",
        "level",
        "kind",
        "part",
        "affected_exposed",
        "exposed",
        "affected_unexposed",
        "unexposed",
        "unknown",
        "odds_ratio",
        "odds_ratio_low",
        "odds_ratio_high",
        "risk_ratio",
        "risk_ratio_low",
        "risk_ratio_high",
        "p_fisher",
        "log10_p_fisher",
        "p_chi2",
        "q_bh",
        "reading",
    } <= set(first)
    assert (first["affected_exposed"], first["exposed"]) == (9, 61)
    assert (first["affected_unexposed"], first["unexposed"]) == (3, 1020)


def test_numbers_without_a_value_are_null_and_read_why() -> None:
    suspects = ranking_as_json(ranking_of(frame_of(TABLES)))["suspects"]
    by_level = {suspect["level"]: suspect for suspect in suspects}
    split = by_level["G-2"]
    assert split["odds_ratio"] is None
    assert split["p_fisher"] is None
    # The log of the smallest of C(3600, 900) splits, by exact integers.
    assert math.isclose(split["log10_p_fisher"], -math.log10(math.comb(3600, 900)), rel_tol=1e-9)
    assert "no other hull is affected" in split["reading"]
    everyone = by_level["G-4"]
    assert everyone["p_fisher"] is None
    assert everyone["risk_ratio"] is None
    assert "Not testable" in everyone["reading"]


def test_top_limits_json_and_table_alike() -> None:
    ranking = ranking_of(frame_of(TABLES))
    assert len(ranking_as_json(ranking, 2)["suspects"]) == 2
    assert len(ranking_as_json(ranking, None)["suspects"]) == 5
    table = suspects_table(ranking.frame, 2)
    assert len(table.frame) == 2
    assert table.caption == "The first 2 of 5 levels."
    assert suspects_table(ranking.frame, None).caption == "5 levels."


def test_texts_never_show_a_chance_of_zero_or_nan() -> None:
    texts = suspects_table(frame_of(TABLES), None).texts()
    assert texts.loc[texts["level"] == "G-5", "Fisher p"].item() == "3.7 × 10⁻¹⁹⁰¹"
    assert texts.loc[texts["level"] == "G-2", "95 % interval"].item() == "at least 704"
    assert texts.loc[texts["level"] == "G-4", "Fisher p"].item() == "–"
    assert not texts.isin(["nan", "inf", "0.0"]).any(axis=None)


def test_numbers_stay_numbers_so_that_they_sort() -> None:
    table = suspects_table(frame_of(TABLES), None)
    assert table.frame["Fisher p"].dtype == "float64"
    assert not (table.frame["Fisher p"] == 0).any()
    assert {"rank", "exposed", "risk ratio", "Fisher p", "q"} <= table.right
    assert "level" not in table.right


def test_an_empty_ranking_is_an_empty_table() -> None:
    empty = frame_of(TABLES).iloc[:0]
    assert suspects_table(empty).caption == "0 levels."
    assert suspects_table(empty).texts().empty
    assert ranking_as_json(ranking_of(empty))["suspects"] == []


def test_a_sheet_gives_the_same_suspects() -> None:
    sheet = pd.DataFrame({"cup": range(8), "said": list("YYYNNNNY"), "milk": list("YYYYNNNN")})
    value = sheet_ranking_as_json(rank_table(sheet, "cup", "said"))
    assert value["definition"] == {"unit": "cup", "affected": "said", "stratify": []}
    # Fisher's tea tasting: two-sided 17/35.
    assert math.isclose(value["suspects"][0]["p_fisher"], 17 / 35)
    assert "3 of 4 units with milk Y" in value["suspects"][0]["reading"]


def test_left_out_and_plain_cells() -> None:
    assert left_out_table({"hulls not delivered": 1200}).texts().to_numpy().tolist() == [
        ["hulls not delivered", "1,200"]
    ]
    table = DisplayTable(
        pd.DataFrame(
            {
                "day": pd.to_datetime(["2026-03-09 00:00", "2026-03-09 14:05", None]),
                "lot": ["0042", None, "G-1"],
            }
        )
    )
    assert table.texts().to_numpy().tolist() == [
        ["2026-03-09", "0042"],
        ["2026-03-09 14:05", "–"],
        ["–", "G-1"],
    ]
    assert table.right == frozenset()
