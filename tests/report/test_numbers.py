import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.report.numbers import amount, chance, count, interval, of, percent, ratio


@pytest.mark.parametrize(
    ("p", "log10", "expected"),
    [
        (1.0, None, "1.0"),
        (0.996, None, "1.0"),
        (0.0709991158, None, "0.071"),
        (0.0996, None, "0.10"),
        (0.00999, None, "0.010"),
        (0.001, None, "0.0010"),
        (0.000999, None, "1.0 × 10⁻³"),
        (9.97e-8, None, "1.0 × 10⁻⁷"),
        (7.17506678624452e-25, None, "7.2 × 10⁻²⁵"),
        # 10^-1088.795: the arithmetic of powers, 10^0.205 = 1.603.
        (0.0, -1088.795, "1.6 × 10⁻¹⁰⁸⁹"),
        (0.0, None, "below 10⁻³⁰⁰"),
        (math.nan, None, "–"),
    ],
)
def test_chances_keep_two_digits_and_are_never_zero(
    p: float, log10: float | None, expected: str
) -> None:
    assert chance(p, log10) == expected


@given(st.floats(1e-290, 1.0))
def test_a_chance_reads_back_within_its_two_digits(p: float) -> None:
    text = chance(p)
    digits, _, power = text.partition(" × 10")
    plain = power.translate(str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789"))
    assert float(digits) * 10.0 ** int(plain or 0) == pytest.approx(p, rel=0.0501)


@given(st.floats(1e-6, 1e9))
def test_a_ratio_reads_back_within_its_three_digits(value: float) -> None:
    assert float(ratio(value).replace(",", "")) == pytest.approx(value, rel=0.00501)


def test_limits_and_shares() -> None:
    assert interval(0.0, 0.98454) == "0 to 0.985"
    assert interval(1.0, math.inf) == "at least 1"
    assert percent(3, 1020) == "3 of 1,020 (0.29 %)"
    assert of(0, 0) == "0 of 0"
    assert count(6_203_100) == "6,203,100"
    assert amount(-4.2) == "-4.2"
    assert amount(0.0) == "0"
