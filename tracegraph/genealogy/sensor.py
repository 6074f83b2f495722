"""Readings as sensor reports of GS1 EPCIS 2.0, and names as URIs."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

NAMESPACE = "urn:tracegraph:"

# Measurement types of the standard with unit codes of UN/ECE Recommendation 20.
_MEASURED: dict[str, tuple[str, str]] = {
    "degC": ("Temperature", "CEL"),
    "degF": ("Temperature", "FAH"),
    "um": ("Length", "4H"),
    "min": ("Time", "MIN"),
    "h": ("Time", "HUR"),
    "d": ("Time", "DAY"),
    "kPa": ("Pressure", "KPA"),
    "psi": ("Pressure", "PS"),
    "kg": ("Mass", "KGM"),
    "g": ("Mass", "GRM"),
    "lb": ("Mass", "LBR"),
    "L": ("Volume", "LTR"),
    "%": ("Dimensionless", "P1"),
    "pcs": ("Count", "H87"),
}
_HUMIDITY = "relative_humidity"


def identifier(node: str) -> str:
    """Name of a node as a URI.

    Examples
    --------
    >>> identifier("lot:gelcoat|G-1")
    'urn:tracegraph:lot:gelcoat%7CG-1'
    """
    kind, _, key = node.partition(":")
    return f"{NAMESPACE}{kind}:{quote(key, safe='-._~', errors='surrogatepass')}"


def unit_code(unit: str | None) -> str | None:
    """Code of a unit in UN/ECE Recommendation 20; None when it has none here.

    Examples
    --------
    >>> unit_code("kg"), unit_code("furlong"), unit_code(None)
    ('KGM', None, None)
    """
    return None if unit not in _MEASURED else _MEASURED[unit][1]


def sensor_report(
    quantity: str,
    value: float,
    unit: str | None,
    *,
    low: float | None = None,
    high: float | None = None,
) -> dict[str, Any]:
    """One value, by the standard's type of measurement where it has one.

    Parameters
    ----------
    quantity : str
        What was measured, in the plant's words.
    value : float
        The value.
    unit : str or None
        Its unit, as in the store.
    low, high : float, optional
        Least and largest of a series of which ``value`` is the mean.

    Returns
    -------
    dict
        A sensor report; the plant's word stands in ``dataProcessingMethod``, or in
        ``type`` where the standard has no type for the unit.

    Examples
    --------
    >>> sensor_report("mold_temp", 21.5, "degC")["type"]
    'Temperature'
    """
    name = identifier(f"quantity:{quantity}")
    told = {"value": float(value)}
    if low is not None and high is not None:
        told = {"meanValue": float(value), "minValue": float(low), "maxValue": float(high)}
    if unit not in _MEASURED:
        return {"type": name, **told}
    kind, code = _MEASURED[unit]
    if quantity == _HUMIDITY:
        kind = "RelativeHumidity"
    return {"type": kind, **told, "uom": code, "dataProcessingMethod": name}
