"""Read numbers, percentages, yes and no, and words out of a short list."""

from __future__ import annotations

import re
from math import isfinite

from tracegraph.intake.ids import visible
from tracegraph.intake.rules import Reading, ReadingRules, missing_word
from tracegraph.intake.units import find_unit

_PLAIN = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]{1,3})?")
_WITH_UNIT = re.compile(
    r"(?P<number>[+-]?[0-9.,' ]*[0-9][.,]?(?:[eE][+-]?[0-9]{1,3})?) *(?P<unit>[^0-9\s].*)"
)
_YES = {"yes", "y", "true", "t", "1", "x"}
_NO = {"no", "n", "false", "f", "0"}


def read_number(text: str, rules: ReadingRules, unit: str | None = None) -> Reading:
    """Read a number under the stated marks.

    Parameters
    ----------
    text : str
        As written.
    rules : ReadingRules
        Gives the missing words, the sentinels, and the marks before decimals and between
        thousands.
    unit : str, optional
        Unit of the column; a cell may repeat it behind the number. Without it a cell may
        hold a percent sign.

    Returns
    -------
    Reading
        The number as plain text, or a problem: nothing is guessed about thousands.

    Examples
    --------
    >>> read_number("2.150,75", ReadingRules(decimal=",")).value
    '2150.75'
    >>> read_number("2,310", ReadingRules()).problem
    'a number like 12.5'
    """
    seen = visible(text)
    if seen.lower() in rules.absent:
        return missing_word(text)
    rule = None
    behind = _WITH_UNIT.fullmatch(seen)
    if behind and _same_unit(behind["unit"], unit):
        seen, rule = behind["number"].strip(), "unit in the cell"
    digits = _digits(seen, rules)
    if digits is None or not isfinite(float(digits)):
        return Reading(None, None, f"a number like 12{rules.decimal or '.'}5")
    if float(digits) in rules.sentinels:
        return Reading(None, "stands for nothing, by intake.toml")
    return Reading(digits, rule)


def _same_unit(written: str, unit: str | None) -> bool:
    if unit is None:
        return written == "%"
    found = find_unit(written)
    return found is not None and found == find_unit(unit)


def _digits(seen: str, rules: ReadingRules) -> str | None:
    """Plain digits of a number, or None when the marks do not allow one reading."""
    decimal = rules.decimal or "."
    other = "," if decimal == "." else "."
    whole, mark, decimals = seen.partition(decimal)
    decimals = decimals.replace(".", "?")  # a point behind a comma is no decimal point
    if rules.thousands is not None and rules.thousands != decimal:
        whole = _ungrouped(whole, rules.thousands)
    elif rules.decimal is not None and mark and other in whole:
        whole = _ungrouped(whole, other)
    if "." in whole:
        return None  # 1.234 where numbers have a comma: thousands, or a slip
    digits = whole + ("." + decimals if mark else "")
    return digits if _PLAIN.fullmatch(digits) else None


def _ungrouped(whole: str, mark: str) -> str:
    """Digits without the mark between thousands, where it stands between thousands only."""
    grouped = re.fullmatch(rf"[+-]?[1-9][0-9]{{0,2}}({re.escape(mark)}[0-9]{{3}})+", whole)
    return whole.replace(mark, "") if grouped else whole


def read_share(text: str, rules: ReadingRules) -> Reading:
    """Read a share of a whole: a number from 0 to 1, or one with a percent sign.

    Examples
    --------
    >>> read_share("60 %", ReadingRules()).value, read_share("60", ReadingRules()).problem
    ('0.6', 'a share from 0 to 1, or with a percent sign')
    """
    number = read_number(text, rules)
    if number.value is None:
        return number
    value, rule = float(number.value), number.rule
    if visible(text).endswith("%"):
        value, rule = float(f"{value / 100:.12g}"), "percent sign"
    if not 0 <= value <= 1:
        return Reading(None, None, "a share from 0 to 1, or with a percent sign")
    return Reading(repr(value), rule)


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
    if word in rules.absent:
        return missing_word(text)
    return Reading(None, None, "yes or no")


def read_choice(text: str, rules: ReadingRules, choices: tuple[str, ...]) -> Reading:
    """Read one of a few words, without regard to case and spacing."""
    word = visible(text).lower().replace("_", " ")
    if word in choices:
        return Reading(word, None if word == text.strip() else "letter case")
    if word in rules.absent:
        return missing_word(text)
    return Reading(None, None, f"one of {', '.join(choices)}")
