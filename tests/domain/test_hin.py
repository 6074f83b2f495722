"""Worked examples after 33 CFR 181.25 and ISO 10087; the numbers are invented."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.domain.hin import Hin, HinForm, InvalidHin, read_hin


@pytest.mark.parametrize(
    ("text", "year", "month", "model_year", "warned"),
    [
        ("QZX00042C525", 2025, 3, 2025, False),
        ("QZXA7B19H526", 2025, 8, 2026, False),
        ("QZX00500F526", 2025, 6, 2026, False),
        ("QZX00501G525", 2025, 7, 2025, False),
        ("QZX12345L900", 1999, 12, 2000, False),
        ("QZX00077I526", 2025, 9, 2026, False),
        ("QZX00042C526", 2025, 3, 2026, True),
        ("QZX00600H525", 2025, 8, 2025, True),
        ("QZX00042C520", None, 3, 2020, True),
        ("QZX00900B624", 2026, 2, 2024, True),
    ],
)
def test_modern_form(
    text: str, year: int | None, month: int, model_year: int, warned: bool
) -> None:
    hin = read_hin(text)
    assert isinstance(hin, Hin)
    assert (hin.year, hin.month, hin.model_year) == (year, month, model_year)
    assert bool(hin.warnings) is warned
    assert hin.form is HinForm.US


def test_serial_and_maker_are_the_first_eight_characters() -> None:
    hin = read_hin("QZXA7B19H526")
    assert isinstance(hin, Hin)
    assert (hin.maker, hin.serial) == ("QZX", "A7B19")


def test_country_before_the_number_is_the_same_boat() -> None:
    plain, with_country = read_hin("QZX00042C525"), read_hin("US-QZX00042C525")
    assert isinstance(plain, Hin)
    assert isinstance(with_country, Hin)
    assert with_country.number == plain.number
    assert with_country.country == "US"
    assert with_country.warnings == ()


def test_international_form() -> None:
    hin = read_hin("NO-QZX0A1B2K526")
    assert isinstance(hin, Hin)
    assert (hin.country, hin.month, hin.year, hin.model_year) == ("NO", 11, 2025, 2026)
    assert hin.form is HinForm.INTERNATIONAL


def test_case_and_hyphens_are_normalised_with_a_note() -> None:
    hin = read_hin("qzx-00042-c525")
    assert isinstance(hin, Hin)
    assert hin.number == "QZX00042C525"
    assert any("normalised" in warning for warning in hin.warnings)


@pytest.mark.parametrize(
    ("text", "suggestion"),
    [
        ("QZX0O042C525", "QZX00042C525"),
        ("QZX00I42C525", "QZX00142C525"),
        ("QZXQ0042C525", "QZX00042C525"),
    ],
)
def test_banned_letters_in_the_serial_bring_a_suggestion(text: str, suggestion: str) -> None:
    hin = read_hin(text)
    assert isinstance(hin, InvalidHin)
    assert hin.suggestion == suggestion


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("QZX00042M525", "M is not a month"),
        ("QZX00042CX25", "X is not the last digit"),
        ("QZX00042C5A5", "A5 is not a model year"),
        ("QZX0042C525", "11 characters"),
        ("QZX00042C5250", "13 characters"),
        ("VARIOUS", "7 characters"),
        ("", "0 characters"),
    ],
)
def test_invalid_numbers_name_the_rule(text: str, reason: str) -> None:
    hin = read_hin(text)
    assert isinstance(hin, InvalidHin)
    assert reason in hin.reason
    assert hin.suggestion is None


@pytest.mark.parametrize(
    ("text", "form"),
    [("QZX000421273", HinForm.STRAIGHT_YEAR), ("QZX00042M73E", HinForm.MODEL_YEAR)],
)
def test_legacy_forms_are_named_and_not_decoded(text: str, form: HinForm) -> None:
    hin = read_hin(text)
    assert isinstance(hin, Hin)
    assert hin.form is form
    assert (hin.month, hin.year, hin.model_year) == (None, None, None)
    assert hin.warnings


@given(st.text(max_size=20))
def test_any_text_gets_an_answer(text: str) -> None:
    assert isinstance(read_hin(text), Hin | InvalidHin)


@given(
    st.sampled_from("ABCDEFGHIJKL"),
    st.integers(0, 9),
    st.integers(0, 99),
    st.sampled_from([" ", "-"]),
)
def test_separators_never_change_the_boat(letter: str, digit: int, years: int, mark: str) -> None:
    plain = read_hin(f"QZX00042{letter}{digit}{years:02d}")
    spaced = read_hin(f"QZX{mark}00042{mark}{letter}{digit}{years:02d}".lower())
    assert isinstance(plain, Hin)
    assert isinstance(spaced, Hin)
    assert (plain.number, plain.year, plain.model_year) == (
        spaced.number,
        spaced.year,
        spaced.model_year,
    )
