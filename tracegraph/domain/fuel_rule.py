"""What a fuel system's pressure test must show: 33 CFR 183.542 and 183.582.

Every fuel system of a gasoline boat is tested by its builder and must not leak at the
greater of 3 psi and one and a half times the pressure at its lowest point when it is
filled to overflow. The pressure is held for 5 minutes, and one more for each 10 gallons
or part of 10 above 50. Any drop is a leak. Local codes and licensed practice prevail.
"""

from __future__ import annotations

import math
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

AS_GOOD_AS = 1e-4
"""Pressures closer than this, psi, are the same: no gauge reads it, and a record kept in kPa
comes back with rounding."""

FUEL_TEST = "fuel pressure test"
"""What the test is called in the records, as a step and as a checkpoint."""

FITTINGS_CHECK = "fuel fittings check"
"""What the check of fittings and joints under pressure is called as a checkpoint."""

SOURCE = "33 CFR 183.542 and 183.582"

MEETS, OUT_OF_RULE = "meets the rule", "out of rule"


@dataclass(frozen=True)
class FuelTest:
    """One try at a fuel system's pressure test, as written down.

    Attributes
    ----------
    capacity_gal : float or None
        Capacity of the tank, US gallons.
    head_ft : float or None
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

    capacity_gal: float | None
    head_ft: float | None
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


def breaches(test: FuelTest) -> tuple[str, ...]:
    """What in the record of one try breaks the rule.

    Parameters
    ----------
    test : FuelTest
        The try. Where the head or the capacity is not written down, the least that any
        system needs is asked for: 3 psi, and 5 minutes.

    Returns
    -------
    tuple of str
        One sentence each; empty when nothing that was written down breaks it.

    Examples
    --------
    >>> breaches(FuelTest(61, 3.0, 3.0, 2.9, 6, fittings_checked=True))
    ('Pressure fell from 3 to 2.9 psi: any drop is a leak.', 'Held for 6 min; 7 are required.')
    """
    least = required_psi(test.head_ft or 0.0, test.gravity)
    minutes = hold_minutes(test.capacity_gal or 0.0)
    start, end, held = test.start_psi, test.end_psi, test.held_minutes
    found = []
    if start is not None and start < least - AS_GOOD_AS:
        found.append(f"Pressure {start:.3g} psi at the start; {least:.3g} are required.")
    if end is not None and start is not None and end < start - AS_GOOD_AS:
        found.append(f"Pressure fell from {start:.3g} to {end:.3g} psi: any drop is a leak.")
    if end is not None and start is None and end < least - AS_GOOD_AS:
        found.append(f"Pressure {end:.3g} psi at the end; {least:.3g} are required.")
    if held is not None and held < minutes:
        found.append(f"Held for {held:g} min; {minutes} are required.")
    if test.fittings_checked is False:
        found.append("The fittings were not checked under pressure.")
    return tuple(found)


def gaps(test: FuelTest) -> tuple[str, ...]:
    """What was not written down and is needed to show that the rule was met.

    Parameters
    ----------
    test : FuelTest
        The try.

    Returns
    -------
    tuple of str
        One name each; empty when nothing is missing.

    Examples
    --------
    >>> gaps(FuelTest(None, 3.0, 3.0, 3.0, None, fittings_checked=True))
    ('capacity of the tank', 'time of holding')
    """
    needed = (
        ("capacity of the tank", test.capacity_gal),
        ("height to the overflow", test.head_ft),
        ("pressure at the start", test.start_psi),
        ("pressure at the end", test.end_psi),
        ("time of holding", test.held_minutes),
        ("whether the fittings were checked under pressure", test.fittings_checked),
    )
    return tuple(name for name, value in needed if value is None)


def verdict(test: FuelTest) -> str | None:
    """Whether the record of one try shows that the rule was met.

    Parameters
    ----------
    test : FuelTest
        The try.

    Returns
    -------
    str or None
        :data:`OUT_OF_RULE` when something written down breaks it, :data:`MEETS` when
        nothing does and nothing is missing, else None: it cannot be told.

    Examples
    --------
    >>> verdict(FuelTest(60, 3.0, 3.0, 3.0, 6, fittings_checked=True))
    'meets the rule'
    """
    if breaches(test):
        return OUT_OF_RULE
    return None if gaps(test) else MEETS


def _check(what: str, value: float, *, at_least: float) -> None:
    if not value >= at_least:
        raise TraceGraphError(f"{what} must be {at_least:g} or more; got {value}. Mend the record.")
