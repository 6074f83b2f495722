"""Read dates and times under a stated order; times become UTC."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from tracegraph.intake.ids import visible
from tracegraph.intake.rules import DayOrder, Reading, ReadingRules, missing_word

EARLIEST_YEAR = 1950
LATEST_YEAR = 2100
_DATE = r"(\d{1,4})([-/. ])(\d{1,2})\2(\d{1,4})"
_CLOCK = r"(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?\s*([AaPp]\.?[Mm]\.?)?"
_ZONE = r"(Z|z|[+-]\d{2}(?::?\d{2})?)"
_MOMENT = re.compile(rf"{_DATE}(?:(?:[T ]\s*|,\s*){_CLOCK}\s*{_ZONE}?)?")
_EXAMPLE: dict[DayOrder, str] = {
    "year first": "2026-03-09",
    "month first": "03/09/2026",
    "day first": "09.03.2026",
}


def date_problem(rules: ReadingRules, *, with_time: bool) -> str:
    """What a date or time must look like under the rules."""
    kind, clock = ("time", " 14:30") if with_time else ("date", "")
    return f"a {kind} like {_EXAMPLE[rules.dates]}{clock} ({rules.dates})"


def read_date(text: str, rules: ReadingRules) -> Reading:
    """Read a date; a time of day behind it is left out.

    Parameters
    ----------
    text : str
        As written.
    rules : ReadingRules
        Gives the order of day and month and the missing words.

    Returns
    -------
    Reading
        ISO date, or a problem.

    Examples
    --------
    >>> read_date("31.12.2025", ReadingRules(dates="day first")).value
    '2025-12-31'
    """
    seen = visible(text)
    if seen.lower() in rules.missing:
        return missing_word(text)
    match = _MOMENT.fullmatch(seen)
    day = _day(match, rules.dates) if match else None
    if day is None:
        return Reading(None, None, date_problem(rules, with_time=False))
    return Reading(day.isoformat())


def read_time(text: str, rules: ReadingRules) -> Reading:
    """Read a moment; without a zone of its own it is in the site's zone.

    Parameters
    ----------
    text : str
        As written.
    rules : ReadingRules
        Gives the order of day and month, the site's zone and the missing words.

    Returns
    -------
    Reading
        ``YYYY-MM-DD HH:MM:SS`` in UTC, or a problem. A date alone is its midnight.

    Examples
    --------
    >>> read_time("2026-01-05 09:00", ReadingRules(time_zone="Europe/Berlin")).value
    '2026-01-05 08:00:00'
    """
    seen = visible(text)
    if seen.lower() in rules.missing:
        return missing_word(text)
    match = _MOMENT.fullmatch(seen)
    day = _day(match, rules.dates) if match else None
    clock = _clock(match) if match else None
    if match is None or day is None or clock is None:
        return Reading(None, None, date_problem(rules, with_time=True))
    local = datetime(day.year, day.month, day.day) + clock
    if match[10]:
        return Reading(_text(local - _offset(match[10])), "zone written")
    return to_utc(local, rules.time_zone)


def to_utc(local: datetime, zone: str) -> Reading:
    """Instant of a wall-clock time of the site.

    Parameters
    ----------
    local : datetime
        Without a zone.
    zone : str
        IANA name.

    Returns
    -------
    Reading
        A problem when the clock showed that time twice or never.
    """
    if zone == "UTC":
        return Reading(_text(local))
    site = ZoneInfo(zone)
    first, second = (
        local.replace(tzinfo=site, fold=fold).astimezone(UTC).replace(tzinfo=None)
        for fold in (0, 1)
    )
    if first == second:
        return Reading(_text(first))
    if first.replace(tzinfo=UTC).astimezone(site).replace(tzinfo=None) != local:
        return Reading(None, None, f"a time that exists in {zone}: clocks went forward over it")
    both = f"{first:%Y-%m-%d %H:%M}Z or {second:%Y-%m-%d %H:%M}Z"
    return Reading(None, None, f"a time with its zone: in {zone} it was {both}")


def _day(match: re.Match[str], order: DayOrder) -> date | None:
    first, last = match[1], match[4]
    if len(first) == 4:
        parts = (first, match[3], last)
    elif len(last) == 4 and order == "day first":
        parts = (last, match[3], first)
    elif len(last) == 4 and order == "month first":
        parts = (last, first, match[3])
    else:
        return None
    year, month, day = (int(part) for part in parts)
    if not EARLIEST_YEAR <= year <= LATEST_YEAR:
        return None
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _clock(match: re.Match[str]) -> timedelta | None:
    if match[5] is None:
        return timedelta()
    hour, minute, second = int(match[5]), int(match[6]), int(match[7] or 0)
    half = (match[9] or "").lower().replace(".", "")
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "pm" else 0)
    if hour > 23 or minute > 59 or second > 59:
        return None
    micro = int(((match[8] or "") + "000000")[:6])
    return timedelta(hours=hour, minutes=minute, seconds=second, microseconds=micro)


def _offset(zone: str) -> timedelta:
    if zone in "Zz":
        return timedelta()
    digits = zone[1:].replace(":", "").ljust(4, "0")
    size = timedelta(hours=int(digits[:2]), minutes=int(digits[2:]))
    return -size if zone[0] == "-" else size


def _text(moment: datetime) -> str:
    return moment.isoformat(sep=" ")
