"""Kind D: text in identities that looks alike."""

import pytest

from tests.intake.yard import Yard

HULLS = "hull_serial,model\n"
CLAIMS = "claim_no,hull_serial,opened_on,symptom\n"


def linked(yard: Yard) -> int:
    return int(yard.rows("SELECT count(*) FROM claim_index WHERE hull_id IS NOT NULL")[0][0])


def test_d1_1_a_zero_width_space(yard: Yard) -> None:
    yard.load_files(
        hulls__csv=HULLS + "BT-1002\u200b,S22\n",
        claims__csv=CLAIMS + "C1,BT-1002,2026-01-05,leak\n",
    )
    assert linked(yard) == 1
    [(row, raw, value, rule)] = yard.cleaned("hull_serial")
    assert (row, raw, value) == (2, "BT-1002\u200b", "BT-1002")
    assert "U+200B" in rule


@pytest.mark.parametrize("written", ["\u00a0BT 1002", "BT  1002", "BT 1002\t", "BT\u00a01002"])
def test_d1_2_other_spaces(yard: Yard, written: str) -> None:
    yard.load_files(
        hulls__csv=HULLS + f"{written},S22\n", claims__csv=CLAIMS + "C1,BT 1002,2026-01-05,leak\n"
    )
    assert linked(yard) == 1


@pytest.mark.parametrize("dash", ["\u2011", "\u2013", "\u2212"])
def test_d2_1_dashes(yard: Yard, dash: str) -> None:
    yard.load_files(
        hulls__csv=HULLS + "BT-1003,S22\n",
        claims__csv=CLAIMS + f"C1,BT{dash}1003,2026-01-05,leak\n",
    )
    assert linked(yard) == 1
    [(_, raw, value, rule)] = yard.cleaned("hull_serial")
    assert (raw, value) == (f"BT{dash}1003", "BT-1003")
    assert f"U+{ord(dash):04X}" in rule


def test_d3_1_letters_for_digits_stay_an_orphan_with_a_near_match(yard: Yard) -> None:
    yard.load_files(
        hulls__csv=HULLS + "BT-1004,S22\n", claims__csv=CLAIMS + "C1,BT-1OO4,2026-01-05,leak\n"
    )
    assert linked(yard) == 0
    assert yard.rows("SELECT written, near FROM near_matches") == [("BT-1OO4", "BT-1004")]


def test_d3_1_accepted_by_the_mapping(yard: Yard) -> None:
    yard.write("intake.toml", '[ids.hull_serial.same]\n"BT-1OO4" = "BT-1004"\n')
    yard.load_files(
        hulls__csv=HULLS + "BT-1004,S22\n", claims__csv=CLAIMS + "C1,BT-1OO4,2026-01-05,leak\n"
    )
    assert linked(yard) == 1
    assert yard.cleaned("hull_serial") == [(2, "BT-1OO4", "BT-1004", "the same, by intake.toml")]


def test_d3_2_two_real_lots_are_never_merged(yard: Yard) -> None:
    yard.load_files(
        lots__csv="material,lot_no\nresin,RL-5S\nresin,RL-55\n",
        usages__csv="operation_id,material,lot_no\nO1,resin,RL-5S\nO2,resin,RL-55\n",
    )
    assert yard.column("usages", "lot_no") == ["RL-5S", "RL-55"]
    assert yard.rows("SELECT count(*) FROM near_matches") == [(0,)]


LOTS = "material,lot_no,supplier\n"
USAGES = "operation_id,material,lot_no\n"


def test_d4_1_case_with_one_lot_record(yard: Yard) -> None:
    yard.load_files(
        lots__csv=LOTS + "gelcoat,GB-12C,V-1\n",
        usages__csv=USAGES + "O1,gelcoat,gb-12c\nO2,gelcoat,GB-12C\n",
    )
    assert yard.column("usages", "lot_no") == ["GB-12C", "GB-12C"]
    assert yard.cleaned("lot_no") == [(2, "gb-12c", "GB-12C", "letter case")]


def test_d4_2_case_with_two_lot_records(yard: Yard) -> None:
    yard.load_files(
        lots__csv=LOTS + "gelcoat,GB-12C,V-1\ngelcoat,gb-12c,V-2\n",
        usages__csv=USAGES + "O1,gelcoat,gb-12c\nO2,gelcoat,GB-12C\n",
    )
    assert yard.column("usages", "lot_no") == ["gb-12c", "GB-12C"]


def test_d4_the_same_lot_twice_in_two_cases_is_one(yard: Yard) -> None:
    yard.write("a/lots.csv", LOTS + "gelcoat,GB-12C,V-1\n")
    yard.write("b/lots.csv", LOTS + "gelcoat,gb-12c,V-1\n")
    yard.load()
    assert yard.column("lots", "lot_no") == ["GB-12C"]


def test_d4_spellings_that_the_mapping_keeps_apart(yard: Yard) -> None:
    yard.write("intake.toml", '[ids.lot_no]\napart = ["gb-12c", "GB-12C"]\n')
    yard.load_files(usages__csv=USAGES + "O1,gelcoat,gb-12c\nO2,gelcoat,GB-12C\n")
    assert yard.column("usages", "lot_no") == ["gb-12c", "GB-12C"]


@pytest.mark.parametrize("together", [True, False])
def test_d5_1_a_code_that_looks_missing(yard: Yard, *, together: bool) -> None:
    yard.load_files(usages__csv=USAGES + "O1,resin,NA\nO2,resin,?\n")
    assert yard.column("usages", "lot_no") == [None, None]
    if together:
        yard.write("intake.toml", 'codes = ["na"]')
    else:
        yard.write("lots.csv", LOTS + "resin,NA,V-1\n")
    yard.load()
    assert yard.column("usages", "lot_no") == ["NA", None]
    assert [raw for _, raw, _, _ in yard.cleaned("lot_no")] == ["?"]


def test_d5_2_missing_words_are_counted_one_by_one(yard: Yard) -> None:
    words = ["None", "null", "n/a", "TBD", "?", "-", "-"]
    rows = "".join(f"O{n},bond,BT-1,2026-01-05 07:00,{w}\n" for n, w in enumerate(words))
    yard.load_files(operations__csv="operation_id,step,hull_serial,started_at,operator\n" + rows)
    assert yard.column("operations", "operator") == [None] * 7
    counted = yard.rows(
        "SELECT raw, sum(affected) FROM cleaned_values WHERE column_name = 'operator' "
        "GROUP BY raw ORDER BY raw"
    )
    assert counted == sorted([("None", 1), ("null", 1), ("n/a", 1), ("TBD", 1), ("?", 1), ("-", 2)])


def test_many_rows_of_one_spelling_are_kept_once(yard: Yard) -> None:
    rows = "".join(f"O{n},Gel Coat,G-1\n" for n in range(1500)) + "O9,GEL COAT,G-1\n"
    yard.load_files(usages__csv=USAGES + rows)
    assert yard.rows("SELECT DISTINCT material FROM usages") == [("gel coat",)]
    assert yard.rows(
        "SELECT source_row, raw, affected FROM cleaned_values WHERE column_name = 'material' "
        "ORDER BY raw"
    ) == [(1502, "GEL COAT", 1), (None, "Gel Coat", 1500)]


def test_a_prefix_that_one_export_adds(yard: Yard) -> None:
    yard.write("intake.toml", '[ids.hull_serial]\ndrop_prefix = ["HULL "]\n')
    yard.load_files(
        hulls__csv=HULLS + "BT-1004,S22\n",
        claims__csv=CLAIMS + "C1,hull BT-1004,2026-01-05,leak\n",
    )
    assert linked(yard) == 1


@pytest.mark.parametrize(
    "written", ["ＢＴ－１００２", "BT\u00ad-1002", "\ufeffBT-1002", "BT\u02d71002"]
)
def test_d_other_characters_that_look_the_same(yard: Yard, written: str) -> None:
    yard.load_files(
        hulls__csv=HULLS + "BT-1002,S22\n", claims__csv=CLAIMS + f"C1,{written},2026-01-05,leak\n"
    )
    assert linked(yard) == 1
    assert yard.cleaned("hull_serial")[0][1] == written


def test_d_letters_with_accents_in_two_codings(yard: Yard) -> None:
    yard.load_files(
        hulls__csv=HULLS + "\u00c9-1,S22\n", claims__csv=CLAIMS + "C1,E\u0301-1,2026-01-05,leak\n"
    )
    assert linked(yard) == 1


def test_d_letters_of_another_alphabet_stay_another_number(yard: Yard) -> None:
    yard.load_files(
        hulls__csv=HULLS + "BT-1002,S22\n",
        claims__csv=CLAIMS + "C1,\u0412T-1002,2026-01-05,leak\n",
    )
    assert linked(yard) == 0


@pytest.mark.parametrize("mark", ["\ufe0f", "\u034f", "\u3164", "\u2800", "\u180e", "\U000e0020"])
def test_d1_1_marks_that_are_drawn_as_nothing(yard: Yard, mark: str) -> None:
    yard.load_files(
        hulls__csv=HULLS + f"BT-1002{mark},S22\n",
        claims__csv=CLAIMS + "C1,BT-1002,2026-01-05,leak\n",
    )
    assert linked(yard) == 1
    assert f"U+{ord(mark):04X}" in yard.cleaned("hull_serial")[0][3]


@pytest.mark.parametrize("dash", ["\u2500", "\u058a", "\u301c", "\u2e3a", "\u2796"])
def test_d2_1_dashes_of_other_scripts(yard: Yard, dash: str) -> None:
    yard.load_files(
        hulls__csv=HULLS + f"BT{dash}1003,S22\n",
        claims__csv=CLAIMS + "C1,BT-1003,2026-01-05,leak\n",
    )
    assert linked(yard) == 1


@pytest.mark.parametrize("word", ["n.a.", "---", "(blank)", "<NA>", "\\N", "Not Recorded", "n/k"])
def test_d5_2_other_missing_words(yard: Yard, word: str) -> None:
    yard.load_files(usages__csv=f"operation_id,material,lot_no\nO1,resin,{word}\n")
    assert yard.column("usages", "lot_no") == [None]
    assert yard.cleaned("lot_no") == [(2, word, None, "missing word")]


def test_d5_1_a_material_that_looks_missing(yard: Yard) -> None:
    yard.load_files(usages__csv="operation_id,material,lot_no\nO1,NA,R-1\nO2,none,\n")
    assert len(yard.remarks("doubtful material")) == 2
    yard.load_files(lots__csv="material,lot_no\nNA,R-1\n")
    assert yard.column("usages", "material") == ["na", "none"]
    [(affected, text)] = yard.remarks("doubtful material")
    assert affected == 1
    assert "none" in text


def test_d5_2_missing_words_of_more_hands(yard: Yard) -> None:
    words = ["unk", "t.b.d.", "k.A.", "N / A", "...", "\u2026", "''", "_", "fehlt"]
    kept = ["x", "0", "no lot"]
    lines = "".join(f"O{number},resin,{word}\n" for number, word in enumerate(words + kept))
    yard.load_files(usages__csv="operation_id,material,lot_no\n" + lines)
    assert yard.column("usages", "lot_no") == [None] * len(words) + kept
