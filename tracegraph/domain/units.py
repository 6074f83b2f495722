"""Units as a reader sees them."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    import pandas as pd

DIFFERENCES: tuple[str, ...] = ("dew_point_margin",)
"""Quantities that are a difference of two temperatures: their zero is no temperature."""

_SCALES: dict[tuple[str, str], tuple[float, float]] = {
    ("degC", "degF"): (1.8, 32.0),
    ("um", "mil"): (1 / 25.4, 0.0),
}
"""Factor and shift from one unit to another; the inch is 25.4 mm by definition."""

Values = TypeVar("Values", float, "pd.Series[float]")

_SIGNS = {"degC": "°C", "degF": "°F", "um": "µm", "d": "days"}


def unit_sign(unit: str | None) -> str:
    """Sign of a unit word of the records, such as °C for degC.

    Parameters
    ----------
    unit : str or None
        The word in the store.

    Returns
    -------
    str
        Its sign; the word itself when it has none; empty for None.

    Examples
    --------
    >>> unit_sign("degC"), unit_sign("kPa"), unit_sign(None)
    ('°C', 'kPa', '')
    """
    if unit is None:
        return ""
    return _SIGNS.get(unit, unit)


def in_unit(values: Values, unit: str, wanted: str, *, difference: bool = False) -> Values:
    """Values in another unit of the same kind.

    Parameters
    ----------
    values : float or Series
        In ``unit``.
    unit, wanted : str
        Words of the store, as degC and degF.
    difference : bool, default False
        Whether the values are differences of two temperatures.

    Examples
    --------
    >>> in_unit(25.0, "degC", "degF"), in_unit(3.0, "degC", "degF", difference=True)
    (77.0, 5.4)
    >>> round(in_unit(508.0, "um", "mil"), 9)
    20.0
    """
    if unit == wanted:
        return values
    factor, shift = _SCALES[unit, wanted]
    return values * factor + (0.0 if difference else shift)
