"""The rules by which the text of one file is read: what is missing, how dates and numbers go."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

DayOrder = Literal["year first", "month first", "day first"]
DecimalMark = Literal[".", ","]
ThousandsMark = Literal[",", ".", " ", "'"]
SerialDates = Literal["1900", "1904"]

MISSING_WORDS = (
    "",
    "n/a",
    "na",
    "none",
    "null",
    "nil",
    "nan",
    "tbd",
    "tba",
    "?",
    "??",
    "-",
    "--",
    "---",
    "???",
    ".",
    "...",
    "....",
    "\u2026",
    "_",
    "__",
    "/",
    "*",
    '""',
    "''",
    "n / a",
    "n. a.",
    "n/a.",
    "na.",
    "n.a",
    "n.a.",
    "n/k",
    "(blank)",
    "(none)",
    "(null)",
    "<na>",
    "<none>",
    "<null>",
    "\\n",
    "unk",
    "unk.",
    "t.b.d.",
    "t.b.d",
    "k.a.",
    "k. a.",
    "keine angabe",
    "unbekannt",
    "fehlt",
    "missing",
    "unknown",
    "illegible",
    "not applicable",
    "not available",
    "not known",
    "not recorded",
)
# What spreadsheets show in a cell whose formula failed: never a value. In English, as of
# newer programs, and in the languages of some neighbours (common practice).
ERROR_WORDS = frozenset(
    {"#n/a", "#div/0!", "#name?", "#null!", "#num!", "#ref!", "#value!", "#getting_data"}
    | {"#div/0", "#error!", "#spill!", "#calc!", "#field!", "#blocked!", "#unknown!"}
    | {"#connect!", "#busy!", "#external!", "#python!", "#circ!"}
    | {"#nv", "#n/v", "#wert!", "#bezug!", "#zahl!", "#valeur!", "#nombre!", "#nom?", "#nul!"}
    | {"#valore!", "#rif!", "#nome?", "#¡valor!", "#¡ref!", "#¡num!", "#¡div/0!", "#¿nombre?"}
    | {f"err:{number}" for number in range(501, 541)}
)
# Words that may be a code all the same, when a table that defines codes lists them.
DOUBTFUL_WORDS = frozenset({"na", "none", "null", "nil", "nan"})
EARLIEST_YEAR = 1950
LATEST_YEAR = 2100


@dataclass(frozen=True)
class IdRule:
    """How the identities of one field are brought to one form.

    Attributes
    ----------
    pad : int or None
        Width to which numbers are filled with zeros on the left.
    drop_prefix : tuple of str
        Beginnings that are taken off, whatever their case.
    same : tuple of (str, str)
        Text as written, in lower case, and the identity that it means.
    """

    pad: int | None = None
    drop_prefix: tuple[str, ...] = ()
    same: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class ReadingRules:
    """How the text of one file is read.

    Attributes
    ----------
    time_zone : str
        Zone of times written without one.
    missing : frozenset of str
        Words, in lower case, that say that nothing was written down.
    codes : frozenset of str
        Words, in lower case, that are codes although they look missing.
    dates : {"year first", "month first", "day first"} or None
        Order of dates, when stated. A date that begins with a four-digit year is always
        read so.
    decimal : {".", ","} or None
        Mark before the decimals, when stated.
    thousands : {",", ".", " ", "'"} or None
        Mark between groups of three digits, when stated.
    two_digit_years_from : int or None
        First year of the hundred in which years of two digits fall.
    serial_dates : {"1900", "1904"} or None
        Day count of a spreadsheet that bare numbers in date columns are.
    sentinels : frozenset of float
        Numbers that stand for nothing.
    in_time_order : bool
        Whether rows stand in the order of their times.
    earliest_year, latest_year : int
        Dates outside are not believed.
    ids : tuple of (str, IdRule)
        Rule of each field that has one.
    """

    time_zone: str = "UTC"
    missing: frozenset[str] = field(default_factory=lambda: frozenset(MISSING_WORDS))
    codes: frozenset[str] = frozenset()
    dates: DayOrder | None = None
    decimal: DecimalMark | None = None
    thousands: ThousandsMark | None = None
    two_digit_years_from: int | None = None
    serial_dates: SerialDates | None = None
    sentinels: frozenset[float] = frozenset()
    in_time_order: bool = False
    earliest_year: int = EARLIEST_YEAR
    latest_year: int = LATEST_YEAR
    ids: tuple[tuple[str, IdRule], ...] = ()

    @property
    def absent(self) -> frozenset[str]:
        """Words that stand for nothing."""
        return (self.missing - self.codes) | ERROR_WORDS | {""}

    def id_rule(self, name: str) -> IdRule | None:
        """Rule of a field, or None."""
        return dict(self.ids).get(name)


@dataclass(frozen=True)
class Reading:
    """One text as it was read.

    Attributes
    ----------
    value : str or None
        Canonical text: ISO dates and times (UTC), plain numbers; None when missing.
    rule : str or None
        Name of the rule that changed the text, when it is worth keeping the original.
    problem : str or None
        What was expected, when the text could not be read; then ``value`` is None.
    """

    value: str | None
    rule: str | None = None
    problem: str | None = None


def missing_word(text: str) -> Reading:
    """Reading of a word that stands for nothing; a blank leaves no trace."""
    if text.strip().lower() in ERROR_WORDS:
        return Reading(None, "error in the cell")
    return Reading(None, "missing word" if text.strip() else None)
