"""What the texts of a column look like: the evidence of a proposal."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from tracegraph.intake.ids import visible
from tracegraph.intake.rules import MISSING_WORDS, DayOrder

_DAY = re.compile(r"(\d{1,4})[-/. ](\d{1,2})[-/. ](\d{1,4})(?P<clock>[T ]+\d{1,2}:\d{2}.*)?")
_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?%?")
_FLAGS = {"yes", "no", "y", "n", "true", "false"}
_MOST = 0.8


@dataclass(frozen=True)
class Profile:
    """One column of a sample of rows.

    Attributes
    ----------
    header : str
        Its header.
    form : {"blank", "date", "time", "number", "yes or no", "text"}
        What most of its texts look like.
    filled, rows : int
        Rows that hold something, of all rows of the sample.
    different : int
        Different texts.
    examples : tuple of str
        A few of them.
    order : {"year first", "month first", "day first"} or None
        Order of dates, where some date proves it.
    ordered : bool
        Whether dates need an order to be stated.
    short_years : bool
        Whether years have two digits.
    """

    header: str
    form: str
    filled: int
    rows: int
    different: int
    examples: tuple[str, ...]
    order: DayOrder | None = None
    ordered: bool = False
    short_years: bool = False

    @property
    def unique(self) -> bool:
        """Whether every filled row holds another text."""
        return self.filled > 1 and self.different == self.filled

    @property
    def evidence(self) -> str:
        """One line about the column."""
        shown = ", ".join(repr(text[:24]) for text in self.examples)
        return f"{self.form}, {self.filled} of {self.rows} filled, such as {shown}"


def profile(header: str, texts: Sequence[str]) -> Profile:
    """Look at the texts of a column.

    Parameters
    ----------
    header : str
        Its header.
    texts : sequence of str
        As written, blank ones included.

    Examples
    --------
    >>> profile("Start", ["05/13/2024 07:10", "05/02/2024 08:00"]).order
    'month first'
    """
    filled = [seen for text in texts if (seen := visible(text)).lower() not in MISSING_WORDS]
    different = dict.fromkeys(filled)
    examples = tuple(different)[:3]
    days = [match for text in filled if (match := _DAY.fullmatch(text))]
    form = "text"
    order: DayOrder | None = None
    ordered = short = False
    if not filled:
        form = "blank"
    elif len(days) >= _MOST * len(filled):
        clocks = sum(match["clock"] is not None for match in days)
        form = "time" if clocks * 2 > len(days) else "date"
        order, ordered = _order(days)
        short = any(len(match[1]) < 4 and len(match[3]) < 4 for match in days)
    elif sum(bool(_NUMBER.fullmatch(text)) for text in filled) >= _MOST * len(filled):
        form = "number"
    elif {text.lower() for text in different} <= _FLAGS:
        form = "yes or no"
    return Profile(
        header, form, len(filled), len(texts), len(different), examples, order, ordered, short
    )


def _order(days: list[re.Match[str]]) -> tuple[DayOrder | None, bool]:
    loose = [match for match in days if len(match[1]) < 4]
    if not loose:
        return "year first", False
    day_first = any(int(m[1]) > 12 >= int(m[2]) for m in loose)
    month_first = any(int(m[2]) > 12 >= int(m[1]) for m in loose)
    if day_first == month_first:
        return None, True
    return ("day first" if day_first else "month first"), True
