"""Kind I: hostile content."""

import csv
import io
import zipfile
from pathlib import Path

import pytest

from tests.intake.cases.test_b_workbooks import rewrite
from tests.intake.raw_xlsx import raw_workbook, text_cell
from tests.intake.yard import Yard
from tracegraph.domain.errors import MappingError
from tracegraph.intake import export_set_aside
from tracegraph.store import open_store

HULLS = "hull_serial,model\n"
FORMULAS = ["=2+5", "+4912345", "@x", "\t=1"]


def export(yard: Yard, folder: Path) -> list[Path]:
    with open_store(yard.directory.path) as store:
        return export_set_aside(store, folder)


def test_i1_1_formulas_stay_text_and_are_neutral_in_exports(yard: Yard, tmp_path: Path) -> None:
    rows = [f"{text},\n" for text in FORMULAS]
    yard.load_files(
        hulls__csv='hull_serial,model,"=cmd()"\n'
        + ",S22,x\n"
        + "".join(f"{row.rstrip()},y\n" for row in rows)
        + "=2+5,S22,z\n"
    )
    assert yard.column("hulls", "hull_serial") == ["=2+5"]
    [path] = export(yard, tmp_path / "out")
    with path.open(encoding="utf-8-sig", newline="") as file:
        held = list(csv.reader(file))
    cells = [cell for row in held[1:] for cell in row]
    assert not any(cell.startswith(("=", "+", "@", "\t")) for cell in cells)
    assert "'=2+5" in cells


def test_i1_1_a_neutralised_cell_reads_as_it_was(yard: Yard) -> None:
    yard.load_files(hulls__csv=HULLS + "'=2+5,S22\n'@x,S22\n")
    assert yard.column("hulls", "hull_serial") == ["=2+5", "@x"]


def test_i1_2_a_negative_number_stays_a_number(yard: Yard, tmp_path: Path) -> None:
    header = "operation_id,quantity,value,unit\n"
    yard.load_files(readings__csv=header + "O1,mold_temp,-4.2,degC\n,mold_temp,-4.2,degC\n")
    assert yard.column("readings", "value") == [-4.2]
    [path] = export(yard, tmp_path / "out")
    assert ",-4.2," in path.read_text(encoding="utf-8-sig")


def test_i2_1_markup_is_kept_as_it_stands(yard: Yard) -> None:
    marks = ["<script>alert(1)</script>", "**b**", "$x$", ":blue[x]", "](javascript:x)"]
    rows = "".join(f"C{n},BT-1,2026-01-05,{mark},{mark}\n" for n, mark in enumerate(marks))
    yard.load_files(claims__csv="claim_no,hull_serial,opened_on,symptom,note\n" + rows)
    assert yard.column("claims", "note") == marks
    assert yard.column("claims", "symptom") == [mark.lower() for mark in marks]


@pytest.mark.parametrize("pattern", ["../x.csv", "/etc/x.csv", "C:\\\\x.csv", "a/../../x.csv"])
def test_i3_1_a_mapping_cannot_lead_out_of_the_folder(yard: Yard, pattern: str) -> None:
    yard.write(
        "intake.toml",
        f'[[files]]\nmatch = "{pattern}"\n[[files.tables]]\ntable = "hulls"\n'
        'columns = { hull_serial = "a", model = "b" }\n',
    )
    yard.write("hulls.csv", HULLS + "BT-1,S22\n")
    with pytest.raises(MappingError, match="leads out of the folder"):
        yard.load()


def test_i3_1_links_out_of_the_folder_are_refused(yard: Yard, tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "lots.csv").write_text("material,lot_no\ngelcoat,G-1\n")
    (yard.folder / "lots.csv").symlink_to(outside / "lots.csv")
    (yard.folder / "more").symlink_to(outside)
    yard.load_files(hulls__csv=HULLS + "BT-1,S22\n")
    assert yard.column("lots", "lot_no") == []
    assert "refused" in yard.left_out()["lots.csv"]
    assert "refused" in yard.left_out()["more"]


def test_i3_2_archives_are_not_unpacked(yard: Yard) -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("../lots.csv", "material,lot_no\ngelcoat,G-1\n")
    yard.write("records.zip", buffer.getvalue())
    yard.load_files(hulls__csv=HULLS + "BT-1,S22\n")
    assert "not understood" in yard.left_out()["records.zip"]
    assert not (yard.folder.parent / "lots.csv").exists()


def test_i4_1_a_workbook_that_unpacks_without_end(yard: Yard) -> None:
    yard.workbook("hulls.xlsx", [["hull_serial", "model"], ["BT-1", "S22"]])
    with zipfile.ZipFile(yard.folder / "hulls.xlsx", "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/more.xml", bytes(500 * 2**20))
    yard.load_files(lots__csv="material,lot_no\ngelcoat,G-1\n")
    assert "limit of 100 times" in yard.left_out()["hulls.xlsx"]


SHEET = "xl/worksheets/sheet1.xml"


@pytest.mark.parametrize(
    ("old", "new", "reason"),
    [
        ('r="A2"', 'r="ZZZZZZ2"', "ZZZZZZ2 lies outside"),
        ('r="A2"', 'r="XFE2"', "XFE2 lies outside"),
        ('<row r="2"', '<row r="1048577"', "lies outside"),
        ('<row r="2"', '<row r="two"', "damaged"),
        ("<worksheet", '<!DOCTYPE x [<!ENTITY a "b">]><worksheet', "declares entities"),
        (
            "</sheetData>",
            '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>',
            "reaches to row 1048576",
        ),
    ],
)
def test_i4_1_cells_and_entities_that_no_sheet_has(
    yard: Yard, old: str, new: str, reason: str
) -> None:
    yard.workbook("hulls.xlsx", [["hull_serial", "model"], ["BT-1", "S22"]])
    rewrite(yard.folder / "hulls.xlsx", SHEET, {old: new})
    yard.load_files(lots__csv="material,lot_no\ngelcoat,G-1\n")
    assert any(reason in text for text in yard.left_out().values()), yard.left_out()


def test_i5_1_names_that_look_like_sql(yard: Yard) -> None:
    yard.write(
        "intake.toml",
        """
[[files]]
match = "it's*.csv"
[[files.tables]]
table = "hulls"
columns = { hull_serial = 'a"b', model = "group", dealer = "'; DROP TABLE hulls; --" }
""",
    )
    yard.write(
        "it's.csv", '"a""b",group,\'; DROP TABLE hulls; --\nBT-1,S22,\'; DROP TABLE hulls; --\n'
    )
    yard.load()
    assert yard.rows("SELECT hull_serial, model, dealer FROM hulls") == [
        ("BT-1", "S22", "'; DROP TABLE hulls; --")
    ]


@pytest.mark.parametrize("name", ["a*b", "a?b", "a[1]b", "{a,b}", "$x", "%s"])
def test_i5_1_marks_of_patterns_in_file_names(yard: Yard, name: str) -> None:
    yard.write(f"{name}/hulls.csv", HULLS + "BT-1,S22\n")
    yard.write("a1b/hulls.csv", HULLS + "BT-2,S22\n")
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"] or yard.column(
        "hulls", "hull_serial"
    ) == ["BT-2", "BT-1"]
    assert yard.ledger(f"{name}/hulls.csv").loaded == 1


def test_a_gzip_file_that_unpacks_without_end(yard: Yard) -> None:
    import gzip

    yard.write("hulls.csv.gz", gzip.compress(bytes(300 * 2**20)))
    yard.load_files(lots__csv="material,lot_no\ngelcoat,G-1\n")
    assert "limit" in yard.left_out()["hulls.csv.gz"]


def test_i4_1_more_that_no_sheet_or_table_has(yard: Yard) -> None:
    """A block merged over a million rows, rows below nothing, more columns than any sheet."""
    header = f"<row>{text_cell('hull_serial')}{text_cell('model')}</row>"
    hull = f"<row>{text_cell('BT-1')}{text_cell('S22')}</row>"
    raw_workbook(
        yard.folder / "a/hulls.xlsx",
        f"{header}{hull}</sheetData>"
        '<mergeCells><mergeCell ref="A2:A1048576"/><mergeCell ref="zz"/></mergeCells><sheetData>',
    )
    raw_workbook(yard.folder / "b/hulls.xlsx", f'<row r="-5">{text_cell("x", "A1")}</row>')
    raw_workbook(yard.folder / "c/hulls.xlsx", f"{header}<row><c><v>1e400</v></c></row>")
    yard.write("d/hulls.csv", "," * 20_000 + "\n")
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    reasons = yard.left_out()
    assert "outside a worksheet" in reasons["b/hulls.xlsx"]
    assert "20001 columns" in reasons["d/hulls.csv"]
    assert "#NUM!" in yard.reasons()[0][1]
