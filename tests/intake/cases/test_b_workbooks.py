"""Kind B: how workbooks are built."""

import gzip
import io
import zipfile
from datetime import date, datetime, time
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from openpyxl.chart import BarChart, Reference
from python_calamine import CalamineWorkbook

from tests.intake.raw_xlsx import raw_workbook, text_cell
from tests.intake.yard import Yard
from tracegraph.intake.plainsheet import PlainSheet
from tracegraph.intake.sheetfacts import WorkbookFiles

HULLS = ["hull_serial", "model"]


def save(book: openpyxl.Workbook, yard: Yard, name: str) -> Path:
    path = yard.folder / name
    book.save(path)
    return path


def rewrite(path: Path, inner: str, change: dict[str, str]) -> None:
    """Change the text of one file inside a workbook."""
    with zipfile.ZipFile(path) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    text = files[inner].decode()
    for old, new in change.items():
        assert old in text
        text = text.replace(old, new)
    files[inner] = text.encode()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)


def test_b1_1_the_1904_date_system(yard: Yard) -> None:
    book = xlsxwriter.Workbook(str(yard.folder / "hulls.xlsx"), {"date_1904": True})
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["hull_serial", "model", "completed_on"])
    sheet.write_row(1, 0, ["BT-1", "S22"])
    form = book.add_format({"num_format": "yyyy-mm-dd"})
    sheet.write_datetime(1, 2, datetime(2026, 1, 5), form)
    book.close()
    yard.load()
    assert yard.column("hulls", "completed_on") == [date(2026, 1, 5)]


SERIALS = "hull_serial,model,completed_on\n"


def test_b1_2_day_counts_need_a_setting(yard: Yard) -> None:
    yard.load_files(hulls__csv=SERIALS + "BT-1,S22,46027\n")
    assert yard.column("hulls", "completed_on") == [None]
    assert [raw for _, raw, _, _ in yard.cleaned("completed_on")] == ["46027"]
    yard.write("intake.toml", 'serial_dates = "1900"')
    yard.load()
    assert yard.column("hulls", "completed_on") == [date(2026, 1, 5)]


def test_b1_3_day_counts_that_are_no_days(yard: Yard) -> None:
    yard.write("intake.toml", 'serial_dates = "1900"')
    yard.load_files(hulls__csv=SERIALS + "A,S22,0.29\nB,S22,59\nC,S22,60\nD,S22,61\nE,S22,46027\n")
    assert yard.column("hulls", "completed_on") == [None, None, None, None, date(2026, 1, 5)]
    rules = {raw: rule for _, raw, _, rule in yard.cleaned("completed_on")}
    assert "time of day without a date" in rules["0.29"]
    assert "1900-02-28 is out of range" in rules["59"]
    assert "never was" in rules["60"]
    assert "1900-03-01 is out of range" in rules["61"]


def test_b2_1_a_header_over_two_rows(yard: Yard) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in [
        ["Op", "Start", "Resin", None],
        [None, None, "lot", "kg"],
        ["O1", datetime(2026, 1, 5, 7), "R-1", 12.5],
    ]:
        sheet.append(row)
    for block in ("A1:A2", "B1:B2", "C1:D1"):
        sheet.merge_cells(block)
    save(book, yard, "log.xlsx")
    yard.write(
        "intake.toml",
        """
[[files]]
match = "log.xlsx"
[[files.tables]]
table = "usages"
columns = { operation_id = "Op", lot_no = "Resin lot", quantity = "Resin kg" }
constants = { material = "resin", unit = "kg" }
""",
    )
    yard.load()
    assert yard.records("usages") == [("O1", "resin", "R-1", None, 12.5, "kg")]
    assert yard.column("usages", "source_row") == [3]


def test_b2_2_a_block_merged_over_rows(yard: Yard) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["operation_id", "step", "hull_serial", "operator", "started_at"])
    for number in range(1, 6):
        sheet.append(
            [
                f"O{number}",
                "bond",
                f"BT-{number}",
                "P7" if number == 1 else None,
                datetime(2026, 1, 5, 7),
            ]
        )
    sheet.merge_cells("D2:D5")
    save(book, yard, "operations.xlsx")
    yard.load()
    assert yard.column("operations", "operator") == ["P7", "P7", "P7", "P7", None]
    assert [(row, rule) for row, _, _, rule in yard.cleaned("operator")] == [
        (row, "filled from merged cells") for row in (3, 4, 5)
    ]


def test_b3_1_titles_above_and_a_total_below(yard: Yard) -> None:
    rows = [
        ["Sample yard"],
        ["Hulls of January"],
        [],
        HULLS,
        ["BT-1", "S22"],
        ["BT-2", "S26"],
        ["Total", 2],
    ]
    yard.workbook("hulls.xlsx", rows)
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"]
    assert yard.column("hulls", "source_row") == [5, 6]
    assert yard.ledger("hulls.xlsx").furniture == 4


def test_b3_1_the_header_row_may_be_stated(yard: Yard) -> None:
    yard.write(
        "intake.toml",
        """
[[files]]
match = "*.csv"
header_row = 2
[[files.tables]]
table = "hulls"
columns = { hull_serial = "Hull", model = "Model" }
""",
    )
    yard.load_files(export__csv="Hull,Model\nHull,Model\nBT-1,S22\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1"]


def test_b3_2_a_column_without_header(yard: Yard) -> None:
    yard.load_files(hulls__csv=",hull_serial,model\nx,BT-1,S22\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    assert "'column 1'" in yard.remarks("header")[0][1]


def test_b4_1_hidden_rows_are_read_and_counted(yard: Yard) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(HULLS)
    for number in range(10):
        sheet.append([f"BT-{number}", "S22"])
        sheet.row_dimensions[number + 2].hidden = number >= 3
    save(book, yard, "hulls.xlsx")
    yard.load()
    assert yard.ledger("hulls.xlsx").loaded == 10
    assert yard.remarks("hidden rows") == [(7, "hulls.xlsx (Sheet): 7 hidden rows included")]


def test_b4_2_a_hidden_sheet_is_named_and_loaded_by_choice(yard: Yard) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Open"
    hidden = book.create_sheet("Old")
    hidden.sheet_state = "hidden"
    for number, page in enumerate((sheet, hidden)):
        page.append(HULLS)
        page.append([f"BT-{number}", "S22"])
    save(book, yard, "hulls.xlsx")
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-0"]
    assert "'Old' is hidden" in yard.remarks("sheet")[0][1]
    yard.write(
        "intake.toml",
        """
[[files]]
match = "hulls.xlsx"
sheets = ["Open", "Old"]
[[files.tables]]
table = "hulls"
columns = { hull_serial = "hull_serial", model = "model" }
""",
    )
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-0", "BT-1"]


def test_b4_3_a_hidden_column_is_read_and_marked(yard: Yard) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["operation_id", "material", "lot_no"])
    sheet.append(["O1", "gelcoat", "G-1"])
    sheet.column_dimensions["C"].hidden = True
    save(book, yard, "usages.xlsx")
    yard.load()
    assert yard.column("usages", "lot_no") == ["G-1"]
    assert "'lot_no'" in yard.remarks("hidden columns")[0][1]


def formulas(yard: Yard) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["hull_serial", "model", "completed_on"])
    sheet.append(["BT-1", "S22", "=A2+1"])
    sheet.append(["=A2&1", "S22", None])
    save(book, yard, "hulls.xlsx")
    yard.load()


def test_b5_1_a_formula_without_result_is_named_by_address(yard: Yard) -> None:
    formulas(yard)
    assert yard.rows("SELECT hull_serial, completed_on FROM hulls") == [("BT-1", None)]
    [(affected, text)] = yard.remarks("formula")
    assert affected == 2
    assert "C2, A3" in text


def test_b5_2_the_same_in_an_identity_sets_the_row_aside(yard: Yard) -> None:
    formulas(yard)
    assert [row for row, _ in yard.reasons()] == [3]


def test_b5_3_a_formula_with_its_result(yard: Yard) -> None:
    book = xlsxwriter.Workbook(str(yard.folder / "hulls.xlsx"))
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, HULLS)
    sheet.write_formula(1, 0, '="BT-"&1', None, "BT-1")
    sheet.write(1, 1, "S22")
    book.close()
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1"]


def test_b6_1_error_cells_are_missing_under_their_name(yard: Yard) -> None:
    book = xlsxwriter.Workbook(str(yard.folder / "usages.xlsx"))
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["operation_id", "material", "lot_no", "quantity", "unit"])
    sheet.write_row(1, 0, ["O1", "resin"])
    sheet.write_formula(1, 2, "=NA()", None, "#N/A")
    sheet.write_formula(1, 3, "=1/0", None, "#DIV/0!")
    sheet.write(1, 4, "kg")
    book.close()
    yard.load()
    assert yard.records("usages") == [("O1", "resin", None, None, None, "kg")]
    assert [raw for _, raw, _, _ in yard.cleaned("lot_no")] == ["#N/A"]
    assert [raw for _, raw, _, _ in yard.cleaned("quantity")] == ["#DIV/0!"]


def test_b6_2_an_error_in_an_identity_sets_the_row_aside(yard: Yard) -> None:
    yard.load_files(
        claims__csv="claim_no,hull_serial,opened_on,symptom\n#NAME?,BT-1,2026-01-05,leak\n"
    )
    [(row, reason)] = yard.reasons()
    assert row == 2
    assert "#NAME?" in reason


def test_b7_1_formatting_to_the_last_row(yard: Yard) -> None:
    yard.workbook("hulls.xlsx", [HULLS, *[[f"BT-{n}", "S22"] for n in range(20)]])
    path = yard.folder / "hulls.xlsx"
    empties = "".join(
        f'<row r="{n}"><c r="A{n}" s="0"/></row>' for n in range(1_048_000, 1_048_577)
    )
    rewrite(path, "xl/worksheets/sheet1.xml", {"</sheetData>": f"{empties}</sheetData>"})
    yard.load()
    assert yard.ledger("hulls.xlsx").seen == 20


@pytest.mark.parametrize("extent", ["A1", "A1:XFD1048576"])
def test_b7_2_a_wrong_stated_extent(yard: Yard, extent: str) -> None:
    yard.workbook("hulls.xlsx", [HULLS, ["BT-1", "S22"], ["BT-2", "S26"]])
    rewrite(
        yard.folder / "hulls.xlsx",
        "xl/worksheets/sheet1.xml",
        {'<dimension ref="A1:B3"/>': f'<dimension ref="{extent}"/>'},
    )
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"]
    assert yard.ledger("hulls.xlsx").seen == 2


def test_b8_1_what_is_not_what_its_name_says(yard: Yard) -> None:
    yard.workbook("whole.xlsx", [HULLS, ["BT-1", "S22"]])
    whole = (yard.folder / "whole.xlsx").read_bytes()
    (yard.folder / "whole.xlsx").unlink()
    yard.write("page.xls", "<html><table><tr><td>hull</td></tr></table></html>")
    yard.write("page.xlsx", "<html><table><tr><td>hull</td></tr></table></html>")
    yard.write("text.xlsx", "hull_serial,model\nBT-2,S22\n")
    yard.write("locked.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600)
    yard.write("half.xlsx", whole[: len(whole) // 2])
    yard.write("empty.xlsx", b"")
    yard.load_files(hulls__csv="hull_serial,model\nBT-9,S22\n")
    reasons = yard.left_out()
    assert "HTML" in reasons["page.xls"]
    assert "HTML" in reasons["page.xlsx"]
    assert ".csv" in reasons["text.xlsx"]
    assert "password" in reasons["locked.xlsx"]
    assert "damaged" in reasons["half.xlsx"]
    assert "empty" in reasons["empty.xlsx"]
    assert yard.column("hulls", "hull_serial") == ["BT-9"]


def test_b8_2_gzip_bytes_under_a_plain_name(yard: Yard) -> None:
    import gzip

    packed = gzip.compress(b"hull_serial,model\nBT-1,S22\n")
    yard.load_files(hulls__csv=packed)
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    yard.write("more/hulls.csv", packed[:-9])
    yard.load()
    assert "gzip" in yard.left_out()["more/hulls.csv"]


def test_b9_1_a_mixed_date_column(yard: Yard) -> None:
    cells = [(datetime(2026, 1, 5), "yyyy-mm-dd"), "5.1.2026", "Mon", None, 46027]
    yard.workbook(
        "hulls.xlsx",
        [
            ["hull_serial", "model", "completed_on"],
            *[[f"BT-{n}", "S22", cell] for n, cell in enumerate(cells)],
        ],
    )
    yard.load()
    assert yard.column("hulls", "completed_on") == [date(2026, 1, 5), None, None, None, None]
    assert [row for row, *_ in yard.cleaned("completed_on")] == [3, 4, 6]
    yard.write("intake.toml", 'dates = "day first"\nserial_dates = "1900"')
    yard.load()
    known = date(2026, 1, 5)
    assert yard.column("hulls", "completed_on") == [known, known, None, None, known]


def test_b10_1_several_sheets_and_a_legend(yard: Yard) -> None:
    yard.write(
        "intake.toml",
        """
[[files]]
match = "year.xlsx"
[[files.tables]]
table = "hulls"
columns = { hull_serial = "Hull", model = "Model" }
""",
    )
    yard.workbooks(
        "year.xlsx",
        {
            "Jan": [["Hull", "Model"], ["BT-1", "S22"]],
            "Feb": [["Hull", "Model"], ["BT-2", "S22"]],
            "Legend": [["Code", "Meaning"], ["S22", "22 feet"]],
        },
    )
    yard.load()
    assert yard.rows("SELECT sheet, loaded FROM sources ORDER BY source_id") == [
        ("Jan", 1),
        ("Feb", 1),
    ]
    assert "'Hull'" in yard.left_out()["year.xlsx (Legend)"]


def test_b10_2_a_chart_sheet_and_an_empty_sheet(yard: Yard) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(HULLS)
    sheet.append(["BT-1", "S22"])
    chart = BarChart()
    chart.add_data(Reference(sheet, min_col=1, min_row=1, max_row=2))
    book.create_chartsheet("Chart").add_chart(chart)
    book.create_sheet("Empty")
    save(book, yard, "hulls.xlsx")
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    assert {text for _, text in yard.remarks("sheet")} == {
        "hulls.xlsx: sheet 'Chart' holds no cells",
        "hulls.xlsx: sheet 'Empty' is empty",
    }


def test_a_time_cell_alone_is_no_date(yard: Yard) -> None:
    yard.workbook(
        "hulls.xlsx",
        [["hull_serial", "model", "completed_on"], ["BT-1", "S22", (time(7, 30), "hh:mm")]],
    )
    yard.load()
    assert yard.column("hulls", "completed_on") == [None]
    assert len(yard.cleaned("completed_on")) == 1


def test_rows_and_columns_left_blank_before_the_table(yard: Yard) -> None:
    blank: list[object] = [None, None]
    yard.workbook("hulls.xlsx", [[], [], [*blank, *HULLS], [*blank, "BT-1", "S22"]])
    yard.load()
    assert yard.rows("SELECT hull_serial, model, source_row FROM hulls") == [("BT-1", "S22", 4)]


def test_a_sheet_named_after_a_table_needs_no_mapping(yard: Yard) -> None:
    yard.workbooks(
        "everything.xlsx",
        {"hulls": [HULLS, ["BT-1", "S22"]], "Lots": [["material", "lot_no"], ["gelcoat", "G-1"]]},
    )
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    assert yard.column("lots", "lot_no") == ["G-1"]


def test_a_workbook_is_read_from_bytes_that_end_in_litter(yard: Yard) -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("notes.txt", "no workbook at all")
    yard.write("hulls.xlsx", buffer.getvalue())
    yard.load_files(lots__csv="material,lot_no\ngelcoat,G-1\n")
    assert "list of sheets" in yard.left_out()["hulls.xlsx"]


def headed(yard: Yard, rows: list[list[object]], blocks: list[str]) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    for block in blocks:
        sheet.merge_cells(block)
    save(book, yard, "log.xlsx")


def test_b2_1_a_header_over_three_rows_under_a_title(yard: Yard) -> None:
    headed(
        yard,
        [
            ["Sample yard, January", None, None, None],
            ["Op", "Material", None, None],
            [None, "Resin", None, "Note"],
            [None, "lot", "kg", None],
            ["O1", "R-1", 12.5, "x"],
        ],
        ["A1:D1", "A2:A4", "B2:C2", "B3:C3", "D3:D4"],
    )
    yard.write(
        "intake.toml",
        """
[[files]]
match = "log.xlsx"
[[files.tables]]
table = "usages"
columns = { operation_id = "Op", lot_no = "Material Resin lot", quantity = "Material Resin kg" }
constants = { material = "resin", unit = "kg" }
""",
    )
    yard.load()
    assert yard.records("usages") == [("O1", "resin", "R-1", None, 12.5, "kg")]


def test_b3_a_title_merged_over_all_columns_is_no_heading(yard: Yard) -> None:
    headed(yard, [["Sample yard", None], ["hull_serial", "model"], ["BT-1", "S22"]], ["A1:B1"])
    (yard.folder / "log.xlsx").rename(yard.folder / "hulls.xlsx")
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1"]


def test_b3_a_heading_over_plain_headers_need_not_be_named(yard: Yard) -> None:
    headed(
        yard,
        [["Boat", None, None], ["hull_serial", "model", "dealer"], ["BT-1", "S22", "D-1"]],
        ["A1:B1"],
    )
    (yard.folder / "log.xlsx").rename(yard.folder / "hulls.xlsx")
    yard.load()
    assert yard.rows("SELECT hull_serial, model, dealer FROM hulls") == [("BT-1", "S22", "D-1")]


def test_b2_2_a_block_of_formatted_numbers(yard: Yard) -> None:
    book = xlsxwriter.Workbook(str(yard.folder / "claims.xlsx"))
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["claim_no", "line_no", "hull_serial", "opened_on", "symptom"])
    for line in (1, 2, 3):
        sheet.write_row(line, 1, [line, None, "2026-01-05", "leak"])
    sheet.merge_range("A2:A4", 101)
    sheet.merge_range("C2:C4", 42, book.add_format({"num_format": "00000"}))
    book.close()
    yard.load()
    assert yard.column("claims", "hull_serial") == ["00042"] * 3
    assert yard.column("claims", "claim_no") == ["101"] * 3


def test_b3_2_many_columns_without_header_are_one_remark(yard: Yard) -> None:
    book = openpyxl.Workbook()
    page = book.active
    page.append(["hull_serial", "model"])
    page.append(["BT-1", "S22"])
    page["ZZ2"] = "stray"
    save(book, yard, "hulls.xlsx")
    yard.load()
    [(affected, text)] = yard.remarks("header")
    assert affected == 700
    assert "'column 3'" in text
    assert "more" in text


@pytest.mark.parametrize("word", ["#SPILL!", "#WERT!", "#DIV/0", "Err:502", "#NV"])
def test_b6_1_error_words_of_other_spreadsheets(yard: Yard, word: str) -> None:
    yard.load_files(
        usages__csv=f"operation_id,material,lot_no\nO1,resin,{word}\n{word},resin,R-1\n"
    )
    assert yard.column("usages", "lot_no") == [None]
    assert [row for row, _ in yard.reasons()] == [3]
    assert yard.cleaned("lot_no") == [(2, word, None, "error in the cell")]


def test_b1_1_day_counts_of_a_1904_workbook(yard: Yard) -> None:
    book = openpyxl.Workbook()
    book.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904
    book.active.append(["hull_serial", "model", "completed_on"])
    book.active.append(["BT-1", "S22", 44565])
    save(book, yard, "hulls.xlsx")
    yard.write("intake.toml", 'serial_dates = "1900"\n')
    yard.load()
    assert yard.column("hulls", "completed_on") == [date(2026, 1, 5)]
    assert "1904" in yard.remarks("count of days")[0][1]


def test_b1_2_the_reason_names_the_setting(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,model,completed_on\nBT-1,S22,46027\n")
    assert "serial_dates" in yard.cleaned("completed_on")[0][3]


@pytest.mark.parametrize(
    ("name", "content", "word"),
    [
        ("lots.csv", b"%PDF-1.4\n1 0 obj", "PDF"),
        ("lots.csv", b"PK\x03\x04" + bytes(80), "archive"),
        ("lots.csv", b"\xd0\xcf\x11\xe0" + bytes(80), "old XLS"),
        ("lots.csv", b"PAR1" + bytes(80), "Parquet"),
        ("lots.csv", b"<html><table><tr><td>material</td></tr></table>", "HTML"),
        (
            "lots.csv.gz",
            gzip.compress(gzip.compress(b"material,lot_no\n", mtime=0), mtime=0),
            "twice",
        ),
        ("lots.xlsx", b"%PDF-1.4\n", "PDF"),
        ("lots.xlsx", gzip.compress(b"material", mtime=0), "unpack"),
    ],
)
def test_b8_1_other_files_in_disguise(yard: Yard, name: str, content: bytes, word: str) -> None:
    yard.write(name, content)
    yard.load_files(hulls__csv="hull_serial,model\nBT-1,S22\n")
    assert word in yard.left_out()[name]
    assert yard.column("hulls", "hull_serial") == ["BT-1"]


HEADER_ROW = "<row>" + "".join(map(text_cell, ("hull_serial", "model", "completed_on"))) + "</row>"


def test_b6_and_b7_what_the_reader_of_values_gives_up(yard: Yard) -> None:
    """One error of a newer kind, a stated extent that is none, a text that is not there."""
    hull = text_cell("BT-1") + text_cell("S22")
    raw_workbook(
        yard.folder / "a/hulls.xlsx",
        f'{HEADER_ROW}<row>{hull}<c t="e"><v>#SPILL!</v></c></row>'
        f'<row>{text_cell("BT-2")}<c t="s"><v>0</v></c><c s="1"><v>46027</v></c></row>'
        f'<row>{text_cell("BT-3")}<c t="s"><v>9</v></c></row>',
        texts="<si><r><t>S</t></r><r><t>26</t></r><rPh><t>x</t></rPh></si>",
        styles='<cellXfs><xf numFmtId="0"/><xf numFmtId="14"/></cellXfs>',
    )
    for number, extent in enumerate(("A1:", "garbage", ""), start=4):
        row = f"<row>{text_cell(f'BT-{number}')}{text_cell('S22')}</row>"
        before = f'<dimension ref="{extent}"/>'
        raw_workbook(yard.folder / f"{number}/hulls.xlsx", HEADER_ROW + row, before=before)
    yard.load()
    assert yard.rows("SELECT hull_serial, model, completed_on FROM hulls ORDER BY ALL") == [
        ("BT-1", "S22", None),
        ("BT-2", "S26", date(2026, 1, 5)),
        ("BT-4", "S22", None),
        ("BT-5", "S22", None),
        ("BT-6", "S22", None),
    ]
    assert yard.cleaned("completed_on") == [(2, "#SPILL!", None, "error in the cell")]
    assert [row for row, _ in yard.reasons()] == [4]


def test_b7_1_a_cell_of_spaces_far_from_all_others(yard: Yard) -> None:
    """Laid out in full the sheet would take 17 billion cells."""
    rows = HEADER_ROW.replace("<row>", '<row r="1">')
    rows += f'<row r="2">{text_cell("BT-1", "A2")}{text_cell("S22", "B2")}</row>'
    rows += f'<row r="1048576">{text_cell(" ", "XFD1048576")}</row>'
    raw_workbook(yard.folder / "hulls.xlsx", rows)
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    assert yard.ledger("hulls.xlsx").seen == 1


def test_b_both_readers_of_values_agree(yard: Yard) -> None:
    cells = [
        ["hull_serial", "model", "completed_on"],
        ["BT-1", 22.0, (date(2026, 1, 5), "yyyy-mm-dd")],
        [(7.0, "000"), True, (datetime(2026, 1, 5, 13, 30), "d.m.yy hh:mm")],
        ["a<b> & c", 0.1, (time(7, 30), "hh:mm")],
        [None, "", (61.0, "yyyy-mm-dd")],
        [" x ", -3.5e-9, (59.0, "yyyy-mm-dd")],
    ]
    yard.workbook("hulls.xlsx", cells)
    path = yard.folder / "hulls.xlsx"
    files = WorkbookFiles(path)
    plain = [*PlainSheet("Sheet1", files, files.facts("Sheet1")).iter_rows()]
    assert plain == [*CalamineWorkbook.from_path(str(path)).get_sheet_by_index(0).iter_rows()]


def test_b4_parts_hidden_by_their_size(yard: Yard) -> None:
    columns = '<cols><col min="2" max="2" width="0"/></cols>'
    rows = HEADER_ROW + f'<row ht="0">{text_cell("BT-1")}{text_cell("S22")}</row>'
    raw_workbook(yard.folder / "hulls.xlsx", rows, before=columns)
    yard.load()
    assert yard.remarks("hidden rows") == [(1, "hulls.xlsx (hulls): 1 hidden rows included")]
    assert "'model'" in yard.remarks("hidden columns")[0][1]


def test_b8_1_a_newer_workbook_under_the_old_name(yard: Yard) -> None:
    yard.workbook("hulls.xls", [["hull_serial", "model"], ["BT-1", "S22"]])
    for number, start in enumerate((b"\x28\xb5\x2f\xfd", b"BZh91AY", b"SQLite format 3\0"), 1):
        yard.write(f"{number}/hulls.csv", start + bytes(range(200)))
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    reasons = yard.left_out()
    assert "zstd" in reasons["1/hulls.csv"]
    assert "bzip2" in reasons["2/hulls.csv"]
    assert "SQLite" in reasons["3/hulls.csv"]
