"""Units as a reader sees them."""

from __future__ import annotations

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
