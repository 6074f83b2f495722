"""Days on which a site's clocks change, and the hour that the order of rows tells apart."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

from tracegraph.intake.dates import two_instants
from tracegraph.intake.rules import EARLIEST_YEAR, LATEST_YEAR


@cache
def clock_changes(zone: str) -> tuple[date, ...]:
    """Days on which the clocks of a zone change, with the days around them.

    Parameters
    ----------
    zone : str
        IANA name.

    Examples
    --------
    >>> date(2025, 10, 26) in clock_changes("Europe/Berlin")
    True
    """
    if zone == "UTC":
        return ()
    site = ZoneInfo(zone)
    days: set[date] = set()
    day = datetime(EARLIEST_YEAR, 1, 1, tzinfo=UTC)
    end = datetime(LATEST_YEAR, 1, 1, tzinfo=UTC)
    before = day.astimezone(site).utcoffset()
    while day < end:
        day += timedelta(days=1)
        offset = day.astimezone(site).utcoffset()
        if offset != before:
            days.update((day + timedelta(days=shift)).date() for shift in (-2, -1, 0, 1))
            before = offset
    return tuple(sorted(days))


def in_order(times: Iterable[tuple[int, datetime]], zone: str) -> Iterator[tuple[int, datetime]]:
    """Instants of doubled times whose rows stand in the order of their times.

    The first run through the doubled hour is before the change; when the clock goes back
    from one row to the next, the rows after it are behind the change.

    Parameters
    ----------
    times : iterable of (int, datetime)
        Row and wall-clock time, in the order of rows.
    zone : str
        IANA name.

    Yields
    ------
    tuple of (int, datetime)
        Row and UTC instant, for doubled times only.
    """
    before: datetime | None = None
    turned = False
    for row, local in times:
        instants = two_instants(local, zone)
        if instants is None or instants[0] == instants[1]:
            turned = False
            before = local
            continue
        turned = turned or (before is not None and local < before)
        before = local
        yield row, instants[1] if turned else instants[0]
