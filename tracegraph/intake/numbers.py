"""Read numbers, percentages, yes and no, and words out of a short list."""

from __future__ import annotations

import re

from tracegraph.intake.ids import visible
from tracegraph.intake.rules import MISSING, Reading, ReadingRules, missing_word

_PLAIN = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?")
_YES = {"yes", "y", "true", "t", "1", "x"}
_NO = {"no", "n", "false", "f", "0"}


def read_number(text: str, rules: ReadingRules) -> Reading:
    """Read a number under the stated decimal mark.

    Parameters
    ----------
    text : str
        As written.
    rules : ReadingRules
        Gives the missing words and the decimal mark.

    Returns
    -------
    Reading
        The number as plain text, or a problem: nothing is guessed about thousands.

    Examples
    --------
    >>> read_number("21,5", ReadingRules(decimal=",")).value
    '21.5'
    >>> read_number("2,310", ReadingRules()).problem
    'a number like 12.5'
    """
    seen = visible(text)
    if seen.lower() in rules.missing:
        return missing_word(text)
    expected = f"a number like 12{rules.decimal}5"
    digits = seen
    if rules.decimal == ",":
        if "." in seen:
            return Reading(None, None, expected)
        digits = seen.replace(",", ".")
    if not _PLAIN.fullmatch(digits):
        return Reading(None, None, expected)
    return Reading(digits)


def read_whole(text: str, rules: ReadingRules) -> Reading:
    """Read a whole number; 12.0 counts as 12."""
    number = read_number(text, rules)
    if number.value is None:
        return Reading(None, number.rule, "a whole number" if number.problem else None)
    value = float(number.value)
    if not value.is_integer() or abs(value) > 2**53:
        return Reading(None, None, "a whole number")
    return Reading(str(int(value)))


def read_flag(text: str, rules: ReadingRules) -> Reading:
    """Read yes or no."""
    word = visible(text).lower()
    if word in _YES:
        return Reading("true")
    if word in _NO:
        return Reading("false")
    if word in rules.missing:
        return missing_word(text)
    return Reading(None, None, "yes or no")


def read_choice(text: str, rules: ReadingRules, choices: tuple[str, ...]) -> Reading:
    """Read one of a few words, without regard to case and spacing."""
    word = visible(text).lower().replace("_", " ")
    if word in choices:
        return Reading(word, None if word == text.strip() else "letter case")
    if not word:
        return MISSING
    if word in rules.missing:
        return missing_word(text)
    return Reading(None, None, f"one of {', '.join(choices)}")
