"""Proposals: evidence, entries and open questions; nothing loads by them alone."""

import re
import tomllib

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from tests.intake.yard import Yard
from tracegraph.domain.errors import IntakeError
from tracegraph.intake import propose
from tracegraph.intake.mapping import IntakeSettings

CLAIMS = [
    ["Dealer desk: claims"],
    [],
    ["Claim No", "Boat", "Opened", "Complaint", "Total Cost", "Remarks", "Colour"],
    ["C1", "BT-1", "13/05/2025", "Blister", 120.5, "port side", "red"],
    ["C2", "BT-2", "02/06/2025", "Leak", 80, None, "red"],
]
SPRAY = (
    "Spray No,Part SN,Start,Gelcoat Lot,Drum,Air F,Wet Film\n"
    "S1,P1,05/13/2024 07:10,G-1,D1,77,20\nS2,P2,05/14/2024 07:10,G-1,D1,70,18\n"
)


def test_a_clear_workbook_is_proposed_whole(yard: Yard) -> None:
    yard.workbook("dealer desk 2025.xlsx", CLAIMS, sheet="May")
    yard.write("hulls.csv", "hull_serial,model\nBT-1,S22\n")
    text = propose(yard.folder)
    assert "'Colour'" in text.split("Not used:")[1].splitlines()[0]
    assert "such as 'C1', 'C2'" in text
    settings = IntakeSettings.model_validate(tomllib.loads(text))
    [rule] = settings.files
    assert (rule.match, rule.sheets, rule.dates) == ("dealer desk 2025.xlsx", ("May",), "day first")
    assert rule.tables[0].columns == {
        "claim_no": "Claim No",
        "hull_serial": "Boat",
        "opened_on": "Opened",
        "symptom": "Complaint",
        "cost": "Total Cost",
        "note": "Remarks",
    }
    yard.write("intake.toml", text)
    yard.load()
    assert yard.column("claims", "symptom") == ["blister", "leak"]
    assert propose(yard.folder).startswith("# Every file")


def test_a_wide_log_leaves_questions_open(yard: Yard) -> None:
    yard.write("spray_2023.csv", SPRAY)
    yard.write("spray_2024.csv", SPRAY + "S3,P3,05/15/2024 07:10,G-2,D1,71,19\n")
    text = propose(yard.folder)
    assert IntakeSettings.model_validate(tomllib.loads(text)).files == ()
    assert "# ? Nothing tells step" in text
    assert "# ? Nothing tells unit" in text
    answered = [
        re.sub(r"^# (?=\[\[|match|dates|table|columns|constants)", "", line)
        for line in text.splitlines()
    ]
    mended = "\n".join(answered).replace(
        'quantity = "wet_film"', 'quantity = "wet_film", unit = "mil"'
    )
    mended = re.sub(
        r"(columns = .*started_at.*)", r'\1\nconstants = { step = "gelcoat spray" }', mended
    )
    yard.write("intake.toml", mended)
    yard.load()
    assert yard.column("operations", "operation_id") == ["S1", "S2", "S3"]
    assert yard.rows("SELECT DISTINCT quantity, unit FROM readings ORDER BY ALL") == [
        ("ambient_temp", "degC"),
        ("wet_film", "um"),
    ]
    assert yard.rows("SELECT DISTINCT material, drum_no FROM usages") == [("gelcoat", "D1")]


def test_a_file_that_says_nothing_is_a_question(yard: Yard) -> None:
    yard.write("odd.csv", 'foo,"b""ar"\n1,2\n')
    text = propose(yard.folder)
    assert "# ? Which table do these rows fill" in text
    assert tomllib.loads(text) == {"time_zone": "UTC"}


def test_ambiguous_dates_are_a_question(yard: Yard) -> None:
    yard.write("claims of may.csv", "Claim,Hull,Opened,Symptom\nC1,BT-1,04/03/2026,leak\n")
    text = propose(yard.folder)
    assert '"day first" or "month first"' in text
    assert "dates" not in tomllib.loads(text)["files"][0]


def test_what_is_there_already_is_added_to(yard: Yard) -> None:
    yard.write("intake.toml", 'time_zone = "Europe/Berlin"\n')
    yard.write("claims of may.csv", "Claim,Hull,Opened,Symptom\nC1,BT-1,2026-03-04,leak\n")
    text = propose(yard.folder)
    assert "add this to it" in text
    assert "time_zone" not in tomllib.loads(text)


def test_a_folder_without_files_is_an_error(yard: Yard) -> None:
    with pytest.raises(IntakeError, match="it is empty"):
        propose(yard.folder)


def test_hostile_headers_stay_text(yard: Yard) -> None:
    yard.write(
        "claims x.csv", '"Claim","Hull""]","Opened\\","Symptom\n"\nC1,BT-1,2026-03-04,leak\n'
    )
    assert tomllib.loads(propose(yard.folder))


def test_a_list_of_names_is_not_proposed_for_loading(yard: Yard) -> None:
    yard.write("crew.csv", "Badge,Name,Crew\n17,Ann Example,A\n18,Bo Sample,B\n")
    yard.write("staff2.csv", "code,employee\n17,Ann Example\n18,Sample, Bo\n")
    yard.write("spray log.csv", SPRAY.replace("Drum,", "Sprayer,").replace("D1", "Ann Example"))
    text = propose(yard.folder)
    assert "Ann" not in text
    assert 'name_lists = ["crew.csv"]' in text
    assert "Does 'Sprayer' hold names of people?" in text
    settings = IntakeSettings.model_validate(tomllib.loads(text))
    assert [rule.match for rule in settings.files] in ([], ["spray log.csv"])
    yard.write("intake.toml", 'name_lists = ["crew.csv"]\n')
    assert "crew.csv: a list of names behind codes, by name_lists; left unread" in propose(
        yard.folder
    )


def test_names_of_things_are_proposed(yard: Yard) -> None:
    yard.write("hull list.csv", "Hull,Model Name,Completed\nBT-1,Sea Runner,2025-01-05\n")
    assert "'Model Name': text" in propose(yard.folder)
    assert "names of people" not in propose(yard.folder)


def test_damaged_files_and_odd_names_spoil_no_proposal(yard: Yard) -> None:
    table = pa.table({"a": [f"text {n}" * 9 for n in range(200)]})
    pq.write_table(table, yard.folder / "log.parquet")
    content = bytearray((yard.folder / "log.parquet").read_bytes())
    content[40:90] = bytes(50)
    yard.write("log.parquet", bytes(content))
    yard.write('odd\nname = "x".csv', "Spray No,Colour\nS1,red\n")
    yard.write("fine.csv", "Boat,Colour\nBT-1,red\n")
    yard.write("notes.docx", "x")
    text = propose(yard.folder)
    assert "# log.parquet: is a damaged Parquet file" in text
    assert "# notes.docx: not understood" in text
    assert '# odd name = "x".csv' in text
    assert "name" not in tomllib.loads(text)
