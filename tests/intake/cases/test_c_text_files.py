"""Kind C: text files as exports write them."""

from datetime import date

import pytest

from tests.intake.yard import Yard

HULLS = "hull_serial,model\n"
CLAIMS = "claim_no,hull_serial,opened_on,symptom,note\n"


def claim(number: int, note: str) -> str:
    return f"C{number},BT-1,2026-01-{number:02d},leak,{note}\n"


def test_c1_1_windows_western_bytes(yard: Yard) -> None:
    text = CLAIMS + claim(1, "tie coat \u2013 2nd") + claim(2, "24 \u00b0C")
    yard.load_files(claims__csv=text.encode("cp1252"))
    assert yard.column("claims", "note") == ["tie coat \u2013 2nd", "24 \u00b0C"]
    assert yard.rows("SELECT encoding FROM sources") == [("cp1252",)]
    assert yard.remarks("encoding")[0][0] == 2


def test_c1_2_one_line_in_another_encoding(yard: Yard) -> None:
    glued = (CLAIMS + claim(1, "caf\u00e9")).encode() + claim(2, "caf\u00e9").encode("cp1252")
    yard.load_files(claims__csv=glued)
    assert yard.column("claims", "note") == ["caf\u00e9", "caf\u00e9"]
    assert yard.rows("SELECT encoding FROM sources") == [("utf-8",)]
    assert yard.remarks("encoding")[0][0] == 1


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_c2_1_utf_16_and_tabs(yard: Yard, encoding: str) -> None:
    text = "hull_serial\tmodel\nBT-1\tS22\nBT-\u00e9\tS22\n"
    yard.load_files(hulls__csv=text.encode(encoding))
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-\u00e9"]


@pytest.mark.parametrize("header", ["hull_serial,model", '"hull_serial","model"'])
def test_c3_1_and_c3_2_byte_order_mark(yard: Yard, header: str) -> None:
    yard.load_files(hulls__csv=f"\ufeff{header}\nBT-1,S22\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1"]


SEMICOLONS = "operation_id;material;lot_no;quantity;unit\n"


def test_c4_1_semicolons_and_a_decimal_comma(yard: Yard) -> None:
    yard.load_files(usages__csv=SEMICOLONS + "O1;gelcoat;44;21,5;kg\n")
    assert yard.column("usages", "quantity") == [21.5]
    assert "decimal comma" in yard.remarks("decimal mark")[0][1]


def test_c4_2_a_point_between_thousands(yard: Yard) -> None:
    yard.load_files(usages__csv=SEMICOLONS + "O1;gelcoat;44;21,5;kg\nO2;gelcoat;44;2.150,75;kg\n")
    assert yard.column("usages", "quantity") == [21.5, 2150.75]


def test_c4_3_semicolons_in_a_note(yard: Yard) -> None:
    yard.load_files(claims__csv=CLAIMS + claim(1, "a;b;c;d;e;f;g"))
    assert yard.column("claims", "note") == ["a;b;c;d;e;f;g"]


USAGES = "operation_id,material,quantity,unit\n"


def test_c5_1_thousands_need_a_stated_mark(yard: Yard) -> None:
    yard.load_files(usages__csv=USAGES + 'O1,resin,"2,310",kg\n')
    assert yard.column("usages", "quantity") == [None]
    assert [raw for _, raw, _, _ in yard.cleaned("quantity")] == ["2,310"]
    yard.write("intake.toml", 'thousands = ","')
    yard.load()
    assert yard.column("usages", "quantity") == [2310.0]


def test_c5_2_commas_that_are_no_thousands(yard: Yard) -> None:
    yard.write("intake.toml", 'thousands = ","')
    yard.load_files(usages__csv=USAGES + 'O1,resin,"1,2,3",kg\nO2,resin,"12,34",kg\n')
    assert yard.column("usages", "quantity") == [None, None]
    assert len(yard.cleaned("quantity")) == 2


def test_c6_1_lines_that_end_with_a_carriage_return(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,model\rBT-1,S22\rBT-2,S26\r")
    assert yard.rows("SELECT hull_serial, source_row FROM hulls ORDER BY ALL") == [
        ("BT-1", 2),
        ("BT-2", 3),
    ]


def test_c6_2_a_windows_line_end_inside_quotes(yard: Yard) -> None:
    yard.load_files(claims__csv=CLAIMS + claim(1, '"two\r\nlines"') + claim(2, "x"))
    assert yard.column("claims", "note") == ["two\r\nlines", "x"]


def test_c7_1_a_note_over_two_lines(yard: Yard) -> None:
    yard.load_files(claims__csv=CLAIMS + claim(1, '"hatch\nleaks"') + claim(2, "x"))
    assert yard.rows("SELECT note, source_row FROM claims ORDER BY 2") == [
        ("hatch\nleaks", 2),
        ("x", 4),
    ]


def test_c7_2_inch_marks_and_doubled_quotes(yard: Yard) -> None:
    yard.load_files(claims__csv=CLAIMS + claim(1, '2" gouge') + claim(2, '"said ""ok"""'))
    assert yard.column("claims", "note") == ['2" gouge', 'said "ok"']


def test_c7_3_a_header_over_two_lines(yard: Yard) -> None:
    yard.load_files(hulls__csv='"hull\nserial",model\nBT-1,S22\n')
    assert yard.rows("SELECT hull_serial, source_row FROM hulls") == [("BT-1", 3)]


def test_c8_1_one_row_too_long(yard: Yard) -> None:
    yard.load_files(hulls__csv=HULLS + "BT-1,S22\nBT-2,S22, blue\nBT-3,S22\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-3"]
    [(row, reason)] = yard.reasons()
    assert row == 3
    assert "3 fields where the header has 2" in reason
    assert yard.rows("SELECT raw FROM set_aside") == [('{"line":"BT-2,S22, blue\\n"}',)]


def test_c8_2_one_row_too_short(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,model,dealer\nBT-1,S22\nBT-2,S22,D-1\n")
    assert yard.column("hulls", "dealer") == [None, "D-1"]
    assert yard.remarks("short row")[0][0] == 1


def test_c8_3_all_rows_longer_than_the_header(yard: Yard) -> None:
    yard.load_files(hulls__csv=HULLS + "BT-1,S22,x\nBT-2,S22,y\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"]
    assert any("3 fields where the header has 2" in text for _, text in yard.remarks("header"))


OPERATIONS = "operation_id,step,hull_serial,started_at,operator,operator\n"


def test_c9_1_a_header_twice_asks_for_a_choice(yard: Yard) -> None:
    yard.load_files(operations__csv=OPERATIONS + "O1,bond,BT-1,2026-01-05 07:00,P1,P2\n")
    assert yard.column("operations", "operator") == [None]
    [(_, text)] = yard.remarks("column")
    assert "'operator (1)' or 'operator (2)'" in text
    yard.write(
        "intake.toml",
        """
[[files]]
match = "operations.csv"
[[files.tables]]
table = "operations"
[files.tables.columns]
operation_id = "operation_id"
step = "step"
hull_serial = "hull_serial"
started_at = "started_at"
operator = "operator (2)"
""",
    )
    yard.load()
    assert yard.column("operations", "operator") == ["P2"]


def test_c9_2_headers_that_differ_in_case_and_space(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,Hull_Serial ,model\nBT-1,BT-2,S22\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    assert any("kept apart" in text for _, text in yard.remarks("header"))


def test_c10_1_rows_that_end_with_a_comma(yard: Yard) -> None:
    yard.load_files(hulls__csv=HULLS + "BT-1,S22,\nBT-2,S26,\n")
    assert yard.column("hulls", "model") == ["S22", "S26"]


def test_c10_2_only_the_first_row_ends_with_a_comma(yard: Yard) -> None:
    yard.load_files(hulls__csv=HULLS + "BT-1,S22,\nBT-2,S26\n")
    assert yard.column("hulls", "model") == ["S22", "S26"]


def test_c11_1_a_nul_byte_in_an_identity(yard: Yard) -> None:
    yard.load_files(hulls__csv=HULLS.encode() + b"BT-1\x002,S22\nBT-3,S22\n")
    assert yard.column("hulls", "hull_serial") == ["BT-3"]
    [(row, reason)] = yard.reasons()
    assert row == 2
    assert "NUL" in reason


def test_c11_2_nul_padding_after_a_power_cut(yard: Yard) -> None:
    yard.load_files(hulls__csv=HULLS.encode() + b"BT-1,S22\n" + b"\0" * 4096)
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    assert yard.remarks("padding")[0][0] == 1
    assert yard.ledger("hulls.csv").furniture == 1


def test_c12_1_a_quote_that_is_never_closed(yard: Yard) -> None:
    lines = [claim(n % 28 + 1, "x").replace("C", f"C{n}-") for n in range(499)]
    lines[1] = 'C1-1,BT-1,2026-01-02,leak,"half\n'
    yard.load_files(claims__csv=CLAIMS + "".join(lines))
    assert yard.ledger("claims.csv").loaded == 498
    [(row, reason)] = yard.reasons()
    assert row == 3
    assert "not closed" in reason


def test_c12_1_a_later_quote_does_not_hide_the_slip(yard: Yard) -> None:
    lines = [claim(n, "x") for n in range(1, 9)]
    lines[1] = 'C2,BT-1,2026-01-02,leak,"half\n'
    lines[5] = 'C6,BT-1,2026-01-06,leak,"whole"\n'
    yard.load_files(claims__csv=CLAIMS + "".join(lines))
    assert yard.column("claims", "claim_no") == ["C1", "C3", "C4", "C5", "C6", "C7", "C8"]


@pytest.mark.parametrize("content", [b"", b"hull_serial,model\n", b"   \n \t\n"])
def test_c13_1_empty_files_leave_earlier_records(yard: Yard, content: bytes) -> None:
    yard.load_files(hulls__csv=HULLS + "BT-1,S22\n")
    yard.load_files(hulls__csv=content, lots__csv="material,lot_no\ngelcoat,G-1\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    said = [*yard.left_out().values(), *(text for _, text in yard.remarks("no rows"))]
    assert any("no rows" in text for text in said)


def test_c14_1_a_late_change_of_type(yard: Yard) -> None:
    rows = [f"P{n},deck,J1,{n}\n" for n in range(30_000)] + ["P30000,deck,J1,12B\n"]
    yard.load_files(parts__csv="part_serial,part,job_no,mold_no\n" + "".join(rows))
    assert yard.rows("SELECT count(*), max(mold_no) FROM parts WHERE mold_no IN ('12', '12B')") == [
        (2, "12B")
    ]


def test_c14_2_one_column_of_two_types_in_two_files(yard: Yard) -> None:
    header = "part_serial,part,job_no,mold_no\n"
    yard.write("a/parts.csv", header + "P1,deck,J1,12\n")
    yard.write("b/parts.csv", header + "P2,deck,J1,12B\n")
    yard.load()
    assert yard.column("parts", "mold_no") == ["12", "12B"]


def test_c15_1_headers_and_totals_inside_the_rows(yard: Yard) -> None:
    yard.load_files(hulls__csv=HULLS + "BT-1,S22\n" + HULLS + "BT-2,S22\nTotal: 84,\n,\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"]
    assert yard.ledger("hulls.csv").furniture == 3


def test_c16_1_a_line_that_names_the_separator(yard: Yard) -> None:
    yard.load_files(hulls__csv="sep=;\nhull_serial;model\nBT-1;S22\n")
    assert yard.rows("SELECT hull_serial, source_row FROM hulls") == [("BT-1", 3)]


@pytest.mark.parametrize("mark", ["|", "\t", ";"])
def test_c16_2_other_separators(yard: Yard, mark: str) -> None:
    yard.load_files(hulls__csv=f"hull_serial{mark}model\nBT-1{mark}S22, long\n")
    assert yard.column("hulls", "model") == ["S22, long"]


@pytest.mark.parametrize("size", [200_000, 3_000_000])
def test_c17_1_a_very_long_note(yard: Yard, size: int) -> None:
    yard.load_files(claims__csv=CLAIMS + claim(1, "x" * size) + claim(2, "y"))
    assert [len(note) for note in yard.column("claims", "note")] == [size, 1]


def test_a_file_may_begin_with_titles(yard: Yard) -> None:
    yard.load_files(
        hulls__csv="Sample yard\n\nhull_serial,model,completed_on\nBT-1,S22,2026-01-05\n"
    )
    assert yard.rows("SELECT completed_on, source_row FROM hulls") == [(date(2026, 1, 5), 4)]
    assert yard.ledger("hulls.csv").furniture == 2


def test_c6_1_carriage_returns_with_line_feeds_inside_quotes(yard: Yard) -> None:
    text = CLAIMS + claim(1, '"two|lines"') + claim(2, "x")
    yard.load_files(claims__csv=text.replace("\n", "\r").replace("|", "\n"))
    assert yard.column("claims", "note") == ["two\nlines", "x"]


def test_c6_line_ends_of_three_kinds(yard: Yard) -> None:
    yard.load_files(hulls__csv=HULLS + "BT-1,S22\r\nBT-2,S22\rBT-3,S22\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2", "BT-3"]


@pytest.mark.parametrize(
    ("written", "note"),
    [(r'"said \"ok\" twice"', 'said "ok" twice'), ('"A" grade', '"A" grade'), ('""', None)],
)
def test_c7_2_quotes_that_break_the_rule_and_have_one_reading(
    yard: Yard, written: str, note: str | None
) -> None:
    yard.load_files(claims__csv=CLAIMS + claim(1, written) + claim(2, "x"))
    assert yard.column("claims", "note") == [note, "x"]


def test_c15_1_headers_in_other_letters_and_end_lines(yard: Yard) -> None:
    header = "hull_serial,model,dealer\n"
    rows = "BT-1,S22,D-1\nHULL_SERIAL, Model,Dealer\nGrand Total,,12\nPage 1 of 2,,\n"
    yard.load_files(hulls__csv=header + rows + "BT-2,S22,\n*** end of report ***,,\n2 rows,,\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"]
    assert yard.ledger("hulls.csv").furniture == 5


def test_c2_1_utf_32(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial\tmodel\nBT-1\tSüd\n".encode("utf-32"))
    assert yard.records("hulls")[0][0] == "BT-1"


@pytest.mark.parametrize("mark", ["\t", "|"])
def test_c4_1_a_decimal_comma_between_other_marks(yard: Yard, mark: str) -> None:
    rows = "operation_id,quantity,value,unit\nO1,wet_film,21;5,um\nO2,wet_film,1.250;75,um\n"
    yard.load_files(readings__csv=rows.replace(",", mark).replace(";", ","))
    assert yard.column("readings", "value") == [21.5, 1250.75]


def test_c5_1_a_group_of_thousands_does_not_begin_with_zero(yard: Yard) -> None:
    yard.write("intake.toml", 'thousands = ","\n')
    yard.load_files(
        usages__csv='operation_id,material,quantity\nO1,resin,"0,310"\nO2,resin,"2,310"\n'
    )
    assert yard.column("usages", "quantity") == [None, 2310.0]


def test_c7_2_a_quoted_field_behind_a_space(yard: Yard) -> None:
    yard.load_files(claims__csv=CLAIMS + '1,BT-1,2026-01-05,leak, "cracked, wet"\n')
    assert yard.column("claims", "note") == ["cracked, wet"]


def test_c11_2_padding_behind_the_last_field(yard: Yard) -> None:
    yard.load_files(hulls__csv=b"hull_serial,model\nBT-1,S22\nBT-2,S22" + bytes(4096))
    assert yard.column("hulls", "model") == ["S22", "S22"]
    assert yard.remarks("padding")[0][0] == 1
    assert yard.cleaned("model") == []


def test_c13_1_a_row_of_spaces_is_blank(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,model\nBT-1,S22\n , \n,\n")
    assert yard.ledger("hulls.csv").furniture == 2


def test_c15_1_totals_of_other_kinds_are_named(yard: Yard) -> None:
    ends = ["Total hulls,2", "Average,3.5", "Gesamt,2", "Sub-total (S22),2", "-----,"]
    yard.load_files(hulls__csv="hull_serial,model\nBT-1,S22\nTotal-3,S22\n" + "\n".join(ends))
    assert yard.column("hulls", "hull_serial") == ["BT-1", "Total-3"]
    [(affected, text)] = yard.remarks("furniture")
    assert affected == 4
    assert "4 (Total hulls)" in text


@pytest.mark.parametrize("mark", ["^", "~"])
def test_c16_2_rarer_separators(yard: Yard, mark: str) -> None:
    yard.load_files(hulls__csv=f"hull_serial{mark}model\nBT-1{mark}S,22\n")
    assert yard.column("hulls", "model") == ["S,22"]


def test_c17_1_a_long_note_over_many_lines(yard: Yard) -> None:
    note = "\n".join(f'line {n}, said ""ok""' for n in range(3000))
    yard.load_files(
        claims__csv=CLAIMS + f'1,BT-1,2026-01-05,leak,"{note}"\n2,BT-1,2026-01-05,x,y\n'
    )
    assert yard.column("claims", "claim_no") == ["1", "2"]
    assert len(yard.column("claims", "note")[0].splitlines()) == 3000


@pytest.mark.parametrize("encoding", ["utf-32-le", "utf-32-be", "utf-16-le", "utf-16-be"])
def test_c2_1_wide_text_without_a_mark(yard: Yard, encoding: str) -> None:
    yard.load_files(hulls__csv="hull_serial,model\nBT-1,S22\n".encode(encoding))
    assert yard.column("hulls", "hull_serial") == ["BT-1"]


def test_c3_and_c6_what_glued_and_old_files_hold(yard: Yard) -> None:
    """A mark of byte order inside the file, and the character that ended files once."""
    header = "\ufeffhull_serial,model\n"
    yard.load_files(hulls__csv=f"{header}BT-1,S22\n{header}BT-2,S22\n\x1a")
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"]
    assert yard.ledger("hulls.csv").furniture == 2


def test_c4_1_each_column_has_its_own_decimal_mark(yard: Yard) -> None:
    yard.load_files(
        lots__csv="material;lot_no;received_qty;on_hand_qty;unit\n"
        "resin;A;21,5;3.5;kg\nresin;B;1.250;4.5;kg\n"
    )
    assert yard.column("lots", "received_qty") == [21.5, None]
    assert yard.column("lots", "on_hand_qty") == [3.5, 4.5]
    assert "'received_qty'" in yard.remarks("decimal mark")[0][1]
    [(row, raw, _, _)] = yard.cleaned("received_qty")
    assert (row, raw) == (3, "1.250")  # 1.25, or 1250: it is not guessed


def test_c5_numbers_that_no_one_can_mean(yard: Yard) -> None:
    texts = ["1e999", "\u0663", "9" * 400, "Infinity", "5.5"]
    lines = "".join(f"O1,gel_time,{text},min\n" for text in texts)
    yard.load_files(readings__csv="operation_id,quantity,value,unit\n" + lines)
    assert yard.column("readings", "value") == [5.5]
    assert [row for row, _ in yard.reasons()] == [2, 3, 4, 5]


def test_c7_2_lines_that_stand_in_quotes_as_a_whole(yard: Yard) -> None:
    yard.load_files(hulls__csv='"hull_serial,model,options"\n"BT-1,S22,a"\n"BT-2,S22,""b, c"""\n')
    assert yard.column("hulls", "options") == ["a", "b, c"]
    assert yard.remarks("quotes")


def test_c7_2_a_backslash_before_one_quote(yard: Yard) -> None:
    yard.load_files(hulls__csv='hull_serial,model,options\nBT-1,S22,"5\\" hose"\n')
    assert yard.column("hulls", "options") == ['5" hose']


def test_c8_3_rows_that_begin_with_their_number(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,model\n1,BT-1,S22\n2,BT-2,S26\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"]
    assert any("numbers the rows" in text for _, text in yard.remarks("header"))


def test_c16_2_rows_cut_by_another_mark_than_the_header(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,model\nBT-1;S22\nBT-2;S22\n")
    assert yard.ledger("hulls.csv").set_aside == 2
    assert "they hold ';'" in yard.remarks("delimiter")[0][1]


def test_c13_1_a_file_of_its_separator_only(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,model\nBT-1,S22\n", lots__csv="sep=;\n")
    assert yard.left_out()["lots.csv"] == "ends before line 2, where its header should be"
