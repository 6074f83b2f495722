"""33 CFR 183.542 (pressure) and 183.582 (hold), worked by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.domain.errors import TraceGraphError
from tracegraph.domain.fuel_rule import (
    KPA_PER_PSI,
    LEAST_PSI,
    PSI_PER_FOOT_OF_WATER,
    FuelTest,
    hold_minutes,
    required_psi,
    shortfalls,
)


@pytest.mark.parametrize(
    ("gallons", "minutes"),
    # 5 minutes, and one for each 10 gallons or fraction above 50 (33 CFR 183.582).
    [(0, 5), (20, 5), (50, 5), (50.1, 6), (51, 6), (60, 6), (61, 7), (75, 8), (120, 12)],
)
def test_hold_time(gallons: float, minutes: int) -> None:
    assert hold_minutes(gallons) == minutes


def test_a_foot_of_gasoline_is_a_third_of_a_psi() -> None:
    # Hydrostatics: 62.4 lb/ft3 x 0.75 / 144 in2/ft2 = 0.325 psi per foot.
    assert pytest.approx(0.325) == PSI_PER_FOOT_OF_WATER * 0.75
    assert pytest.approx(20.68, abs=0.005) == LEAST_PSI * KPA_PER_PSI


def test_three_psi_governs_up_to_six_feet_and_a_bit() -> None:
    # 1.5 x 0.325 x head = 3 at head 6.154 ft.
    assert required_psi(0) == required_psi(6.15) == 3.0
    assert required_psi(6.16) == pytest.approx(3.003, abs=1e-3)
    assert required_psi(6.16) > 3.0
    assert required_psi(10) == pytest.approx(1.5 * 3.25)
    assert required_psi(10, gravity=0.84) == pytest.approx(1.5 * 10 * 0.364)


@given(st.floats(0, 500), st.floats(0, 500))
def test_more_fuel_is_never_held_for_less(first: float, second: float) -> None:
    low, high = sorted((first, second))
    assert 5 <= hold_minutes(low) <= hold_minutes(high)
    assert required_psi(low) <= required_psi(high)


def test_a_try_that_meets_the_rule_has_no_shortfall() -> None:
    assert shortfalls(FuelTest(75, 5.0, 3.0, 3.0, 8, fittings_checked=True)) == ()
    assert shortfalls(FuelTest(75, 5.0, 3.4, 3.4, 9.5, fittings_checked=True)) == ()


def test_each_shortfall_is_said_once() -> None:
    found = shortfalls(FuelTest(120, 8.0, 3.0, 2.5, 10, fittings_checked=False))
    assert found == (
        "Pressure 3 psi at the start; 3.9 are required.",
        "Pressure fell from 3 to 2.5 psi: any drop is a leak.",
        "Held for 10 min; 12 are required.",
        "The fittings were not checked under pressure.",
    )


def test_what_is_not_written_down_is_a_shortfall_of_the_record() -> None:
    found = shortfalls(FuelTest(20, 2.0, None, None, None))
    assert len(found) == 4
    assert all(sentence.endswith("not written down.") for sentence in found)


@pytest.mark.parametrize("wrong", [-1.0, float("nan")])
def test_impossible_numbers_are_refused(wrong: float) -> None:
    for asked in (lambda: required_psi(wrong), lambda: hold_minutes(wrong)):
        with pytest.raises(TraceGraphError, match="must be 0 or more"):
            asked()
    with pytest.raises(TraceGraphError, match="above 0"):
        required_psi(1.0, gravity=0.0)
