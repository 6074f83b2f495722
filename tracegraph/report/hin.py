"""A hull identification number read out in words.

Source: 33 CFR 181.25, as read in copies of 2000 to 2026: three characters of the maker's code,
five of the serial (without I, O and Q), a letter for the month A to L, the last digit of the
year of certification or manufacture, and two digits of the model year.
"""

from __future__ import annotations

import re
from calendar import month_name

_SHAPE = re.compile(r"^([A-Z0-9]{3})([A-HJ-NPR-Z0-9]{5})([A-L])([0-9])([0-9]{2})$")
_COUNTRY = re.compile(r"^[A-Z]{2}(?=[A-Z0-9]{12}$)")


def hin_words(hin: str) -> str:
    """What a number says, or that it does not have the shape of one.

    Parameters
    ----------
    hin : str
        As written; spaces, hyphens and a country code are skipped over.

    Returns
    -------
    str
        One sentence.

    Examples
    --------
    >>> hin_words("US-QZX00042C525")
    'maker QZX, serial 00042, March of a year ending in 5, model year 2025.'
    >>> hin_words("42")
    'it does not have the 12 characters of the usual form.'
    """
    letters = re.sub("[^A-Z0-9]", "", hin.upper())
    letters = _COUNTRY.sub("", letters)
    found = _SHAPE.match(letters)
    if found is None:
        if len(letters) != 12:
            return "it does not have the 12 characters of the usual form."
        return "it does not have the usual form; check it against the hull."
    maker, serial, month, digit, year = found.groups()
    return (
        f"maker {maker}, serial {serial}, {month_name[ord(month) - 64]} of a year ending in "
        f"{digit}, model year 20{year}."
    )
