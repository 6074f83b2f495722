"""Kind A: identities that spreadsheets damage."""

from datetime import datetime, time
from decimal import Decimal

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from tests.intake.yard import Yard


def test_a1_1_leading_zeros_in_text(yard: Yard) -> None:
    yard.load_files(parts__csv="part_serial,part,job_no\nP1,deck,0042\nP2,deck,042\nP3,deck,42\n")
    assert yard.column("parts", "job_no") == ["0042", "042", "42"]


def test_a1_2_zeros_that_only_the_cell_format_shows(yard: Yard) -> None:
    yard.workbook(
        "hulls.xlsx",
        [["hull_serial", "model"], [(981, "000000"), "S22"], ["000982", "S22"]],
    )
    yard.load_files(
        claims__csv="claim_no,hull_serial,opened_on,symptom\n"
        "C1,000981,2026-01-05,leak\nC2,000982,2026-01-05,leak\n"
    )
    assert yard.column("hulls", "hull_serial") == ["000981", "000982"]
    assert yard.rows("SELECT count(*) FROM claim_index WHERE hull_id IS NOT NULL") == [(2,)]
    assert yard.cleaned("hull_serial") == [(2, "981", "000981", "as the cell format shows it")]


def test_a1_3_lost_zeros_link_by_setting_only(yard: Yard) -> None:
    yard.workbook(
        "parts.xlsx",
        [
            ["part_serial", "part", "hull_serial"],
            ["P1", "deck", (17, "@")],
            ["P2", "deck", (18, "@")],
        ],
    )
    yard.load_files(hulls__csv="hull_serial,model\n00017,S22\n00018,S22\n")
    assert yard.rows("SELECT count(*) FROM part_index WHERE hull_id IS NOT NULL") == [(0,)]
    assert yard.rows("SELECT written, near FROM near_matches ORDER BY ALL") == [
        ("17", "00017"),
        ("18", "00018"),
    ]
    yard.write("intake.toml", "[ids.hull_serial]\npad = 5\n")
    yard.load()
    assert yard.rows("SELECT count(*) FROM part_index WHERE hull_id IS NOT NULL") == [(2,)]
    assert yard.cleaned("hull_serial") == [
        (2, "17", "00017", "filled with zeros to 5"),
        (3, "18", "00018", "filled with zeros to 5"),
    ]


def test_a2_1_scientific_looking_lots(yard: Yard) -> None:
    yard.load_files(lots__csv="material,lot_no\ngelcoat,3E12\ngelcoat,7E4\ngelcoat,7E04\n")
    assert yard.column("lots", "lot_no") == ["3E12", "7E4", "7E04"]


def test_a2_2_a_lot_spoiled_before_it_came(yard: Yard) -> None:
    yard.load_files(
        lots__csv="material,lot_no\ngelcoat,3.14E+11\n",
        usages__csv="operation_id,material,lot_no\nO1,gelcoat,314000000000\n",
    )
    assert yard.column("lots", "lot_no") == ["3.14E+11"]
    assert yard.column("usages", "lot_no") == ["314000000000"]
    [(_, raw, _, rule)] = yard.cleaned("lot_no")
    assert raw == "3.14E+11"
    assert "spoiled" in rule


def test_a3_1_date_like_lots(yard: Yard) -> None:
    lots = ["MAR-10", "1-2", "3/4", "12-2025"]
    yard.load_files(lots__csv="material,lot_no\n" + "".join(f"gelcoat,{lot}\n" for lot in lots))
    assert yard.column("lots", "lot_no") == lots


def test_a3_2_a_date_cell_in_a_lot_column(yard: Yard) -> None:
    yard.workbook(
        "lots.xlsx", [["material", "lot_no"], ["gelcoat", (datetime(2010, 3, 1), "mmm-yy")]]
    )
    yard.load()
    assert yard.column("lots", "lot_no") == ["Mar-10"]
    [(row, raw, value, rule)] = yard.cleaned("lot_no")
    assert (row, raw, value) == (2, "2010-03-01", "Mar-10")
    assert "date cell" in rule


def test_a4_1_long_serials_in_text(yard: Yard) -> None:
    serials = ["100000000000000017", "100000000000000018"]
    yard.load_files(hulls__csv="hull_serial,model\n" + "".join(f"{s},S22\n" for s in serials))
    assert yard.column("hulls", "hull_serial") == serials


def test_a4_2_long_serial_as_a_number_cell(yard: Yard) -> None:
    yard.workbook("hulls.xlsx", [["hull_serial", "model"], [2.02601010000009e16, "S22"]])
    yard.load()
    [(_, _, value, rule)] = yard.cleaned("hull_serial")
    assert value == "2.02601010000009E+16"
    assert "spoiled" in rule


def test_a4_3_long_numbers_in_parquet(yard: Yard) -> None:
    table = pa.table({"hull_serial": [900719925474099.0, 2.0**60], "model": ["S22", "S22"]})
    pq.write_table(table, yard.folder / "hulls.parquet")
    yard.load()
    assert yard.column("hulls", "hull_serial")[0] == "900719925474099"
    [(row, _, _, rule)] = yard.cleaned("hull_serial")
    assert row == 2
    assert "spoiled" in rule
    assert yard.remarks("identity kept as number")


def test_a5_1_whole_numbers_as_float_cells(yard: Yard) -> None:
    yard.workbook(
        "parts.xlsx",
        [
            ["part_serial", "part", "job_no", "mold_no"],
            ["P1", "deck", "J1", 12.0],
            ["P2", "deck", "J1", None],
            ["P3", "deck", "J1", 14.0],
        ],
    )
    yard.load()
    assert yard.column("parts", "mold_no") == ["12", None, "14"]


@pytest.mark.parametrize(
    ("code", "shown"),
    [
        ('"BT-"0000', "BT-0042"),
        ("000-000", "000-042"),
        ("0000\\/0", "0004/2"),
        ("0", "42"),
        ("#,##0", "42"),
        ("[$-409]00000", "00042"),
        ("0000_);[Red](0000)", "0042"),
    ],
)
def test_a1_2_other_formats_of_numbers(yard: Yard, code: str, shown: str) -> None:
    yard.workbook("hulls.xlsx", [["hull_serial", "model"], [(42, code), "S22"]])
    yard.load()
    assert yard.column("hulls", "hull_serial") == [shown]


@pytest.mark.parametrize(("number", "word"), [(1234567890123456.0, "15 digits"), (3e12, "3E12")])
def test_a4_number_cells_that_may_not_be_what_was_typed(
    yard: Yard, number: float, word: str
) -> None:
    yard.workbook("hulls.xlsx", [["hull_serial", "model"], [number, "S22"]])
    yard.load()
    assert yard.column("hulls", "hull_serial") == [str(int(number))]
    [(_, _, _, rule)] = yard.cleaned("hull_serial")
    assert word in rule


@pytest.mark.parametrize("written", ["2.5e+10", "1E+05", "1,23457E+11", "1.20E-04"])
def test_a2_2_other_forms_of_a_spoiled_number(yard: Yard, written: str) -> None:
    yard.load_files(hulls__csv=f'hull_serial,model\n"{written}",S22\nCORE-01,S22\n')
    assert yard.column("hulls", "hull_serial") == [written, "CORE-01"]
    [(_, raw, _, rule)] = yard.cleaned("hull_serial")
    assert raw == written
    assert "spoiled" in rule


@pytest.mark.parametrize(
    ("code", "shown"),
    [("mmm\\-yy", "Dec-26"), ("[$-409]d\\-mmm\\-yy;@", "1-Dec-26"), ('dd"."mm"."', "01.12.")],
)
def test_a3_2_date_formats_with_marks_of_their_own(yard: Yard, code: str, shown: str) -> None:
    yard.workbook(
        "usages.xlsx",
        [["operation_id", "material", "lot_no"], ["O1", "resin", (datetime(2026, 12, 1), code)]],
    )
    yard.load()
    assert yard.column("usages", "lot_no") == [shown]


def test_a4_numbers_just_above_what_a_float_holds(yard: Yard) -> None:
    yard.workbook("hulls.xlsx", [["hull_serial", "model"], [2.0**53 + 2, "S22"]])
    pq.write_table(
        pa.table(
            {"claim_no": [2.0**53 + 2], "hull_serial": ["B"], "symptom": ["leak"]}
        ).append_column("opened_on", pa.array(["2026-01-05"])),
        yard.folder / "claims.parquet",
    )
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["9.007199254740994E+15"]
    assert yard.column("claims", "claim_no") == ["9.007199254740994E+15"]
    assert len(yard.remarks("spoiled identities")) == 2


def test_a5_1_whole_decimals_in_parquet(yard: Yard) -> None:
    serials = pa.array([Decimal("17.00"), Decimal("18.50")])
    pq.write_table(
        pa.table({"hull_serial": serials, "model": ["S", "S"]}), yard.folder / "hulls.parquet"
    )
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["17", "18.50"]


def test_a1_1_marks_that_force_a_spreadsheet_to_keep_text(yard: Yard) -> None:
    yard.load_files(
        hulls__csv="hull_serial,model,job_no\n"
        '"=""0042""",S22,J-1\n\'007,S22,J-2\n\'A\',S22,J-3\n=2+5,S22,J-4\n'
    )
    assert yard.column("hulls", "hull_serial") == ["0042", "007", "'A'", "=2+5"]
    assert [(row, raw) for row, raw, _, _ in yard.cleaned("hull_serial")] == [
        (2, '="0042"'),
        (3, "'007"),
    ]


def test_a2_and_a3_2_cells_whose_format_tells_what_was_typed(yard: Yard) -> None:
    yard.workbook(
        "lots.xlsx",
        [
            ["material", "lot_no"],
            ["resin", (70000.0, "0.00E+00")],
            ["resin", (0.00001, "General")],
            ["resin", (datetime(2010, 3, 1, 6, 30), "h:mm")],
            ["resin", (datetime(2010, 3, 1, 18, 5), "mm/dd h:mm AM/PM")],
            ["resin", (time(7, 30), "h:mm")],
            ["resin", (1.5, "[h]:mm")],
        ],
    )
    yard.load()
    assert yard.column("lots", "lot_no") == [
        "70000",
        "1E-05",
        "6:30",
        "03/01 6:05 PM",
        "7:30",
        "1 day, 12:00:00",
    ]
    rules = [rule for _, _, _, rule in yard.cleaned("lot_no")]
    assert len(rules) == 6
    assert "written 7E4" in rules[0]
    assert "written 1E-5" in rules[1]
    assert all("a date cell" in rule or "a time cell" in rule for rule in rules[2:])


def test_a4_3_parquet_numbers_at_the_edge_of_what_they_hold(yard: Yard) -> None:
    serials = pa.array([2.0**53, 2.0**53 - 1])
    jobs = pa.array([17.0, 18.0], pa.float32())
    table = pa.table({"hull_serial": serials, "model": ["S", "S"], "job_no": jobs})
    pq.write_table(table, yard.folder / "hulls.parquet")
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["9.007199254740992E+15", "9007199254740991"]
    assert any("seven digits" in text for _, text in yard.remarks("identity kept as number"))
