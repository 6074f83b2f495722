"""Units of measure: their spellings, and the one unit in which each quantity is kept.

The factors are exact by definition: the inch is 25.4 mm and the avoirdupois pound
0.45359237 kg (international yard and pound agreement, 1959), the US gallon 231 cubic
inches, the pound-force per square inch 6.894757 kPa to seven figures and the inch of
mercury at 0 degC 3.386389 kPa (NIST Special Publication 811, appendix B).
"""

from __future__ import annotations

from dataclasses import dataclass

from tracegraph.intake.ids import visible


@dataclass(frozen=True)
class Unit:
    """A unit and its way to the canonical one: ``canonical = (value - shift) * factor``.

    Attributes
    ----------
    name : str
        Canonical unit that values are converted to.
    factor : float
        Size of one unit in canonical units.
    shift : float
        Value of the unit at which the canonical unit is zero.
    """

    name: str
    factor: float = 1.0
    shift: float = 0.0


_INCH_UM = 25400.0
_FAMILIES: dict[Unit, tuple[str, ...]] = {
    Unit("degC"): ("degc", "c", "°c", "℃", "celsius", "celcius", "degreesc", "degreec", "gradc"),
    Unit("degC", 5 / 9, 32.0): ("degf", "f", "°f", "℉", "fahrenheit", "degreesf", "degreef"),
    Unit("degC", 1.0, 273.15): ("k", "kelvin"),
    Unit("um"): ("um", "µm", "μm", "micron", "microns", "micrometer", "micrometre"),
    Unit("um", 1000.0): ("mm",),
    Unit("um", _INCH_UM / 1000): ("mil", "mils", "thou"),
    Unit("um", _INCH_UM): ("in", "inch", "inches", '"'),
    Unit("%", 100.0): ("fraction",),
    Unit("%"): ("%", "pct", "percent", "% rh", "%rh", "rh"),
    Unit("kg"): ("kg", "kgs", "kilogram", "kilograms"),
    Unit("kg", 0.001): ("g", "gram", "grams"),
    Unit("kg", 0.45359237): ("lb", "lbs", "pound", "pounds"),
    Unit("kg", 0.45359237 / 16): ("oz", "ounce", "ounces"),
    Unit("min"): ("min", "mins", "minute", "minutes"),
    Unit("min", 1 / 60): ("s", "sec", "secs", "second", "seconds"),
    Unit("h"): ("h", "hr", "hrs", "hour", "hours"),
    Unit("h", 24.0): ("day", "days"),
    Unit("kPa"): ("kpa",),
    Unit("kPa", 0.001): ("pa",),
    Unit("kPa", 0.1): ("mbar", "hpa"),
    Unit("kPa", 100.0): ("bar",),
    Unit("kPa", 6.894757): ("psi",),
    Unit("kPa", 3.386389): ("inhg", "in hg"),
    Unit("L"): ("l", "liter", "litre", "liters", "litres"),
    Unit("L", 0.001): ("ml", "cc"),
    Unit("L", 3.785411784): ("gal", "gallon", "gallons"),
    Unit("pcs"): ("pcs", "pc", "piece", "pieces", "ea", "each"),
}


def _bare(text: str) -> str:
    """Spelling of a unit without case, spaces, full stops, and the degree sign spelt out."""
    return (
        visible(text)
        .lower()
        .replace(" ", "")
        .replace(".", "")
        .replace("º", "°")
        .replace("°", "deg")
    )


_BY_SPELLING = {_bare(word): unit for unit, words in _FAMILIES.items() for word in words}


def find_unit(text: str) -> Unit | None:
    """Find the unit that a text names, without regard to case.

    Examples
    --------
    >>> find_unit("degF").name
    'degC'
    >>> find_unit("furlong") is None
    True
    """
    return _BY_SPELLING.get(_bare(text))


def convert(value: float, unit: Unit) -> float:
    """Value in the canonical unit, to twelve significant digits.

    Examples
    --------
    >>> convert(77.0, find_unit("degF"))
    25.0
    """
    return float(f"{(value - unit.shift) * unit.factor:.12g}")
