"""33 CFR 183.542 (pressure) and 183.582 (hold), worked by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.domain.errors import TraceGraphError
from tracegraph.domain.fuel_rule import (
    KPA_PER_PSI,
    LEAST_PSI,
    MEETS,
    OUT_OF_RULE,
    PSI_PER_FOOT_OF_WATER,
    FuelTest,
    breaches,
    gaps,
    hold_minutes,
    required_psi,
    verdict,
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


def test_a_try_that_meets_the_rule() -> None:
    for held, psi in ((8, 3.0), (9.5, 3.4)):
        test = FuelTest(75, 5.0, psi, psi, held, fittings_checked=True)
        assert breaches(test) == gaps(test) == ()
        assert verdict(test) == MEETS


def test_each_breach_is_said_once() -> None:
    test = FuelTest(120, 8.0, 3.0, 2.5, 10, fittings_checked=False)
    assert breaches(test) == (
        "Pressure 3 psi at the start; 3.9 are required.",
        "Pressure fell from 3 to 2.5 psi: any drop is a leak.",
        "Held for 10 min; 12 are required.",
        "The fittings were not checked under pressure.",
    )
    assert verdict(test) == OUT_OF_RULE


def test_what_is_not_written_down_can_neither_meet_nor_break_the_rule() -> None:
    nothing = FuelTest(None, None, None, None, None)
    assert breaches(nothing) == ()
    assert len(gaps(nothing)) == 6
    assert verdict(nothing) is None
    # Whatever the tank and its height: never under 3 psi, never under 5 minutes.
    assert breaches(FuelTest(None, None, 2.9, None, 4)) == (
        "Pressure 2.9 psi at the start; 3 are required.",
        "Held for 4 min; 5 are required.",
    )
    assert breaches(FuelTest(None, None, None, 2.5, None)) == (
        "Pressure 2.5 psi at the end; 3 are required.",
    )


def test_rounding_of_kpa_is_no_leak() -> None:
    kept = 3.0 * 6.894757 / KPA_PER_PSI  # kept in kPa to seven figures
    assert kept < 3.0
    assert verdict(FuelTest(20, 3.0, kept, kept, 5, fittings_checked=True)) == MEETS


@pytest.mark.parametrize("wrong", [-1.0, float("nan")])
def test_impossible_numbers_are_refused(wrong: float) -> None:
    for asked in (lambda: required_psi(wrong), lambda: hold_minutes(wrong)):
        with pytest.raises(TraceGraphError, match="must be 0 or more"):
            asked()
    with pytest.raises(TraceGraphError, match="above 0"):
        required_psi(1.0, gravity=0.0)
