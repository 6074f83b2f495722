"""How one reader wants dates, numbers and units written.

What is stored and what is downloaded for another program never changes with it, but for
measured values in tables, which bear their unit beside them. Names of bands, and what a
finding says, keep the unit in which they were cut.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextvars import ContextVar
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Literal, TypeAlias, get_args

import pandas as pd

from tracegraph.domain.errors import DefinitionError
from tracegraph.domain.limits import Limit
from tracegraph.domain.units import DIFFERENCES, in_unit

Dates: TypeAlias = Literal["ymd", "dmy", "mdy"]
Decimal: TypeAlias = Literal["point", "comma"]
Temperature: TypeAlias = Literal["degC", "degF"]
Thickness: TypeAlias = Literal["um", "mil"]
Figures: TypeAlias = Literal["svg", "png"]

NARROW_SPACE = "\u202f"
"""Between thousands where the comma is the decimal mark."""

_DAYS: dict[str, str] = {"ymd": "%Y-%m-%d", "dmy": "%d.%m.%Y", "mdy": "%m/%d/%Y"}
_PATTERNS: dict[str, str] = {"ymd": "YYYY-MM-DD", "dmy": "DD.MM.YYYY", "mdy": "MM/DD/YYYY"}
_MARKS = str.maketrans({",": NARROW_SPACE, ".": ","})


@dataclass(frozen=True)
class Formats:
    """One reader's choice.

    Attributes
    ----------
    dates : {"ymd", "dmy", "mdy"}
        2026-03-09, 09.03.2026 or 03/09/2026.
    decimal : {"point", "comma"}
        Decimal mark; thousands are marked by a comma beside a point, by a space beside a comma.
    temperature : {"degC", "degF"}
        Unit of temperatures.
    thickness : {"um", "mil"}
        Unit of film thickness.
    figures : {"svg", "png"}
        As what a figure is saved.
    """

    dates: Dates = "ymd"
    decimal: Decimal = "point"
    temperature: Temperature = "degC"
    thickness: Thickness = "um"
    figures: Figures = "svg"

    @property
    def day_pattern(self) -> str:
        """The order of a date in letters, as screens want it."""
        return _PATTERNS[self.dates]

    def unit(self, unit: str | None) -> str | None:
        """The unit in which a stored one is shown."""
        return {"degC": self.temperature, "um": self.thickness}.get(unit or "", unit)


USUAL = Formats()

CHOICES: dict[str, tuple[str, ...]] = {
    "dates": get_args(Dates),
    "decimal": get_args(Decimal),
    "temperature": get_args(Temperature),
    "thickness": get_args(Thickness),
    "figures": get_args(Figures),
}
"""What each part may be; the first is the usual one."""

_READER: ContextVar[Formats] = ContextVar("formats", default=USUAL)


def reader() -> Formats:
    """The choice in force for whatever is written now."""
    return _READER.get()


def write_for(formats: Formats) -> None:
    """Put a choice in force for all that this thread writes from now on."""
    _READER.set(formats)


def read_formats(chosen: Mapping[str, str]) -> Formats:
    """A choice by the names of its parts; what is not named is as usual.

    Parameters
    ----------
    chosen : mapping of str to str
        Some of :data:`CHOICES`; other names are passed over.

    Raises
    ------
    DefinitionError
        If a part is none of its choices.

    Examples
    --------
    >>> read_formats({"dates": "dmy", "other": "x"})
    Formats(dates='dmy', decimal='point', temperature='degC', thickness='um', figures='svg')
    """
    for name, choices in CHOICES.items():
        if chosen.get(name, choices[0]) not in choices:
            raise DefinitionError(
                f"{name} in the address must be {' or '.join(choices)}; got {chosen[name]!r}. Mend "
                "the address, or open the page without it."
            )
    parts: dict[str, Any] = {name: chosen[name] for name in CHOICES if name in chosen}
    return replace(USUAL, **parts)


def marked(number: str) -> str:
    """A number written with comma and point, with the reader's marks.

    Examples
    --------
    >>> marked("1,234.5")
    '1,234.5'
    """
    return number if reader().decimal == "point" else number.translate(_MARKS)


def day(when: date | None) -> str:
    """A date in the reader's order; empty for none.

    Examples
    --------
    >>> day(date(2026, 3, 9)), day(None)
    ('2026-03-09', '')
    """
    return "" if when is None or pd.isna(when) else when.strftime(_DAYS[reader().dates])


def moment(when: datetime) -> str:
    """A time in the reader's order; midnight is taken for a date without a time.

    Examples
    --------
    >>> moment(datetime(2026, 3, 9, 14, 5)), moment(datetime(2026, 3, 9))
    ('2026-03-09 14:05', '2026-03-09')
    """
    clock = "" if (when.hour, when.minute, when.second) == (0, 0, 0) else f" {when:%H:%M}"
    return f"{day(when)}{clock}"


def measures_shown(
    measures: pd.DataFrame, columns: Sequence[str] = ("value", "low", "middle", "high")
) -> pd.DataFrame:
    """Measured values in the reader's units.

    Parameters
    ----------
    measures : DataFrame
        ``unit``, the columns named, and ``quantity`` where some may be differences.
    columns : sequence of str
        Which columns hold values.

    Returns
    -------
    DataFrame
        A copy with the values and ``unit`` as shown; the same frame where nothing changes.
    """
    units = measures["unit"]
    shown = units.map(lambda unit: reader().unit(unit) if isinstance(unit, str) else unit)
    changed = (units != shown) & units.notna()
    if not changed.any():
        return measures
    measures = measures.assign(unit=shown)
    between = (
        measures["quantity"].isin(DIFFERENCES)
        if "quantity" in measures
        else pd.Series(False, index=measures.index)
    )
    for unit in units[changed].unique():
        for difference in (False, True):
            rows = changed & (units == unit) & (between == difference)
            for column in columns:
                measures.loc[rows, column] = in_unit(
                    measures.loc[rows, column],
                    unit,
                    str(reader().unit(unit)),
                    difference=difference,
                )
    return measures


def limit_range(limit: Limit) -> str:
    """The limits of a reading in words, in the reader's units.

    Examples
    --------
    >>> limit_range(Limit("wet_film", "um", 305.0, 610.0, (), "trade guides"))
    '305 to 610 µm'
    """
    unit = str(reader().unit(limit.unit))
    if unit == limit.unit:
        return marked(limit.range)
    difference = limit.quantity in DIFFERENCES
    low, high = (
        None
        if end is None
        else _three_digits(in_unit(end, limit.unit, unit, difference=difference))
        for end in (limit.low, limit.high)
    )
    return marked(replace(limit, unit=unit, low=low, high=high).range)


def _three_digits(value: float) -> float:
    return float(f"{value:.3g}")
