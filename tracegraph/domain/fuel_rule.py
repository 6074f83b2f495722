"""What a fuel system's pressure test must show: 33 CFR 183.542 and 183.582.

Every fuel system of a gasoline boat is tested by its builder and must not leak at the
greater of 3 psi and one and a half times the pressure at its lowest point when it is
filled to overflow. The pressure is held for 5 minutes, and one more for each 10 gallons
or part of 10 above 50. Any drop is a leak. Local codes and licensed practice prevail.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from tracegraph.domain.errors import TraceGraphError

LEAST_PSI = 3.0
"""Least test pressure, psi (33 CFR 183.542)."""

HEAD_FACTOR = 1.5
"""Times the pressure at the lowest point when filled to overflow (33 CFR 183.542)."""

PSI_PER_FOOT_OF_WATER = 62.4 / 144.0
"""Pressure of one foot of fresh water, psi: 62.4 lb per cubic foot (handbook value)."""

GASOLINE_GRAVITY = 0.75
"""Specific gravity of gasoline, common practice; a fuel's own sheet decides."""

LEAST_MINUTES = 5
FREE_GALLONS = 50
GALLONS_PER_MINUTE = 10

KPA_PER_PSI = 6.894757293168
"""1 psi in kPa (NIST SP 811)."""


@dataclass(frozen=True)
class FuelTest:
    """One try at a fuel system's pressure test, as written down.

    Attributes
    ----------
    capacity_gal : float
        Capacity of the tank, US gallons.
    head_ft : float
        Height from the lowest point of the system to the overflow, feet.
    start_psi, end_psi : float or None
        Gauge pressure at the start and the end of the hold.
    held_minutes : float or None
        How long it was held.
    gravity : float
        Specific gravity of the fuel.
    fittings_checked : bool or None
        Whether every fitting and joint was checked by another method while still under
        pressure.
    """

    capacity_gal: float
    head_ft: float
    start_psi: float | None
    end_psi: float | None
    held_minutes: float | None
    gravity: float = GASOLINE_GRAVITY
    fittings_checked: bool | None = None


def required_psi(head_ft: float, gravity: float = GASOLINE_GRAVITY) -> float:
    """Pressure at which a fuel system must not leak.

    Parameters
    ----------
    head_ft : float
        Height from the lowest point of the system to the overflow, feet, 0 or more.
    gravity : float, default 0.75
        Specific gravity of the fuel, above 0.

    Returns
    -------
    float
        Gauge pressure, psi.

    Raises
    ------
    TraceGraphError
        If the head is negative or the gravity is not above 0.

    References
    ----------
    .. [1] 33 CFR 183.542, fuel systems.

    Examples
    --------
    >>> required_psi(4.0), round(required_psi(8.0), 2)
    (3.0, 3.9)
    """
    _check("Head", head_ft, at_least=0.0)
    if not gravity > 0.0:
        raise TraceGraphError(f"Specific gravity must be above 0; got {gravity}. Gasoline: 0.75.")
    return max(LEAST_PSI, HEAD_FACTOR * head_ft * PSI_PER_FOOT_OF_WATER * gravity)


def hold_minutes(capacity_gal: float) -> int:
    """Shortest time for which the pressure must be held.

    Parameters
    ----------
    capacity_gal : float
        Capacity of the tank, US gallons, 0 or more.

    Returns
    -------
    int
        Minutes.

    Raises
    ------
    TraceGraphError
        If the capacity is negative.

    References
    ----------
    .. [1] 33 CFR 183.582, static pressure test for fuel systems.

    Examples
    --------
    >>> [hold_minutes(gallons) for gallons in (50, 51, 120)]
    [5, 6, 12]
    """
    _check("Capacity", capacity_gal, at_least=0.0)
    return LEAST_MINUTES + math.ceil(max(0.0, capacity_gal - FREE_GALLONS) / GALLONS_PER_MINUTE)


def shortfalls(test: FuelTest) -> tuple[str, ...]:
    """What keeps one try from meeting the rule, as far as it was written down.

    Parameters
    ----------
    test : FuelTest
        The try.

    Returns
    -------
    tuple of str
        One sentence each; empty when the record shows that the rule was met. What was
        not written down is a shortfall of the record.

    Examples
    --------
    >>> shortfalls(FuelTest(60, 3.0, 3.0, 3.0, 6, fittings_checked=True))
    ()
    >>> shortfalls(FuelTest(61, 3.0, 3.0, 2.9, 6, fittings_checked=True))
    ('Pressure fell from 3 to 2.9 psi: any drop is a leak.', 'Held for 6 min; 7 are required.')
    """
    least, minutes = required_psi(test.head_ft, test.gravity), hold_minutes(test.capacity_gal)
    start, end, held = test.start_psi, test.end_psi, test.held_minutes
    found = [
        _unless(start, "Pressure at the start", lambda psi: psi >= least - 1e-9,
                lambda psi: f"Pressure {psi:g} psi at the start; {least:.3g} are required."),
        _unless(end, "Pressure at the end", lambda psi: start is None or psi >= start,
                lambda psi: f"Pressure fell from {start:g} to {psi:g} psi: any drop is a leak."),
        _unless(held, "Time of holding", lambda time: time >= minutes,
                lambda time: f"Held for {time:g} min; {minutes} are required."),
    ]  # fmt: skip
    if test.fittings_checked is None:
        found.append("Whether the fittings were checked under pressure is not written down.")
    elif not test.fittings_checked:
        found.append("The fittings were not checked under pressure.")
    return tuple(sentence for sentence in found if sentence)


def _unless(
    value: float | None,
    what: str,
    met: Callable[[float], bool],
    sentence: Callable[[float], str],
) -> str:
    if value is None:
        return f"{what} is not written down."
    return "" if met(value) else sentence(value)


def _check(what: str, value: float, *, at_least: float) -> None:
    if not value >= at_least:
        raise TraceGraphError(f"{what} must be {at_least:g} or more; got {value}. Mend the record.")
