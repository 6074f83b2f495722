"""Kind F: units and values."""

from datetime import date
from typing import Any

import pytest

from tests.intake.yard import Yard

READINGS = "operation_id,quantity,value,unit\n"
LOG = """
[[files]]
match = "log.csv"
[[files.tables]]
table = "operations"
columns = { operation_id = "op", hull_serial = "hull", started_at = "start" }
constants = { step = "spray" }
[[files.tables]]
table = "readings"
columns = { operation_id = "op", value = "temp_f" }
constants = { quantity = "ambient_temp", unit = "degF" }
[[files.tables]]
table = "readings"
columns = { operation_id = "op", value = "temp_c" }
constants = { quantity = "mold_temp", unit = "degC" }
[[files.tables]]
table = "readings"
columns = { operation_id = "op", value = "rh" }
constants = { quantity = "relative_humidity", unit = "%" }
"""
HEADER = "op,hull,start,temp_f,temp_c,rh\n"


def log(yard: Yard, *rows: str, settings: str = "") -> None:
    yard.write("intake.toml", settings + LOG)
    text = "".join(f"O{n},BT-1,2026-01-05 07:00,{row}\n" for n, row in enumerate(rows))
    yard.load_files(log__csv=HEADER + text)


def readings(yard: Yard, *rows: str) -> None:
    text = "".join(f"O{n},{row}\n" for n, row in enumerate(rows))
    yard.load_files(readings__csv=READINGS + text)


def values(yard: Yard, quantity: str) -> list[float]:
    rows = yard.rows(
        f"SELECT value FROM readings WHERE quantity = '{quantity}' ORDER BY source_row"
    )
    return [value for (value,) in rows]


def test_f1_1_two_scales_come_to_one(yard: Yard) -> None:
    log(yard, "77,25,50")
    assert values(yard, "ambient_temp") == values(yard, "mold_temp") == [25.0]
    units = yard.rows("SELECT raw, value, rule FROM cleaned_values WHERE column_name = 'unit'")
    assert units == [("degF", "degC", "unit of ambient_temp")]


def test_f1_2_loading_again_converts_nothing_twice(yard: Yard) -> None:
    log(yard, "77,25,50")
    log(yard, "77,25,50")
    yard.load_files(lots__csv="material,lot_no\ngelcoat,G-1\n")
    yard.load()
    assert values(yard, "ambient_temp") == [25.0]


def test_f1_3_values_of_two_scales_are_flagged(yard: Yard) -> None:
    log(yard, "70,69,50", "70,70,50", "70,20,50", "70,21,50")
    assert values(yard, "mold_temp") == [69.0, 70.0, 20.0, 21.0]
    [(affected, text)] = yard.remarks("two temperature scales")
    assert affected == 2
    assert "mold_temp" in text


def test_f1_3_a_value_without_unit_is_set_aside(yard: Yard) -> None:
    yard.load_files(readings__csv=READINGS + "O1,mold_temp,69,\nO2,mold_temp,20,degC\n")
    assert values(yard, "mold_temp") == [20.0]
    assert "unit is required" in yard.reasons()[0][1]


def test_f2_1_percent_in_three_forms(yard: Yard) -> None:
    header = ["operation_id", "quantity", "value", "unit"]
    forms = [(0.85, "0%"), 85, "85 %"]
    rows = [[f"O{n}", "relative_humidity", cell, "%"] for n, cell in enumerate(forms)]
    yard.workbook("readings.xlsx", [header, *rows])
    yard.load()
    assert values(yard, "relative_humidity") == [85.0, 85.0, 85.0]


def test_f2_2_a_share_among_percentages_is_flagged(yard: Yard) -> None:
    log(yard, "70,20,82", "70,20,0.85", "70,20,84")
    assert values(yard, "relative_humidity") == [82.0, 0.85, 84.0]
    assert yard.remarks("share or percent")[0][0] == 1


def test_f3_1_sentinels_by_listed_rule(yard: Yard) -> None:
    log(yard, "70,20,50", "-99,20,999", settings="sentinels = [999, -99]\n")
    assert values(yard, "relative_humidity") == [50.0]
    assert len(values(yard, "ambient_temp")) == 1
    assert {raw for _, raw, _, _ in yard.cleaned("value")} == {"999", "-99"}


def test_f3_2_small_negatives_and_zero_are_values(yard: Yard) -> None:
    log(yard, "32,-3,0", settings="sentinels = [999, -99]\n")
    assert values(yard, "ambient_temp") == [0.0]
    assert values(yard, "mold_temp") == [-3.0]
    assert values(yard, "relative_humidity") == [0.0]


def test_a_unit_behind_the_number(yard: Yard) -> None:
    log(yard, "77 \u00b0F,25 C,50 %", "77 kg,25,50")
    assert values(yard, "ambient_temp") == [25.0]
    assert [raw for _, raw, _, _ in yard.cleaned("value") if "kg" in raw] == ["77 kg"]


def test_units_of_every_row(yard: Yard) -> None:
    rows = [
        ("wet_film", "20", "mil"),
        ("wet_film", "508", "um"),
        ("pressure", "1", "bar"),
        ("gel_time", "900", "s"),
        ("mold_temp", "298.15", "K"),
        ("hardness", "40", "Barcol"),
        ("mold_temp", "77", "deg. F"),
        ("relative_humidity", "0.5", "fraction"),
        ("relative_humidity", "50", "% RH"),
    ]
    text = "".join(f"O{n},{q},{v},{u}\n" for n, (q, v, u) in enumerate(rows))
    yard.load_files(readings__csv=READINGS + text)
    assert yard.rows("SELECT value, unit FROM readings ORDER BY source_row") == [
        (508.0, "um"),
        (508.0, "um"),
        (100.0, "kPa"),
        (15.0, "min"),
        (25.0, "degC"),
        (40.0, "Barcol"),
        (25.0, "degC"),
        (50.0, "%"),
        (50.0, "%"),
    ]
    assert ("Barcol", "unit not known") in {(raw, rule) for _, raw, _, rule in yard.cleaned("unit")}


def test_words_out_of_a_list_and_yes_or_no(yard: Yard) -> None:
    yard.load_files(
        claims__csv="claim_no,hull_serial,opened_on,symptom,certainty,solicited\n"
        "C1,BT-1,2026-01-05,leak,Confirmed,Y\nC2,BT-1,2026-01-05,leak,surely,maybe\n"
    )
    assert yard.column("claims", "certainty") == ["confirmed", None]
    assert yard.column("claims", "solicited") == [True, None]
    assert yard.column("claims", "opened_on") == [date(2026, 1, 5)] * 2
    assert "one of confirmed, probable, possible" in yard.cleaned("certainty")[1][3]


def test_f1_3_celsius_in_a_column_of_fahrenheit_is_flagged(yard: Yard) -> None:
    readings(yard, *(f"ambient_temp,{value},degF" for value in (69, 70, 20, 21, 22, 72)))
    assert "may be degC" in yard.remarks("two temperature scales")[0][1]


def test_f1_1_the_ordinal_sign_counts_as_a_degree(yard: Yard) -> None:
    readings(yard, "ambient_temp,25,ºC", "ambient_temp,77,ºF")
    assert values(yard, "ambient_temp") == [25.0, 25.0]


@pytest.mark.parametrize(
    ("quantity", "numbers"),
    [("catalyst_pct", (1.8, 1.9, 0.018, 1.7)), ("relative_humidity", (0.5, 0.6, 0.7))],
)
def test_f2_2_other_shares_are_flagged(
    yard: Yard, quantity: str, numbers: tuple[float, ...]
) -> None:
    readings(yard, *(f"{quantity},{number},%" for number in numbers))
    assert len(yard.remarks("share or percent")) == 1


def test_f2_1_shares_of_a_blend(yard: Yard) -> None:
    yard.load_files(
        blends__csv="material,lot_no,parent_lot_no,share\nresin,B1,L1,60%\nresin,B1,L2,0.4\nresin,B2,L1,60\n"
    )
    assert yard.column("blends", "share") == [0.6, 0.4]
    assert [row for row, _ in yard.reasons()] == [4]


def test_f3_1_values_that_cannot_be_are_flagged_and_kept(yard: Yard) -> None:
    readings(yard, "relative_humidity,999,%", "ambient_temp,-99,degC", "ambient_temp,-2,degC")
    assert sorted(affected for affected, _ in yard.remarks("impossible values")) == [1, 1]
    assert values(yard, "ambient_temp") == [-99.0, -2.0]


def test_f2_1_a_percent_sign_that_a_format_only_adds(yard: Yard) -> None:
    rows: list[list[Any]] = [["operation_id", "quantity", "value", "unit"]]
    cells = [(85, '0"%"'), (85, "0\\%"), (0.85, "0%"), (0.85, '0" share"%')]
    rows += [[f"O{n}", "relative_humidity", cell, "%"] for n, cell in enumerate(cells)]
    yard.workbook("readings.xlsx", rows)
    yard.load()
    assert yard.column("readings", "value") == [85.0] * 4
