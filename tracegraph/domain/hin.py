"""Read a hull identification number: 33 CFR 181.25, its older forms, and ISO 10087.

The modern number has twelve characters: three of the maker's code, five of the serial
(no I, O or Q), a letter for the month (A is January), the last digit of the year, and two
digits of the model year. The international form puts a country before it. There is no
check digit: a mistyped serial can be another boat, so nothing is ever corrected here,
only suggested.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum


class HinForm(Enum):
    """Which form a number has."""

    US = "US"
    INTERNATIONAL = "international"
    STRAIGHT_YEAR = "legacy straight-year"
    MODEL_YEAR = "legacy model-year"


@dataclass(frozen=True)
class Hin:
    """A hull identification number that was read.

    Attributes
    ----------
    number : str
        The twelve characters, in capitals and without separators; what numbers are
        matched by.
    form : HinForm
        Form of the number. Legacy numbers are recognised and not decoded.
    maker : str
        Manufacturer identification code.
    serial : str
        The maker's serial.
    country : str or None
        Two letters before the number.
    month : int or None
        Month of certification or manufacture, 1 to 12.
    year : int or None
        Its year; None when the two years do not tell the decade.
    model_year : int or None
        Model year.
    warnings : tuple of str
        Doubts, and what was normalised.
    """

    number: str
    form: HinForm
    maker: str
    serial: str
    country: str | None = None
    month: int | None = None
    year: int | None = None
    model_year: int | None = None
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class InvalidHin:
    """A text that is no hull identification number.

    Attributes
    ----------
    text : str
        As written.
    reason : str
        The first rule that it breaks.
    suggestion : str or None
        A number that differs in look-alike letters only; for a person to decide.
    """

    text: str
    reason: str
    suggestion: str | None = None


_MODERN = re.compile(r"([A-Z0-9]{3})([A-HJ-NPR-Z0-9]{5})([A-L])([0-9])([0-9]{2})")
_STRAIGHT = re.compile(r"([A-Z0-9]{3})([A-HJ-NPR-Z0-9]{5})(0[1-9]|1[0-2])([0-9]{2})")
_MODEL_YEAR = re.compile(r"([A-Z0-9]{3})([A-HJ-NPR-Z0-9]{5})M([0-9]{2})([A-L])")
_MARKED = re.compile(r"(?:[A-Z]{2}-?)?[A-Z0-9]{12}")
_SEPARATORS = re.compile(r"[^A-Z0-9]")
_LOOK_ALIKE = str.maketrans("IOQ", "100")
_FIRST_CENTURY_YEAR = 84  # model years 84 to 99 belong to the 1900s


def read_hin(text: str) -> Hin | InvalidHin:
    """Read a hull identification number.

    Parameters
    ----------
    text : str
        As written; case, spaces, hyphens and a country before it do not matter.

    Returns
    -------
    Hin or InvalidHin
        Doubts are warnings, never errors: a number that is well formed is kept.

    References
    ----------
    .. [1] 33 CFR 181.25, hull identification number format.
    .. [2] ISO 10087, small craft: craft identification, coding system.

    Examples
    --------
    >>> hin = read_hin("US-QZX00042C525")
    >>> hin.number, hin.country, hin.month, hin.year, hin.model_year
    ('QZX00042C525', 'US', 3, 2025, 2025)
    """
    capitals = text.strip().upper()
    letters = _SEPARATORS.sub("", capitals)
    country = letters[:2] if re.fullmatch(r"[A-Z]{2}[A-Z0-9]{12}", letters) else None
    number = letters[2:] if country else letters
    notes = []
    if not _MARKED.fullmatch(text.strip()):
        notes.append(f"normalised from {text!r}")
    if len(number) != 12:
        return InvalidHin(text, f"has {len(number)} characters; 12 are expected")
    modern = _MODERN.fullmatch(number)
    if modern:
        return _modern(modern, country, notes)
    straight, model_year = _STRAIGHT.fullmatch(number), _MODEL_YEAR.fullmatch(number)
    legacy = straight or model_year
    if legacy:
        form = HinForm.STRAIGHT_YEAR if straight else HinForm.MODEL_YEAR
        notes.append("legacy format: not decoded")
        return Hin(number, form, legacy[1], legacy[2], country, warnings=tuple(notes))
    return _invalid(text, number)


def _modern(match: re.Match[str], country: str | None, notes: list[str]) -> Hin:
    maker, serial, letter, digit, years = match.groups()
    month = "ABCDEFGHIJKL".index(letter) + 1
    model_year = int(years) + (1900 if int(years) >= _FIRST_CENTURY_YEAR else 2000)
    behind = (model_year - int(digit)) % 10
    year: int | None = None
    if behind <= 4:
        year = model_year - behind
    elif behind >= 8:
        year = model_year + 10 - behind
    if year is None:
        notes.append(
            f"year digit {digit} and model year {model_year} do not tell the decade of the build"
        )
    elif model_year not in _expected_model_years(year, month):
        notes.append(f"built {year}-{month:02d} with model year {model_year}")
    form = HinForm.INTERNATIONAL if country else HinForm.US
    return Hin(match[0], form, maker, serial, country, month, year, model_year, tuple(notes))


def _expected_model_years(year: int, month: int) -> tuple[int, ...]:
    """Model years of a boat built in a month, by the US rule in force since 2017."""
    if month <= 5:
        return (year,)
    return (year, year + 1) if month <= 7 else (year + 1,)


def _invalid(text: str, number: str) -> InvalidHin:
    serial = number[3:8]
    banned = sorted(set(serial) & set("IOQ"))
    if banned:
        mended = number[:3] + serial.translate(_LOOK_ALIKE) + number[8:]
        suggestion = mended if _MODERN.fullmatch(mended) else None
        return InvalidHin(text, f"{', '.join(banned)} cannot stand in the serial", suggestion)
    if number[8] not in "ABCDEFGHIJKL":
        return InvalidHin(text, f"{number[8]} is not a month letter (A to L)")
    if not number[9].isdigit():
        return InvalidHin(text, f"{number[9]} is not the last digit of a year")
    return InvalidHin(text, f"{number[10:]} is not a model year of two digits")
