"""Kind G: keys and history."""

from datetime import date

import pytest

from tests.intake.yard import Yard
from tracegraph.analysis.ranking import rank
from tracegraph.analysis.records_state import records_state
from tracegraph.analysis.tracing import trace
from tracegraph.domain.definition import CaseDefinition
from tracegraph.exposure import build_exposure
from tracegraph.intake import finishing
from tracegraph.store import open_store

BUILDS = "operation_id,step,hull_serial,started_at\n"
STAMPED = """
[[files]]
match = "*claims*.csv"
[[files.tables]]
table = "claims"
columns = { claim_no = "claim", hull_serial = "hull", opened_on = "opened", symptom = "symptom" }
stamp = "changed"
"""
CLAIMS = "claim,hull,opened,symptom,changed\n"
OLD = (
    CLAIMS + "C1,BT-1,2026-01-05,leak,2026-01-05 10:00\nC2,BT-2,2026-01-05,leak,2026-01-05 10:00\n"
)
NEW = CLAIMS + "C1,BT-1,2026-01-05,blister,2026-02-01 09:00\n"


def build(day: int) -> str:
    return f"O{day},bond,BT-{day},2026-01-{day:02d} 07:00\n"


def test_g1_1_weeks_that_share_days(yard: Yard) -> None:
    yard.write("week1.csv", BUILDS + "".join(map(build, range(1, 8))))
    yard.write("week2.csv", BUILDS + "".join(map(build, range(6, 13))))
    yard.write(
        "intake.toml",
        """
[[files]]
match = "week*.csv"
[[files.tables]]
table = "operations"
[files.tables.columns]
operation_id = "operation_id"
step = "step"
hull_serial = "hull_serial"
started_at = "started_at"
""",
    )
    yard.load()
    assert len(yard.column("operations", "operation_id")) == 12
    assert yard.ledger("week2.csv").repeats == 2


def test_g1_2_the_same_folder_twice(yard: Yard) -> None:
    yard.load_files(operations__csv=BUILDS + build(1))
    version = yard.load().version
    assert not yard.load().changed
    assert yard.load().version == version


def test_g1_3_equal_lines_of_records_without_identity(yard: Yard) -> None:
    line = "O1,resin,R-1\n"
    yard.load_files(usages__csv="operation_id,material,lot_no\n" + line * 2)
    assert yard.column("usages", "lot_no") == ["R-1", "R-1"]
    assert yard.remarks("equal lines")[0][0] == 1


@pytest.mark.parametrize(
    "names", [("old claims.csv", "new claims.csv"), ("z claims.csv", "a claims.csv")]
)
def test_g2_1_the_later_stamp_is_in_force(yard: Yard, names: tuple[str, str]) -> None:
    yard.write("intake.toml", STAMPED)
    yard.write(names[0], OLD)
    yard.write(names[1], NEW)
    yard.load()
    assert yard.rows("SELECT claim_no, symptom FROM claims ORDER BY ALL") == [
        ("C1", "blister"),
        ("C2", "leak"),
    ]
    assert yard.rows("SELECT count(*) FROM set_aside") == [(0,)]
    [(stamp, content)] = yard.rows("SELECT CAST(stamp AS VARCHAR), content FROM history")
    assert stamp == "2026-01-05 10:00:00"
    assert '"symptom":"leak"' in content


def test_g2_2_without_stamp_a_contradiction(yard: Yard) -> None:
    header = "claim_no,hull_serial,opened_on,symptom\n"
    yard.write("a/claims.csv", header + "C1,BT-1,2026-01-05,leak\n")
    yard.write("b/claims.csv", header + "C1,BT-1,2026-01-05,blister\n")
    yard.load()
    [(_, reason)] = yard.reasons()
    assert "contradicts" in reason
    assert "stamp" in reason


def test_g2_3_the_older_export_loaded_after_the_newer(yard: Yard) -> None:
    yard.write("intake.toml", STAMPED)
    yard.load_files(claims__csv=NEW)
    yard.write("claims.csv", OLD)
    yard.load()
    assert yard.rows("SELECT claim_no, symptom FROM claims ORDER BY ALL") == [
        ("C1", "blister"),
        ("C2", "leak"),
    ]
    assert yard.rows("SELECT count(*) FROM history") == [(1,)]
    assert yard.ledger("claims.csv").loaded == 2


def test_g3_1_a_serial_given_twice(yard: Yard) -> None:
    yard.load_files(
        hulls__csv="hull_serial,model,completed_on\n"
        "BT-0007,S22,2018-05-04\nBT-0007,S26,2026-05-04\nBT-0008,S22,2018-05-05\n"
    )
    assert yard.column("hulls", "hull_serial") == ["BT-0007", "BT-0007", "BT-0008"]
    assert "BT-0007" in yard.remarks("serial used twice")[0][1]


def test_g3_1_claims_are_placed_by_date(yard: Yard) -> None:
    yard.load_files(
        hulls__csv="hull_serial,model,completed_on\nBT-0007,S22,2018-05-04\nBT-0007,S26,2026-05-04\n",
        claims__csv="claim_no,hull_serial,opened_on,symptom\n"
        "C1,BT-0007,2019-07-01,leak\nC2,BT-0007,2026-07-01,leak\nC3,BT-0007,,leak\n"
        "C4,BT-0007,2017-07-01,leak\n",
    )
    placed = yard.rows(
        "SELECT claim_no, model, reached_by FROM claim_index LEFT JOIN hull_index USING (hull_id) "
        "ORDER BY claim_no"
    )
    by_day = "serial and day"
    assert placed == [("C1", "S22", by_day), ("C2", "S26", by_day), ("C4", None, None)]
    [(row, reason)] = yard.reasons()  # without a day it is decided by nobody, and kept
    assert row == 4
    assert "opened_on" in reason


def test_g3_a_corrected_date_of_one_hull_is_no_second_hull(yard: Yard) -> None:
    header = "hull_serial,hin,model,completed_on\n"
    yard.write("a/hulls.csv", header + "BT-7,QZX00042C525,S22,2018-05-04\n")
    yard.write("b/hulls.csv", header + "BT-7,QZX00042C525,S22,2025-05-04\n")
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-7"]
    assert len(yard.reasons()) == 1


def test_g4_1_one_lot_number_of_two_suppliers(yard: Yard) -> None:
    yard.load_files(
        lots__csv="material,lot_no,supplier\nresin,Z-55,P\nresin,Z-55,Q\n",
        usages__csv="operation_id,material,lot_no\nO1,resin,Z-55\n",
    )
    assert yard.column("lots", "supplier") == ["P", "Q"]
    assert yard.column("usages", "lot_no") == ["Z-55"]
    assert "Z-55" in yard.remarks("one lot, two suppliers")[0][1]


def test_g4_1_the_mapping_tells_the_suppliers_apart(yard: Yard) -> None:
    yard.write(
        "intake.toml",
        """
[[lots_of_suppliers]]
material = "Resin"
lot_no = "z-55"
supplier = "Q"
first_day = 2026-01-02
last_day = 2026-01-31
""",
    )
    yard.load_files(
        lots__csv="material,lot_no,supplier\nresin,Z-55,P\nresin,Z-55,Q\n",
        operations__csv=BUILDS + build(1) + build(2),
        usages__csv="operation_id,material,lot_no\nO1,resin,Z-55\nO2,resin,Z-55\n",
    )
    assert yard.column("usages", "lot_no") == ["Z-55", "z-55 (Q)"]
    assert yard.rows("SELECT lot_no, supplier FROM lots ORDER BY ALL") == [
        ("Z-55", "P"),
        ("z-55 (Q)", "Q"),
    ]
    assert not yard.load().changed
    assert len(yard.cleaned("lot_no")) == 2


def test_g5_1_molds_renamed_by_the_mapping(yard: Yard) -> None:
    yard.write("intake.toml", '[[renamed_molds]]\nold = "M-3"\nnew = "M-3B"\non = 2025-06-01\n')
    yard.load_files(parts__csv="part_serial,part,job_no,mold_no\nP1,deck,J1,M-3\nP2,deck,J2,M-3B\n")
    assert yard.rows("SELECT DISTINCT mold_no FROM part_index") == [("M-3B",)]
    assert yard.column("parts", "mold_no") == ["M-3", "M-3B"]
    assert yard.rows('SELECT mold_no, CAST("at" AS DATE), note FROM mold_events') == [
        ("M-3", date(2025, 6, 1), "M-3B")
    ]
    yard.write("intake.toml", '[[renamed_molds]]\nold = "M-3"\nnew = "M-3C"\non = 2025-06-01\n')
    yard.load()
    assert yard.column("mold_events", "note") == ["M-3C"]
    assert not yard.load().changed


@pytest.mark.parametrize("merged", [True, False])
def test_g5_2_one_label_of_two_molds_is_told_apart_by_date(yard: Yard, merged: bool) -> None:
    parts = "part_serial,part,job_no,mold_no,pulled_at\n"
    events = "mold_no,at,event,note\n"
    if merged:
        yard.load_files(
            parts__csv=parts + "P1,deck,J1,M-1,2025-01-05 07:00\nP2,deck,J2,M-2,2025-01-05 08:00\n"
            "P3,deck,J3,M-9,2025-07-05 07:00\n",
            mold_events__csv=events
            + "M-1,2025-06-01 07:00,renamed,M-9\nM-2,2025-06-01 07:00,renamed,M-9\n",
        )
        expected = [("P1", "M-1"), ("P2", "M-2"), ("P3", "M-9")]
    else:
        yard.load_files(
            parts__csv=parts + "P1,deck,J1,M-3,2025-01-05 07:00\n"
            "P2,deck,J2,M-3B,2025-07-05 08:00\nP3,deck,J3,M-3,2025-08-05 07:00\n",
            mold_events__csv=events
            + "M-3,2025-06-01 07:00,renamed,M-3B\nM-3,2025-08-01 07:00,commissioned,\n",
        )
        expected = [("P1", "M-3B"), ("P2", "M-3B"), ("P3", "M-3")]
    assert yard.rows("SELECT part_serial, mold_no FROM part_index ORDER BY ALL") == expected


def test_g6_1_four_lists_of_orphans_with_counts(yard: Yard) -> None:
    yard.load_files(
        hulls__csv="hull_serial,model\nBT-1,S22\n",
        operations__csv=BUILDS + build(1),
        usages__csv="operation_id,material,lot_no\nO1,resin,R-1\nO1,resin,R-UNKNOWN\n",
        lots__csv="material,lot_no\nresin,R-1\nresin,R-NEVER\n",
        mold_events__csv="mold_no,at,event\nM-IDLE,2025-01-01 08:00,waxed\n",
        claims__csv="claim_no,hull_serial,opened_on,symptom\n"
        "C1,BT-1,2026-05-05,leak\nC2,ZZ-9,2026-05-05,leak\n",
    )
    with open_store(yard.directory.path) as store:
        links = records_state(store).links.set_index("link")
    for link, expected in (
        ("claim lines to hulls", (2, 1, 1, ["C2"])),
        ("written lots to lot records", (2, 1, 1, ["resin R-UNKNOWN"])),
        ("received lots to a use", (2, 1, 1, ["resin R-NEVER"])),
        ("molds with events to parts", (1, 0, 1, ["M-IDLE"])),
    ):
        row = links.loc[link]
        found = (row["records"], row["linked"], row["not_linked"], list(row["examples"]))
        assert found == expected, link


def test_g7_1_a_walk_round_a_loop_ends_and_shows_it(yard: Yard) -> None:
    yard.load_files(
        blends__csv="material,lot_no,parent_material,parent_lot_no,share\n"
        "resin,A,resin,B,0.5\nresin,B,resin,A,0.5\nresin,C,resin,C,0.2\n",
    )
    with open_store(yard.directory.path) as store:
        around, itself = trace(store, "A"), trace(store, "C")
    assert [len(loop.members) for loop in around.loops] == [2]
    assert [len(loop.members) for loop in itself.loops] == [1]


def test_g8_1_a_hull_counts_once_for_each_level(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(finishing, "build_exposure", build_exposure)
    hulls, steps, uses = range(1, 13), ["O", "P", "Q"], ["R-1", "R-2"]
    day = "2025-01-{:02d}"
    yard.load_files(
        hulls__csv="hull_serial,model,completed_on,in_service_on\n"
        + "".join(f"BT-{n},S22,{day.format(n)},{day.format(n + 10)}\n" for n in hulls),
        operations__csv="operation_id,step,hull_serial,operator,started_at\n"
        + "".join(
            f"{step}{n},laminate,BT-{n},{'W' + step if n == 1 else 'W'},{day.format(n)} 07:00\n"
            for n in hulls
            for step in steps
        ),
        usages__csv="operation_id,material,lot_no\n"
        + "".join(
            f"{step}{n},resin,{lot if n == 1 else 'R-3'}\n"
            for n in hulls
            for step in steps
            for lot in uses
        ),
        claims__csv="claim_no,hull_serial,opened_on,symptom\n"
        "C1,BT-1,2025-06-05,leak\nC2,BT-1,2025-06-06,leak\nC3,BT-2,2026-05-05,other\n",
    )
    with open_store(yard.directory.path) as store:
        found = rank(
            store,
            CaseDefinition(symptoms=("leak",)),
            order="fisher",
            people_reason="a test of counting",
        ).frame.set_index(["family", "level"])
    for family, levels in (
        ("hull: laminate: resin lot", uses),
        ("hull: laminate: operator", ["WO", "WP", "WQ"]),
    ):
        for level in levels:
            row = found.loc[(family, level)]
            assert (row["affected_exposed"], row["exposed"]) == (1, 1), level
            assert row["affected_unexposed"] == 0


def test_g9_1_blank_keys_link_nothing(yard: Yard) -> None:
    yard.load_files(
        parts__csv="part_serial,part,hull_serial,job_no\nP1,deck,,J1\n",
        hulls__csv="hull_serial,job_no,model\nBT-1,,S22\n",
        claims__csv="claim_no,hull_serial,opened_on,symptom\nC1,,2026-01-05,leak\n",
    )
    assert yard.rows("SELECT hull_id FROM part_index") == [(None,)]
    assert yard.column("claims", "claim_no") == []
    assert len(yard.reasons()) == 1


def test_a_contradiction_is_kept_as_the_whole_row_of_its_file(yard: Yard) -> None:
    yard.write(
        "intake.toml",
        """
[[files]]
match = "*.csv"
[[files.tables]]
table = "hulls"
columns = { hull_serial = "Hull", model = "Model", dealer = "Dealer" }
""",
    )
    yard.write("a.csv", "Hull,Model,Dealer,Colour\nBT-1,S22,,red\n")
    yard.write("b.csv", "Hull,Model,Dealer,Colour\nBT-1,S22,D-1,blue\n")
    yard.load()
    assert yard.rows("SELECT raw FROM set_aside") == [
        ('{"Hull":"BT-1","Model":"S22","Dealer":null,"Colour":"red"}',)
    ]


def test_a_wide_log_that_contradicts_itself_about_a_part(yard: Yard) -> None:
    yard.write(
        "intake.toml",
        """
[[files]]
match = "log.csv"
[[files.tables]]
table = "operations"
columns = { operation_id = "op", part_serial = "part", started_at = "start" }
constants = { step = "spray" }
[[files.tables]]
table = "parts"
columns = { part_serial = "part", job_no = "job" }
constants = { part = "deck" }
""",
    )
    yard.load_files(
        log__csv="op,part,start,job\nO1,P1,2026-01-05 07:00,J1\nO2,P1,2026-01-05 08:00,J2\n"
    )
    assert yard.ledger("log.csv").loaded == 2
    assert yard.column("parts", "job_no") == ["J1"]
    [(raw, rule)] = yard.rows("SELECT raw, rule FROM cleaned_values WHERE table_name = 'parts'")
    assert '"job_no":"J2"' in raw
    assert "contradicts log.csv row 2" in rule


def test_g3_1_work_on_a_serial_given_twice_is_placed_by_its_day(yard: Yard) -> None:
    yard.load_files(
        hulls__csv="hull_serial,job_no,model,completed_on\n"
        "BT-7,J1,S22,2018-05-01\nBT-7,J9,S22,2026-05-01\n",
        parts__csv="part_serial,part,hull_serial,job_no,pulled_at\n"
        "P1,deck,BT-7,,2018-04-02\nP2,deck,BT-7,,2026-04-02\nP3,deck,BT-7,,\n"
        "P4,deck,BT-7,,2022-01-01\nP5,deck,BT-7,J1,2026-04-02\nP6,deck,BT-7,,\n",
        operations__csv="operation_id,step,hull_serial,part_serial,started_at\n"
        "O1,bond,BT-7,,2018-04-20\nO2,bond,BT-7,,2026-05-20\nO3,bond,BT-7,,2022-01-01\n"
        "O4,spray,,P6,2026-04-01\n",
        components__csv="hull_serial,component,serial_no,fitted_at\n"
        "BT-7,pump,S1,2018-04-25\nBT-7,pump,S2,\n",
        inspections__csv="inspection_id,hull_serial,part_serial,checkpoint,at,result\n"
        "I1,BT-7,,leak,2018-04-28,pass\nI2,BT-7,,leak,2026-04-28,fail\nI3,,P2,leak,2026-04-28,fail\n",
        readings__csv="operation_id,quantity,value,unit\nO2,wet_film,500,um\n",
    )
    placed = {
        table: dict(yard.rows(f"SELECT {name}, hull_id FROM {table}"))
        for table, name in (
            ("part_index", "part_serial"),
            ("operation_index", "operation_id"),
            ("component_index", "serial_no"),
            ("inspection_index", "inspection_id"),
        )
    }
    assert placed["part_index"] == {"P1": 1, "P2": 2, "P3": None, "P4": None, "P5": 1, "P6": 2}
    assert placed["operation_index"] == {"O1": 1, "O2": 2, "O3": None, "O4": 2}
    assert placed["component_index"] == {"S1": 1, "S2": None}
    assert placed["inspection_index"] == {"I1": 1, "I2": 2, "I3": 2}
    said = yard.remarks("undecided by day")
    assert [affected for affected, _ in said] == [1, 1, 2]
    assert not yard.load().changed
    yard.load_files(lots__csv="material,lot_no\nresin,R-1\n")
    assert yard.remarks("undecided by day") == said


@pytest.mark.parametrize(
    ("day", "hull"),
    [
        ("2024-01-05", 1),
        ("2024-06-20", 1),
        ("2024-10-01", None),
        ("2025-03-01", 2),
        ("2025-06-05", 2),
    ],
)
def test_g3_1_a_day_that_fits_two_hulls_fits_neither(
    yard: Yard, day: str, hull: int | None
) -> None:
    yard.load_files(
        hulls__csv="hull_serial,job_no,model,completed_on\n"
        "BT-7,J1,S22,2024-01-01\nBT-7,J9,S22,2025-06-30\n",
        operations__csv=f"operation_id,step,hull_serial,started_at\nO1,bond,BT-7,{day}\n",
    )
    assert yard.rows("SELECT hull_id FROM operation_index") == [(hull,)]


def test_g5_2_a_number_given_again_without_a_renaming_is_said(yard: Yard) -> None:
    yard.load_files(
        parts__csv="part_serial,part,job_no,mold_no,pulled_at,pull_no\n"
        "P1,deck,J1,M-3,2025-01-05 07:00,213\nP2,deck,J2,M-3,2025-01-06 07:00,214\n"
        "P3,deck,J3,M-3,2025-02-05 07:00,1\nP4,deck,J4,M-5,2025-02-05 07:00,7\n"
        "P5,deck,J5,M-5,2025-02-06 07:00,6\n"
    )
    [(_, text)] = yard.remarks("one mold number, two molds")
    assert "M-3 counts its pulls back from 214 to 1" in text
    assert yard.rows("SELECT DISTINCT mold_no FROM part_index ORDER BY 1") == [("M-3",), ("M-5",)]
    yard.load_files(
        mold_events__csv="mold_no,at,event,pull_no\nM-3,2023-01-01 07:00,commissioned,0\n"
        "M-3,2025-02-01 07:00,commissioned,\nM-5,2024-02-01 07:00,commissioned,0\n"
        "M-5,2025-02-01 07:00,commissioned,5\n"
    )
    assert yard.rows("SELECT part_serial, mold_no FROM part_index ORDER BY 1")[:4] == [
        ("P1", "M-3 (until 2025-02-01)"),
        ("P2", "M-3 (until 2025-02-01)"),
        ("P3", "M-3"),
        ("P4", "M-5"),
    ]
    assert "commissioned 2 times" in yard.remarks("one mold number, two molds")[0][1]


Z_55 = "material,lot_no,supplier,received_on\nresin,Z-55,P,2026-01-01\nresin,Z-55,Q,2026-01-10\n"
USED = "operation_id,material,lot_no\nO2,resin,Z-55\nO20,resin,Z-55\nO21,resin,R-1\n"
WITH_PUMPS = {
    "hulls.csv": "hull_serial,model,completed_on\n"
    + "".join(f"BT-{day},S22,2026-01-{day:02d}\n" for day in (2, 20, 21)),
    "operations.csv": BUILDS + build(2) + build(20) + build(21),
    "components.csv": "hull_serial,component,lot_no,supplier\nBT-2,pump,K-1,P\n"
    "BT-20,pump,K-1,Q\nBT-21,pump,K-1,\n",
}


@pytest.mark.parametrize("pieces", [[Z_55 + "|" + USED], [USED, Z_55], [Z_55, USED]])
def test_g4_1_two_levels_and_what_cannot_be_told_is_undecided(
    yard: Yard, monkeypatch: pytest.MonkeyPatch, pieces: list[str]
) -> None:
    """On the second only P's lot was in stock, on the twentieth both were."""
    monkeypatch.setattr(finishing, "build_exposure", build_exposure)
    for name, content in WITH_PUMPS.items():
        yard.write(name, content)
    for piece in pieces:
        for content in piece.split("|"):
            yard.write("lots.csv" if "supplier" in content else "usages.csv", content)
        yard.load()
    assert yard.rows("SELECT lot_no, supplier FROM lots ORDER BY ALL") == [
        ("Z-55 (P)", "P"),
        ("Z-55 (Q)", "Q"),
    ]
    assert yard.rows(
        "SELECT family, level, hull_serial FROM exposure JOIN hull_index USING (hull_id) "
        "JOIN families USING (family_id) LEFT JOIN levels USING (level_id) "
        "WHERE family SIMILAR TO 'hull: (bond: resin (lot|supplier)|pump: lot)' "
        "ORDER BY family, hull_id"
    ) == [
        ("hull: bond: resin lot", "Z-55 (P)", "BT-2"),
        ("hull: bond: resin lot", None, "BT-20"),
        ("hull: bond: resin lot", "R-1", "BT-21"),
        ("hull: bond: resin supplier", "P", "BT-2"),
        ("hull: bond: resin supplier", None, "BT-20"),
        ("hull: bond: resin supplier", None, "BT-21"),
        ("hull: pump: lot", "K-1 (P)", "BT-2"),
        ("hull: pump: lot", "K-1 (Q)", "BT-20"),
        ("hull: pump: lot", None, "BT-21"),
    ]
    [(count, text)] = yard.remarks("one lot, two suppliers")
    assert count == 2
    assert "2 uses that do not tell" in text
    assert yard.column("usages", "lot_no") == ["Z-55 (P)", "Z-55", "R-1"]  # one row each


def test_g3_1_checks_of_a_hull_are_found_by_its_number_and_day(yard: Yard) -> None:
    yard.load_files(
        hulls__csv="hull_serial,model,completed_on\nBT-7,S22,2018-05-04\nBT-7,S26,2026-05-04\n"
        "BT-8,S22,2018-05-04\n",
        inspections__csv="inspection_id,hull_serial,checkpoint,at,result\n"
        "I1,BT-7,water,2018-05-05,pass\nI2,BT-7,water,2022-05-05,fail\nI3,BT-8,water,2022-05-05,fail\n",
        claims__csv="claim_no,hull_serial,opened_on,symptom\nC1,BT-7,2026-07-01,leak\n",
    )
    with open_store(yard.directory.path) as store:
        found = store.frame("trace/inspections", {"parts": [], "hulls": ["BT-7", "BT-8"]})
    assert [*found["inspection_id"]] == ["I1", "I3"]  # I2 was made on neither BT-7
