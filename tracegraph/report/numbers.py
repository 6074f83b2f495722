"""Numbers as a reader sees them: counts, chances, ratios and their intervals.

A chance is never shown as 0 and a ratio without a limit is said in words.
"""

from __future__ import annotations

import math

from tracegraph.domain import units
from tracegraph.report.formats import marked

NONE = "–"
"""What stands in the place of a number that cannot be computed."""

SMALLEST_SHOWN = 1e-300
"""Below this a float loses digits; the power of ten then comes from the logarithm."""

_SUPERSCRIPT = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def count(number: float) -> str:
    """Whole number with thousands marks.

    Examples
    --------
    >>> count(1020)
    '1,020'
    """
    return marked(f"{round(number):,}")


def of(part: float, whole: float) -> str:
    """Two counts, never a bare percentage.

    Examples
    --------
    >>> of(9, 1061)
    '9 of 1,061'
    """
    return f"{count(part)} of {count(whole)}"


def percent(part: float, whole: float) -> str:
    """Share with both numbers.

    Examples
    --------
    >>> percent(9, 61)
    '9 of 61 (15 %)'
    >>> percent(0, 0)
    '0 of 0'
    """
    text = f"{count(part)} of {count(whole)}"
    if not whole:
        return text
    share = 100 * part / whole
    digits = 0 if share >= 1 or share == 0 else 2
    return f"{text} ({fixed(share, digits)} %)"


def chance(p: float, log10: float | None = None) -> str:
    """A p or q value in two digits, small ones as a power of ten.

    Parameters
    ----------
    p : float
        In [0, 1]; NaN when it cannot be computed.
    log10 : float, optional
        Its decimal logarithm, for values that a float cannot hold.

    Returns
    -------
    str
        Never ``"0"``.

    Examples
    --------
    >>> chance(0.0361), chance(6.2e-10), chance(0.9999)
    ('0.036', '6.2 × 10⁻¹⁰', '1.0')
    >>> chance(0.0, -1088.795)
    '1.6 × 10⁻¹⁰⁸⁹'
    """
    if math.isnan(p):
        return NONE
    if p < SMALLEST_SHOWN:
        if log10 is None or not math.isfinite(log10):
            return "below 10⁻³⁰⁰"
        exponent = math.floor(log10)
        return _power(exponent, 10 ** (log10 - exponent))
    if p >= 0.001:
        return marked(_two_digits(p))
    exponent = math.floor(math.log10(p))
    return _power(exponent, p / 10.0**exponent)


def equals(symbol: str, p: float, log10: float | None = None) -> str:
    """A chance after its symbol, as in ``p 0.036`` or ``q below 10⁻³⁰⁰``.

    Examples
    --------
    >>> equals("p", 0.036), equals("q", 0.0)
    ('p 0.036', 'q below 10⁻³⁰⁰')
    """
    return f"{symbol} {chance(p, log10)}"


def ratio(value: float) -> str:
    """A ratio in three digits; infinity as a word.

    Examples
    --------
    >>> [ratio(x) for x in (0.0, 0.0412, 8.3333, 57.88, 1234.5, 329435.7)]
    ['0', '0.0412', '8.33', '57.9', '1,230', '329,000']
    >>> ratio(float("inf")), ratio(float("nan"))
    ('infinite', '–')
    """
    if math.isnan(value):
        return NONE
    if math.isinf(value):
        return "infinite"
    return _digits(value, 3)


def interval(low: float, high: float) -> str:
    """A 95 % interval in words.

    Examples
    --------
    >>> interval(13.94, 180.6), interval(2.078, float("inf"))
    ('13.9 to 181', 'at least 2.08')
    >>> interval(float("nan"), float("nan"))
    '–'
    """
    if math.isnan(low) or math.isnan(high):
        return NONE
    if math.isinf(high):
        return f"at least {ratio(low)}"
    return f"{ratio(low)} to {ratio(high)}"


def amount(value: float) -> str:
    """A measured value in up to three digits.

    Examples
    --------
    >>> amount(21.53), amount(1.875), amount(12345.6), amount(float("nan"))
    ('21.5', '1.88', '12,300', '–')
    """
    return NONE if math.isnan(value) else _digits(value, 3)


def fixed(value: float, places: int) -> str:
    """A number with so many decimals.

    Examples
    --------
    >>> fixed(1234.56, 1), fixed(0.5, 0)
    ('1,234.6', '0')
    """
    return marked(f"{value:,.{places}f}")


def measured(value: float, unit: str | None) -> str:
    """A measured value with its unit; less than an hour in minutes.

    Examples
    --------
    >>> measured(21.53, "degC"), measured(0.25, "h"), measured(62.4, "h"), measured(4, None)
    ('21.5 °C', '15 min', '62.4 h', '4')
    """
    if unit == "h" and 0 <= value < 1:
        return f"{60 * value:.0f} min"
    return f"{amount(value)} {unit_sign(unit)}".rstrip()


def unit_sign(unit: str | None) -> str:
    """A unit as it is printed.

    Examples
    --------
    >>> unit_sign("degC"), unit_sign("um"), unit_sign("min"), unit_sign(None)
    ('°C', 'µm', 'min', '')
    """
    return "" if unit is None or unit != unit else units.unit_sign(unit)


def plural(number: int, one: str, many: str | None = None) -> str:
    """A count with its noun.

    Examples
    --------
    >>> plural(1, "hull"), plural(1200, "hull"), plural(2, "family", "families")
    ('1 hull', '1,200 hulls', '2 families')
    """
    return f"{count(number)} {one if number == 1 else many or one + 's'}"


def _digits(value: float, digits: int) -> str:
    if value == 0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, places)
    if places <= 0:
        return marked(f"{rounded:,.0f}")
    return marked(f"{rounded:,.{places}f}".rstrip("0").rstrip("."))


def _two_digits(p: float) -> str:
    if p >= 0.995:
        return "1.0"
    places = 1 - math.floor(math.log10(p))
    text = f"{p:.{places}f}"
    # Rounding may carry into a new digit: 0.0996 is 0.10, not 0.100.
    return text if float(text) < 10.0 ** (2 - places) else f"{p:.{places - 1}f}"


def _power(exponent: int, mantissa: float) -> str:
    if float(f"{mantissa:.1f}") >= 10:
        exponent, mantissa = exponent + 1, 1.0
    return f"{fixed(mantissa, 1)} × 10{str(exponent).translate(_SUPERSCRIPT)}"
