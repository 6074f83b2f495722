"""Read dates and times under a stated order; times become UTC."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from tracegraph.intake.ids import visible
from tracegraph.intake.rules import DayOrder, Reading, ReadingRules, missing_word

_DATE = r"([0-9]{1,4})([-/. ])([0-9]{1,2})\2([0-9]{1,4})"
_CLOCK = r"([0-9]{1,2})[:.]([0-9]{2})(?:[:.]([0-9]{2})(?:[.,]([0-9]{1,9}))?)?\s*([AaPp]\.?[Mm]\.?)?"
_ZONE = r"(Z|z|UTC|GMT|[+-][0-9]{2}(?::?[0-9]{2})?)"
_MOMENT = re.compile(rf"{_DATE}(?:(?:[T ]\s*|,\s*){_CLOCK}\s*{_ZONE}?)?")
_MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]
_NAMED = re.compile(
    r"(?:([0-9]{1,2})[-/. ]*([A-Za-z]{3,9})\.?[-/., ]*|([A-Za-z]{3,9})\.? *([0-9]{1,2}),? *)"
    r"([0-9]{4}|'?[0-9]{2}(?![0-9:.]))"
    rf"(?:(?:[T ]\s*|,\s*){_CLOCK}\s*{_ZONE}?)?"
)
_COMPACT = re.compile(
    r"([0-9]{4})([0-9]{2})([0-9]{2})"
    r"(?:T([0-9]{2})([0-9]{2})([0-9]{2})?(Z|[+-][0-9]{2}:?[0-9]{2})?|([0-9]{2})([0-9]{2})([0-9]{2}))?"
)
_WEEK = re.compile(r"([0-9]{4})-?W([0-9]{2})-?([1-7])(?=[T ]|$)")
_DAY_OF_YEAR = re.compile(r"([0-9]{4})-([0-9]{3})(?=[T ]|$)")
_WEEKDAY = re.compile(r"(?:mon|tue|wed|thu|fri|sat|sun)[a-z]{0,6}\.?,? +", re.IGNORECASE)
_ORDINAL = re.compile(r"(?<=[0-9])(?:st|nd|rd|th)\b", re.IGNORECASE)
_CLOCK_ALONE = re.compile(rf"{_CLOCK}\s*{_ZONE}?")
_SERIAL = re.compile(r"[0-9]{1,6}(\.[0-9]+)?")
_SERIAL_START = {"1900": datetime(1899, 12, 30), "1904": datetime(1904, 1, 1)}
_PHANTOM_DAY = 60  # the day 1900-02-29, which spreadsheets count and which never was
_EXAMPLE: dict[DayOrder, str] = {
    "year first": "2026-03-09",
    "month first": "03/09/2026",
    "day first": "09.03.2026",
}
_UNORDERED = (
    "a date whose order is certain: it may be day first or month first, or its year is short; "
    "set dates in intake.toml"
)
_SHORT_YEAR = (
    "a date with a year of four digits; for years of two set two_digit_years_from in intake.toml"
)
_DAY_COUNT = (
    "a date: a bare number may be a spreadsheet's count of days; set serial_dates in intake.toml"
)
_IN_ZONE = "zone written"


def date_problem(rules: ReadingRules, *, with_time: bool) -> str:
    """What a date or time must look like under the rules."""
    kind, clock = ("time", " 14:30") if with_time else ("date", "")
    order = rules.dates or "year first"
    return f"a {kind} like {_EXAMPLE[order]}{clock} ({order})"


def read_date(text: str, rules: ReadingRules) -> Reading:
    """Read a date; a time of day behind it is left out.

    Parameters
    ----------
    text : str
        As written.
    rules : ReadingRules
        Gives the order of day and month, the window of years and the missing words.

    Returns
    -------
    Reading
        ISO date, or a problem.

    Examples
    --------
    >>> read_date("31.12.2025", ReadingRules(dates="day first")).value
    '2025-12-31'
    """
    moment = _local(text, rules, with_time=False)
    if isinstance(moment, Reading):
        return moment
    return Reading(moment[0].date().isoformat())


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
    moment = _local(text, rules, with_time=True)
    if isinstance(moment, Reading):
        return moment
    local, zone = moment
    if zone:
        return Reading(_text(local - _offset(zone)), _IN_ZONE)
    return to_utc(local, rules.time_zone)


def local_time(text: str, rules: ReadingRules) -> datetime | None:
    """Wall-clock time of a text without a zone, or None."""
    moment = _local(text, rules, with_time=True)
    return None if isinstance(moment, Reading) or moment[1] else moment[0]


def _local(text: str, rules: ReadingRules, *, with_time: bool) -> Reading | tuple[datetime, str]:
    """Wall-clock time and written zone of a text, or what is wrong with it."""
    seen = visible(text)
    if seen.lower() in rules.absent:
        return missing_word(text)
    if rules.serial_dates is not None and _SERIAL.fullmatch(seen):
        found = _from_serial(float(seen), rules)
        return found if isinstance(found, Reading) else (found, "")
    seen = _with_numbers(seen, rules)
    match = _MOMENT.fullmatch(seen)
    day = _day(match, rules) if match else None
    clock = _clock(match) if match else None
    zone = (match[10] or "") if match else ""
    if match is None or day is None or clock is None or not _is_offset(zone):
        unordered = match is not None and len(match[1]) <= 2 and rules.dates is None
        problem = _UNORDERED if unordered else date_problem(rules, with_time=with_time)
        short = match is not None and len(match[1] + match[4]) < 5
        if short and not unordered and rules.two_digit_years_from is None:
            problem = _SHORT_YEAR
        if _CLOCK_ALONE.fullmatch(seen):
            problem = "a date: a time of day stands there without one"
        return Reading(None, None, _DAY_COUNT if _SERIAL.fullmatch(seen) else problem)
    outside = _outside(day, rules)
    if outside is not None:
        return outside
    return datetime(day.year, day.month, day.day) + clock, zone


def _with_numbers(seen: str, rules: ReadingRules) -> str:
    """Date with the month as a number and the year first, where only one reading is left.

    A year of two digits behind the name of a month is read only where the order of dates
    and the window of years are stated.

    Examples
    --------
    >>> _with_numbers("5 Jan 2026 07:30", ReadingRules()), _with_numbers("20260309", ReadingRules())
    ('2026-1-5 07:30', '2026-03-09')
    >>> _with_numbers("5-Mar-25", ReadingRules(dates="day first", two_digit_years_from=1990))
    '2025-3-5'
    """
    seen = _ORDINAL.sub("", _WEEKDAY.sub("", seen, count=1) if _WEEKDAY.match(seen) else seen)
    for form, day_of in ((_WEEK, _of_week), (_DAY_OF_YEAR, _of_year)):
        counted = form.match(seen)
        if counted and (told := day_of(*map(int, counted.groups()))) is not None:
            return f"{told}{seen[counted.end() :]}"
    compact = _COMPACT.fullmatch(seen)
    if compact:
        day = "-".join(compact.groups()[:3])
        written = compact.groups()[3:6] if compact[4] else compact.groups()[7:]
        clock = ":".join(part for part in written if part)
        return f"{day} {clock}{compact[7] or ''}".strip()
    named = _NAMED.match(seen)
    name = (named[2] or named[3]).lower() if named else ""
    month = next((n for n, m in enumerate(_MONTHS, 1) if name.startswith(m)), None)
    if named is None or month is None:
        return seen
    year: int | None = int(named[5]) if len(named[5]) == 4 else None
    if year is None and rules.dates in ("day first", "month first"):
        year = _year(named[5].removeprefix("'"), rules)
    if year is None:
        return seen
    return f"{year}-{month}-{named[1] or named[4]}{seen[named.end(5) :]}"


def _of_week(year: int, week: int, weekday: int) -> date | None:
    try:
        return date.fromisocalendar(year, week, weekday)
    except ValueError:
        return None


def _of_year(year: int, number: int) -> date | None:
    try:
        day = date(year, 1, 1) + timedelta(days=number - 1)
    except (ValueError, OverflowError):
        return None
    return day if day.year == year else None


def _outside(day: date, rules: ReadingRules) -> Reading | None:
    if rules.earliest_year <= day.year <= rules.latest_year:
        return None
    years = f"{rules.earliest_year} and {rules.latest_year}"
    return Reading(None, None, f"a date between {years}, as the others are: {day} is out of range")


def _from_serial(serial: float, rules: ReadingRules) -> datetime | Reading:
    """Moment of a spreadsheet's day count."""
    system = rules.serial_dates or "1900"
    if serial < 1:
        return Reading(None, None, "a date: the number holds a time of day without a date")
    if system == "1900" and int(serial) == _PHANTOM_DAY:
        return Reading(None, None, "a date that exists: day 60 is 1900-02-29, which never was")
    early = system == "1900" and serial < _PHANTOM_DAY
    seconds = round(serial * 86400)
    moment = _SERIAL_START[system] + timedelta(days=1 if early else 0, seconds=seconds)
    return _outside(moment.date(), rules) or moment


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
    instants = two_instants(local, zone)
    if instants is None:
        return Reading(None, None, f"a time that exists in {zone}: clocks went forward over it")
    first, second = instants
    if first == second:
        return Reading(_text(first))
    both = f"{first:%Y-%m-%d %H:%M}Z or {second:%Y-%m-%d %H:%M}Z"
    return Reading(None, None, f"a time with its zone: in {zone} it was {both}")


def two_instants(local: datetime, zone: str) -> tuple[datetime, datetime] | None:
    """UTC instants at which a zone's clock showed a time: equal, two, or None when never."""
    site = ZoneInfo(zone)
    first, second = (
        local.replace(tzinfo=site, fold=fold).astimezone(UTC).replace(tzinfo=None)
        for fold in (0, 1)
    )
    shown = first.replace(tzinfo=UTC).astimezone(site).replace(tzinfo=None)
    return (first, second) if shown == local else None


def within_years(rules: ReadingRules, earliest: int, latest: int) -> ReadingRules:
    """Rules that believe dates of some years only."""
    return replace(
        rules,
        earliest_year=max(earliest, rules.earliest_year),
        latest_year=min(latest, rules.latest_year),
    )


def _day(match: re.Match[str], rules: ReadingRules) -> date | None:
    first, middle, last = match[1], match[3], match[4]
    if len(first) == 4:
        parts = (first, middle, last)
    elif rules.dates == "day first":
        parts = (last, middle, first)
    elif rules.dates == "month first":
        parts = (last, first, middle)
    elif rules.dates == "year first" and len(first) == 2:
        parts = (first, middle, last)
    else:
        return None
    year = _year(parts[0], rules)
    if year is None:
        return None
    try:
        return date(year, int(parts[1]), int(parts[2]))
    except ValueError:
        return None


def _year(digits: str, rules: ReadingRules) -> int | None:
    if len(digits) == 4:
        return int(digits)
    start = rules.two_digit_years_from
    if len(digits) != 2 or start is None:
        return None
    return start + (int(digits) - start) % 100


def _clock(match: re.Match[str]) -> timedelta | None:
    if match[5] is None:
        return timedelta()
    hour, minute, second = int(match[5]), int(match[6]), int(match[7] or 0)
    half = (match[9] or "").lower().replace(".", "")
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half == "pm" else 0)
    midnight = hour == 24 and minute == second == 0 and not half  # of the next day, by ISO 8601
    leap = minute == 59 and second == 60  # read as the second behind it
    if (hour > 23 and not midnight) or minute > 59 or (second > 59 and not leap):
        return None
    micro = int(((match[8] or "") + "000000")[:6])
    return timedelta(hours=hour, minutes=minute, seconds=second, microseconds=micro)


def _offset(zone: str) -> timedelta:
    if zone in ("Z", "z", "UTC", "GMT"):
        return timedelta()
    digits = zone[1:].replace(":", "").ljust(4, "0")
    size = timedelta(hours=int(digits[:2]), minutes=int(digits[2:]))
    return -size if zone[0] == "-" else size


def _is_offset(zone: str) -> bool:
    """Whether a written zone can be one: no place is more than 14 hours off (UTC+14)."""
    return not zone or abs(_offset(zone)) <= timedelta(hours=14)


def _text(moment: datetime) -> str:
    return moment.isoformat(sep=" ")
