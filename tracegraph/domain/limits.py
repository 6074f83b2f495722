"""Limits on readings, each with where it comes from; a plant puts its own in their place.

None of these is set by a rule for boats. They are what guides of the trade agree on, and
the material maker's sheet decides. Where guides differ the wider limit stands, so that a
value outside is outside of all of them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tracegraph.domain.units import unit_sign

COMMON_PRACTICE = "common practice"
CLASS_RULES = "class rules for fibre-reinforced plastics"
TRADE_GUIDES = "trade guides, which differ; the wider limit"
COATING_CHARTS = "coating charts, 3 °C above the dew point"

SPRAYING = ("gelcoat spray",)
COATS = ("gelcoat spray", "skin coat", "laminate")
LAYING_UP = ("skin coat", "laminate")


@dataclass(frozen=True)
class Limit:
    """Limits of one quantity.

    Attributes
    ----------
    quantity : str
        What is measured, as in the records; a wait is ``hours since <step>``.
    unit : str
        Unit of the limits, as the store keeps values.
    low, high : float or None
        Values outside are out of limits; None: no limit on that side.
    steps : tuple of str
        Steps that it holds for; empty: all.
    source : str
        Where it comes from.
    """

    quantity: str
    unit: str
    low: float | None
    high: float | None
    steps: tuple[str, ...]
    source: str

    @property
    def range(self) -> str:
        """The limits in words.

        Examples
        --------
        >>> Limit("wet_film", "um", 305.0, 610.0, (), TRADE_GUIDES).range
        '305 to 610 µm'
        """
        sign = unit_sign(self.unit)
        if self.low is None:
            text = f"at most {self.high:g} {sign}"
        elif self.high is None:
            text = f"at least {self.low:g} {sign}"
        else:
            text = f"{self.low:g} to {self.high:g} {sign}"
        return text.rstrip()

    def holds_for(self, quantity: str, step: str, unit: str | None) -> bool:
        """Whether the limit speaks of a reading."""
        return (
            quantity == self.quantity
            and (not self.steps or step in self.steps)
            and unit == self.unit
        )

    def broken_by(self, value: float) -> bool:
        """Whether a value lies outside.

        Examples
        --------
        >>> limit = Limit("relative_humidity", "%", 40.0, 80.0, (), COMMON_PRACTICE)
        >>> [limit.broken_by(value) for value in (39.9, 40.0, 80.0, 81.0)]
        [True, False, False, True]
        """
        below = self.low is not None and value < self.low
        return below or (self.high is not None and value > self.high)


LIMITS: tuple[Limit, ...] = (
    Limit("ambient_temp", "degC", 18.0, None, COATS, CLASS_RULES),
    Limit("relative_humidity", "%", 40.0, 80.0, SPRAYING, CLASS_RULES),
    Limit("relative_humidity", "%", None, 80.0, LAYING_UP, CLASS_RULES),
    Limit("mold_temp", "degC", 16.0, 27.0, SPRAYING, TRADE_GUIDES),
    Limit("dew_point_margin", "degC", 3.0, None, COATS, COATING_CHARTS),
    Limit("catalyst_pct", "%", 1.2, 2.4, SPRAYING, COMMON_PRACTICE),
    Limit("gel_time", "min", 10.0, 45.0, SPRAYING, TRADE_GUIDES),
    Limit("wet_film", "um", 305.0, 610.0, SPRAYING, TRADE_GUIDES),
    Limit("hours since gelcoat spray", "h", None, 24.0, LAYING_UP, COMMON_PRACTICE),
)
"""Defaults; 305 and 610 µm are 12 and 24 mil."""

LATE_DAYS: int = 7
"""Days from an event to its record after which the record counts as late (common practice)."""


def limits_of(
    quantity: str, step: str, unit: str | None, limits: Iterable[Limit] = LIMITS
) -> tuple[Limit, ...]:
    """Limits that speak of a reading.

    Parameters
    ----------
    quantity, step : str
        What was measured, during which step.
    unit : str or None
        Unit of the value.
    limits : iterable of Limit
        Those in force.

    Returns
    -------
    tuple of Limit
        In their order.

    Examples
    --------
    >>> [limit.low for limit in limits_of("wet_film", "gelcoat spray", "um")]
    [305.0]
    """
    return tuple(limit for limit in limits if limit.holds_for(quantity, step, unit))
