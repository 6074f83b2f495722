"""Flat sheets against published outbreaks and hand counts."""

from __future__ import annotations

import pandas as pd
import pytest

from tests.reference.oswego import FOODS, oswego
from tracegraph.analysis.flat import rank_table
from tracegraph.domain.errors import FlatTableError, UnknownNameError

# Two-sided Fisher p, one-sided p, risk ratio with Katz limits, chi-square without
# correction, BH over 14 foods: recomputed with scipy 1.17 and R 4.2 (epitools) on the
# published listing; attack rates 79.6 % against 14.3 % are printed in the case study.
PUBLISHED = {
    "vanilla ice cream": (43, 11, 3, 18, 2.59745069184e-7, 2.59745069184e-7, 5.574074074),
    "chocolate ice cream": (25, 22, 20, 7, 0.0890692186, 0.9796159448, 0.718085106),
    "cakes": (27, 13, 19, 16, 0.3419970131, 0.1749950227, 1.243421053),
    "jello": (16, 7, 30, 22, 0.4421509721, 0.2383306307, 1.205797101),
    "water": (13, 11, 33, 18, 0.4497220012, 0.8701600929, 0.837121212),
    "rolls": (21, 16, 25, 13, 0.4817606704, 0.8508728638, 0.862702703),
    "brown bread": (18, 9, 28, 20, 0.6221472216, 0.3229804148, 1.142857143),
    "milk": (2, 2, 44, 27, 0.6378131556, 0.8421695668, 0.806818182),
    "cabbage salad": (18, 10, 28, 19, 0.8076017629, 0.4383470263, 1.079081633),
    "baked ham": (29, 17, 17, 12, 0.8087388684, 0.4429391673, 1.075447570),
    "coffee": (19, 12, 27, 17, 1, 0.5986393396, 0.998805257),
    "spinach": (26, 17, 20, 12, 1, 0.6612442330, 0.967441860),
    "mashed potato": (23, 14, 23, 14, 1, 0.5945797679, 1),
    "fruit salad": (4, 2, 42, 27, 1, 0.5729641082, 1.095238095),
}


@pytest.fixture(scope="module")
def supper() -> pd.DataFrame:
    return rank_table(oswego(), "person", "ill").frame.set_index("family")


def test_oswego_tables_and_tests(supper: pd.DataFrame) -> None:
    assert set(supper.index) == set(FOODS)
    for food, (a, b, c, d, p, greater, ratio) in PUBLISHED.items():
        row = supper.loc[food]
        assert row["affected_exposed"] == a
        assert row["exposed"] == a + b
        assert row["affected_unexposed"] == c
        assert row["unexposed"] == c + d
        assert row["p_fisher"] == pytest.approx(p, rel=1e-9)
        assert row["p_harm"] == pytest.approx(greater, rel=2e-9)
        assert row["risk_ratio"] == pytest.approx(ratio, rel=1e-9)


def test_oswego_names_vanilla_and_nothing_else(supper: pd.DataFrame) -> None:
    vanilla = supper.loc["vanilla ice cream"]
    assert vanilla["rank"] == 1
    assert vanilla["q_bh"] == pytest.approx(3.63643096857e-6, rel=1e-9)
    assert vanilla["odds_ratio"] == pytest.approx(22.1490355143, rel=1e-6)
    assert vanilla["odds_ratio_low"] == pytest.approx(5.21528332689, rel=1e-6)
    assert vanilla["odds_ratio_high"] == pytest.approx(138.393479287, rel=1e-6)
    assert vanilla["p_chi2"] == pytest.approx(1.81331414280e-7, rel=1e-9)
    assert list(supper.index[supper["q_bh"] < 0.05]) == ["vanilla ice cream"]


def test_protection_never_outranks_harm(supper: pd.DataFrame) -> None:
    chocolate = supper.loc["chocolate ice cream"]
    assert chocolate["direction"] == "protective"
    harm = supper["direction"] == "harm"
    assert supper.loc[harm, "rank"].max() < chocolate["rank"]


def test_blank_is_not_unexposed(supper: pd.DataFrame) -> None:
    # Person 44's blank counted as "not eaten" would give 25 22 / 21 7, p 0.0863551328.
    assert supper.loc["chocolate ice cream", "unknown"] == 1
    assert supper.loc["mashed potato", "unknown"] == 1


def test_row_order_changes_nothing(supper: pd.DataFrame) -> None:
    shuffled = oswego().sample(frac=1, random_state=3)
    again = rank_table(shuffled, "person", "ill").frame.set_index("family")
    pd.testing.assert_frame_equal(again, supper)


def test_numbers_become_bands_and_words_stay_words() -> None:
    sheet = pd.DataFrame(
        {
            "unit": range(100),
            "failed": ["yes" if i % 10 == 0 else "no" for i in range(100)],
            "warmth": [20 + i / 10 for i in range(100)],
            "line": ["0042" if i % 3 else "42" for i in range(100)],
        }
    )
    ranked = rank_table(sheet, "unit", "failed")
    assert ranked.affected == 10
    assert ranked.at_risk == 100
    warmth = ranked.frame[ranked.frame["family"] == "warmth"]
    assert len(warmth) == 5
    assert warmth["exposed"].sum() == 100
    assert set(ranked.frame.loc[ranked.frame["family"] == "line", "level"]) == {"0042", "42"}


def test_outcome_in_other_words_needs_the_word_for_yes() -> None:
    sheet = pd.DataFrame({"u": [1, 2, 3], "state": ["bad", "ok", "ok"], "f": ["a", "b", "b"]})
    with pytest.raises(FlatTableError, match="--yes"):
        rank_table(sheet, "u", "state")
    assert rank_table(sheet, "u", "state", yes="bad").affected == 1
    with pytest.raises(UnknownNameError, match="'worse'"):
        rank_table(sheet, "u", "state", yes="worse")


def test_unknown_column_offers_the_near_one() -> None:
    with pytest.raises(UnknownNameError, match="Near: person"):
        rank_table(oswego(), "persn", "ill")


def test_repeated_unit_is_refused() -> None:
    sheet = pd.DataFrame({"u": ["A", "A"], "bad": ["y", "n"], "f": ["1", "2"]})
    with pytest.raises(FlatTableError, match="'A' comes 2 times"):
        rank_table(sheet, "u", "bad")


def test_row_without_outcome_is_left_out_and_counted() -> None:
    sheet = oswego()
    sheet.loc[0, "ill"] = ""
    ranked = rank_table(sheet, "person", "ill")
    assert ranked.at_risk == 74
    assert ranked.left_out == {"rows without unit or outcome": 1}


# Bickel, Hammel and O'Connell, Science 1975, 187:398-404: admitted and rejected men, admitted
# and rejected women of six departments (R datasets::UCBAdmissions).
BERKELEY = {
    "A": (512, 313, 89, 19), "B": (353, 207, 17, 8), "C": (120, 205, 202, 391),
    "D": (138, 279, 131, 244), "E": (53, 138, 94, 299), "F": (22, 351, 24, 317),
}  # fmt: skip


def berkeley() -> pd.DataFrame:
    rows = [
        (department, man, admitted)
        for department, counts in BERKELEY.items()
        for (man, admitted), count in zip(
            (("yes", "yes"), ("yes", "no"), ("no", "yes"), ("no", "no")), counts, strict=True
        )
        for _ in range(count)
    ]
    frame = pd.DataFrame(rows, columns=["department", "man", "admitted"])
    return frame.assign(person=range(len(frame)))


def test_admissions_of_1973_turn_round_within_departments() -> None:
    crude = rank_table(berkeley(), "person", "admitted", leave_out=["department"]).frame.iloc[0]
    # Published: crude odds ratio 1.84, chi-square 92.2 without correction.
    assert crude["odds_ratio"] == pytest.approx(1.84, abs=0.005)
    assert crude["direction"] == "harm"
    ranked = rank_table(berkeley(), "person", "admitted", stratify=["department"])
    row = ranked.frame.iloc[0]
    # R mantelhaen.test: 0.9046968 (0.7719074, 1.0603298), p 0.2169 without correction.
    assert row["stratified_odds_ratio"] == pytest.approx(0.904696828258623, rel=1e-9)
    assert row["stratified_odds_ratio_low"] == pytest.approx(0.771907361759351, rel=1e-9)
    assert row["stratified_odds_ratio_high"] == pytest.approx(1.060329764436656, rel=1e-9)
    assert row["p_stratified"] == pytest.approx(0.216923697056, rel=1e-9)
    assert row["informative_strata"] == 6


def test_strata_order_the_list_and_unknown_strata_are_counted() -> None:
    sheet = berkeley()
    sheet.loc[0, "department"] = ""
    sheet["coin"] = ["yes" if i % 7 == 0 else "no" for i in range(len(sheet))]
    ranked = rank_table(sheet, "person", "admitted", stratify=["department"])
    assert ranked.left_out == {"units without a stratum, in the stratified numbers": 1}
    harm = ranked.frame["stratified_odds_ratio"] > 1
    assert list(harm) == sorted(harm, reverse=True)


def test_too_many_strata_are_refused() -> None:
    sheet = berkeley().assign(row=range(len(berkeley())))
    with pytest.raises(FlatTableError, match="At most 500 strata"):
        rank_table(sheet, "person", "admitted", stratify=["row"])
