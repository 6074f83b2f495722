"""The clean road: every table, every form, the ledger, and loads that add up."""

import gzip
from datetime import date, datetime
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
import xlsxwriter

from tests.intake.yard import Yard
from tracegraph.domain.errors import IntakeError, MappingError
from tracegraph.domain.records import TABLES
from tracegraph.intake import load_folder
from tracegraph.store import StoreDirectory

CLEAN = {
    "hulls": "hull_serial,job_no,hin,model,options,completed_on,shipped_on,in_service_on,exit_on,"
    "dealer,place\nBT-1,J-1,QZX00042C525,S22,tabs,2025-03-01,2025-03-04,2025-05-01,,D-1,owner\n",
    "parts": "part_serial,part,hull_serial,job_no,mold_no,pull_no,pulled_at\n"
    "P-1,deck,BT-1,J-1,M-3,12,2025-02-03 07:10\n",
    "operations": "operation_id,step,part_serial,station,operator,started_at,finished_at,attempt\n"
    "OP-1,gelcoat spray,P-1,Booth 1,SP-01,2025-02-01 07:10,2025-02-01 07:40,1\n",
    "usages": "operation_id,material,lot_no,drum_no,quantity,unit\nOP-1,gelcoat,G-1,D1,10,kg\n",
    "readings": "operation_id,quantity,value,unit\nOP-1,ambient_temp,77,degF\n",
    "ambient": "station,at,quantity,value,unit\nBooth 1,2025-02-01 07:00,ambient_temp,21.5,degC\n",
    "lots": "material,lot_no,supplier,received_on,received_qty,unit\n"
    "gelcoat,G-1,V-1,2025-01-01,400,lb\n",
    "blends": "material,lot_no,parent_material,parent_lot_no,share\nresin,B-1,resin,R-1,0.5\n",
    "mold_events": "mold_no,at,event,pull_no,note\nM-3,2025-01-01 06:00,waxed,11,\n",
    "components": "hull_serial,component,serial_no,supplier,lot_no,fitted_at,fitted_by\n"
    "BT-1,bilge pump,S1,V-2,L-1,2025-02-20 10:00,RG-1\n",
    "inspections": "inspection_id,part_serial,checkpoint,at,result,value,unit\n"
    "I-1,P-1,fuel pressure,2025-02-21 10:00,pass,3,psi\n",
    "claims": "claim_no,line_no,hull_serial,opened_on,symptom,certainty,solicited,cost\n"
    "C-1,1,BT-1,2025-09-01,blister,confirmed,no,120.50\n",
}


def write_clean(yard: Yard) -> None:
    for name, text in CLEAN.items():
        yard.write(f"{name}.csv", text)


def test_each_table_loads_without_a_mapping(yard: Yard) -> None:
    write_clean(yard)
    report = yard.load()
    assert {file.name: (file.seen, file.loaded) for file in report.files} == {
        f"{name}.csv": (1, 1) for name in CLEAN
    }
    assert {table.name for table in TABLES} == set(CLEAN)
    assert report.changed
    assert yard.records("readings") == [("OP-1", "ambient_temp", 25.0, "degC")]
    assert yard.records("usages") == [("OP-1", "gelcoat", "G-1", "D1", 10.0, "kg")]
    assert yard.column("lots", "received_qty") == [pytest.approx(400 * 0.45359237)]
    assert yard.column("inspections", "value") == [pytest.approx(3 * 6.894757)]
    assert yard.column("operations", "started_at") == [datetime(2025, 2, 1, 7, 10)]
    assert yard.column("claims", "solicited") == [False]
    assert yard.rows("SELECT count(*) FROM hull_index") == [(1,)]
    assert yard.rows("SELECT value FROM meta WHERE key = 'time_zone'") == [("UTC",)]


def test_the_source_row_is_the_physical_line(yard: Yard) -> None:
    yard.load_files(claims__csv=CLEAN["claims"] + "C-2,1,BT-1,2025-09-02,leak,,,\n")
    yard.write(
        "more/claims.csv",
        "claim_no,hull_serial,opened_on,symptom,note\n"
        'C-3,BT-1,2025-09-03,leak,"two\nlines"\n\nC-4,BT-1,2025-09-04,leak,\n',
    )
    yard.load()
    assert yard.rows("SELECT claim_no, source_row FROM claims ORDER BY ALL") == [
        ("C-1", 2),
        ("C-2", 3),
        ("C-3", 2),
        ("C-4", 5),
    ]


def test_tsv_gzip_xlsx_and_parquet(yard: Yard) -> None:
    yard.write("lots.tsv", "material\tlot_no\ngelcoat\t0042\n")
    yard.write("usages.csv.gz", gzip.compress(CLEAN["usages"].encode()))
    book = xlsxwriter.Workbook(yard.folder / "hulls.xlsx")
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["hull_serial", "model", "completed_on"])
    sheet.write_row(1, 0, [981, "S22"])
    sheet.write_datetime(1, 2, datetime(2025, 3, 1), book.add_format({"num_format": "yyyy-mm-dd"}))
    book.close()
    table = pa.table(
        {
            "part_serial": [7, 8],
            "part": ["deck", "deck"],
            "job_no": ["1", "2"],
            "pulled_at": [datetime(2025, 1, 1, 6), None],
        }
    )
    pq.write_table(table, yard.folder / "parts.parquet")
    yard.load()
    assert yard.column("lots", "lot_no") == ["0042"]
    assert yard.column("usages", "lot_no") == ["G-1"]
    assert yard.rows("SELECT hull_serial, completed_on FROM hulls") == [("981", date(2025, 3, 1))]
    assert yard.rows("SELECT part_serial, pulled_at, source_row FROM parts ORDER BY ALL") == [
        ("7", datetime(2025, 1, 1, 6), 1),
        ("8", None, 2),
    ]


WIDE = """
[[files]]
match = "spray_*.csv"
dates = "month first"
[[files.tables]]
table = "operations"
columns = { operation_id = "Spray No", part_serial = "Part SN", started_at = "Start" }
constants = { step = "gelcoat spray" }
[[files.tables]]
table = "parts"
columns = { part_serial = "Part SN", job_no = "Job", mold_no = "Mold" }
constants = { part = "deck" }
[[files.tables]]
table = "usages"
columns = { operation_id = "Spray No", lot_no = "Lot" }
constants = { material = "gelcoat" }
[[files.tables]]
table = "readings"
columns = { operation_id = "Spray No", value = "Air F" }
constants = { quantity = "ambient_temp", unit = "degF" }
"""
WIDE_HEADER = "Spray No,Part SN,Job,Mold,Start,Lot,Air F\n"


def test_one_wide_row_fills_several_tables(yard: Yard) -> None:
    yard.write("intake.toml", WIDE)
    yard.write(
        "spray_2025.csv",
        WIDE_HEADER
        + "S1,P1,J1,M1,3/5/2025 7:10,G-1,77\n"
        + "S2,P1,J1,M1,03/05/2025 08:10,,\n"  # no reading, lot not written down
        + "S3,P1,J1,M1,soon,G-1,77\n"  # no start: the whole row is set aside
        + "S4,P2,J1,M1,03/06/2025 08:10,G-1,hot\n",
    )  # the reading alone is lost
    yard.load()
    assert yard.ledger("spray_2025.csv").set_aside == 1
    assert yard.ledger("spray_2025.csv").loaded == 3
    assert yard.column("operations", "started_at")[0] == datetime(2025, 3, 5, 7, 10)
    assert yard.column("parts", "part_serial") == ["P1", "P2"]
    assert yard.column("usages", "lot_no") == ["G-1", None, "G-1"]
    assert yard.column("readings", "value") == [25.0]
    assert yard.rows("SELECT source_row, column_name, value FROM set_aside") == [
        (4, "Start", "soon")
    ]
    assert yard.rows("SELECT source_row, raw FROM cleaned_values WHERE column_name = 'value'") == [
        (5, "hot")
    ]


def test_a_set_aside_row_is_kept_whole_with_its_reason(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,model,Colour\nBT-1,S22,red\n,S22,blue\n")
    [(row, column, reason, raw)] = yard.rows(
        "SELECT source_row, column_name, reason, raw FROM set_aside"
    )
    assert (row, column) == (3, "hull_serial")
    assert "required" in reason
    assert raw == '{"hull_serial":null,"model":"S22","Colour":"blue"}'


def test_either_of_several_numbers_is_enough(yard: Yard) -> None:
    yard.load_files(parts__csv="part_serial,part,hull_serial,job_no\nP1,deck,,J1\nP2,deck,,\n")
    assert yard.column("parts", "part_serial") == ["P1"]
    [(reason,)] = yard.rows("SELECT reason FROM set_aside")
    assert "hull_serial or job_no" in reason


def test_unknown_files_are_named_and_never_guessed(yard: Yard) -> None:
    yard.write("weekly dump.csv", CLEAN["hulls"])
    yard.load_files(hulls__csv="hull_serial,model\nBT-9,S22\n")
    assert yard.column("hulls", "hull_serial") == ["BT-9"]
    assert "not understood" in yard.left_out()["weekly dump.csv"]


def test_a_bad_file_does_not_stop_the_folder(yard: Yard) -> None:
    yard.write("claims.xlsx", b"this is no workbook")
    yard.write("lots.csv", "material,supplier\ngelcoat,V-1\n")
    yard.load_files(hulls__csv=CLEAN["hulls"])
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    assert "workbook" in yard.left_out()["claims.xlsx"]
    assert "lot_no" in yard.left_out()["lots.csv"]


@pytest.mark.parametrize("name", ["nowhere", "file.txt", "empty", "litter"])
def test_folders_without_records(tmp_path: Path, name: str) -> None:
    (tmp_path / "file.txt").write_text("x")
    (tmp_path / "empty").mkdir()
    (tmp_path / "litter").mkdir()
    (tmp_path / "litter" / "notes.docx").write_text("x")
    with pytest.raises(IntakeError, match="Name the folder"):
        load_folder(tmp_path / name, StoreDirectory(tmp_path / "store"))


def test_a_folder_of_unknown_files_is_an_error(yard: Yard) -> None:
    yard.write("export.csv", "a,b\n1,2\n")
    with pytest.raises(IntakeError, match=r"export\.csv.*intake\.toml"):
        yard.load()
    assert yard.directory.current() is None


@pytest.mark.parametrize(
    ("toml", "message"),
    [
        ('time_zone = "Mars"', "time zone"),
        ('dates = "american"', "'year first', 'month first' or 'day first'"),
        ('[[files]]\nmatch = "x"\ntables = [{ table = "boats" }]', "'boats' is not a table"),
        (
            '[[files]]\nmatch = "x"\ntables = [{ table = "hulls", columns = { name = "A" } }]',
            "'name'",
        ),
        ('[[files]]\nmatch = "x"\ntables = [{ table = "hulls" }]', "'hull_serial' is required"),
        ('[[files]]\nmatch = "x"\ndatez = 1\ntables = []', "datez: no such key; choose of .*match"),
        ("time_zone = ", "TOML"),
    ],
)
def test_a_wrong_mapping_names_the_key_and_the_choices(yard: Yard, toml: str, message: str) -> None:
    yard.write("intake.toml", toml)
    yard.write("hulls.csv", CLEAN["hulls"])
    with pytest.raises(MappingError, match=message):
        yard.load()


def test_loading_again_changes_nothing(yard: Yard) -> None:
    write_clean(yard)
    first = yard.load()
    build = yard.directory.current()
    second = yard.load()
    assert not second.changed
    assert second.version == first.version
    assert yard.directory.current() == build
    assert all(file.repeats == file.seen == 1 for file in second.files)


def test_an_unreadable_file_does_not_make_a_load_new(yard: Yard) -> None:
    write_clean(yard)
    yard.write("export.csv", "a,b\n1,2\n")
    yard.load()
    assert not yard.load().changed
    assert "export.csv" in yard.left_out()


def test_a_fresh_load_forgets_the_earlier_records(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,model\nBT-1,S22\n")
    yard.load_files(hulls__csv="hull_serial,model\nBT-2,S22\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"]
    yard.load(fresh=True)
    assert yard.column("hulls", "hull_serial") == ["BT-2"]


def test_another_reading_of_known_bytes_replaces_the_first(yard: Yard) -> None:
    yard.load_files(
        hulls__csv="hull_serial,model,shipped_on\nBT-1,S22,2025-03-04\nBT-2,S22,04/03/2025\n"
    )
    assert yard.column("hulls", "shipped_on") == [date(2025, 3, 4), None]
    yard.write("intake.toml", 'dates = "day first"')
    report = yard.load()
    assert report.changed
    assert yard.column("hulls", "shipped_on") == [date(2025, 3, 4), date(2025, 3, 4)]
    assert yard.rows("SELECT count(*) FROM sources") == [(1,)]


def test_a_store_holds_the_records_of_one_plant(yard: Yard) -> None:
    write_clean(yard)
    yard.write("intake.toml", 'plant = "north"\n')
    first = yard.load()
    assert yard.rows("SELECT hull_serial, plant FROM hull_index") == [("BT-1", "north")]
    again = yard.load()
    assert not again.changed
    yard.write("intake.toml", 'plant = "south"\n')
    with pytest.raises(IntakeError, match="plant north; these are of plant south"):
        yard.load()
    assert yard.rows("SELECT value FROM meta WHERE key = 'data_version'") == [(first.version,)]


def test_naming_the_plant_afterwards_is_new_although_no_row_is(yard: Yard) -> None:
    write_clean(yard)
    before = yard.load()
    yard.write("intake.toml", 'plant = "north"\n')
    after = yard.load()
    assert after.changed
    assert after.version != before.version
    assert yard.rows("SELECT DISTINCT plant FROM hull_index") == [("north",)]


def test_a_plant_named_like_a_kind_of_thing_is_refused(yard: Yard) -> None:
    write_clean(yard)
    yard.write("intake.toml", 'plant = "mold"\n')
    with pytest.raises(MappingError, match="cannot be named 'mold'"):
        yard.load()
