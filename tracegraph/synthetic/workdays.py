"""The yard's clock: working days, two shifts, and minutes of working time.

Times are whole minutes since 1970-01-01 00:00 as int64; working time counts only the
minutes of the two shifts, 06:00 to 22:00, on working days.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Minutes = NDArray[np.int64]

DAY_LENGTH = 960  # minutes of the two shifts
OPENING = 360  # 06:00
SHIFT_CHANGE = 840  # 14:00
MINUTES_A_DAY = 1440
MINUTES_A_MONTH = 43830  # 365.25 / 12 days


def minute(day: str) -> int:
    """Minutes since 1970 at the start of an ISO day.

    >>> minute("1970-01-02")
    1440
    """
    return int(np.datetime64(day, "m").astype(np.int64))


@dataclass(frozen=True)
class WorkCalendar:
    """The working days of the yard, in order.

    Attributes
    ----------
    days : ndarray of int64
        Days since 1970-01-01 on which the yard works.
    """

    days: NDArray[np.int64]

    @classmethod
    def between(cls, first: str, last: str) -> WorkCalendar:
        """Working days from one ISO day to another, both included.

        Left out: weekends, 24 December to 1 January, 1 May, 4 July, the first two weeks
        of August (summer shutdown), and the fourth Thursday and Friday of November.
        """
        days = np.arange(np.datetime64(first, "D"), np.datetime64(last, "D") + 1)
        number = days.astype(np.int64)
        month = days.astype("datetime64[M]").astype(np.int64) % 12 + 1
        of_month = (days - days.astype("datetime64[M]")).astype(np.int64) + 1
        weekday = (number + 3) % 7  # 0 is Monday; 1970-01-01 was a Thursday
        closed = (
            (weekday >= 5)
            | ((month == 12) & (of_month >= 24))
            | ((month == 1) & (of_month == 1))
            | ((month == 5) & (of_month == 1))
            | ((month == 7) & (of_month == 4))
            | ((month == 8) & (of_month <= 14))
            | ((month == 11) & (weekday == 3) & (of_month >= 22) & (of_month <= 28))
            | ((month == 11) & (weekday == 4) & (of_month >= 23) & (of_month <= 29))
        )
        return cls(number[~closed])

    @property
    def length(self) -> int:
        """Working minutes in the whole calendar."""
        return int(self.days.size) * DAY_LENGTH

    def clock(self, work: Minutes) -> Minutes:
        """Clock minutes of working minutes.

        >>> week = WorkCalendar.between("2024-03-01", "2024-03-08")  # a Friday to a Friday
        >>> str(week.clock(np.array([960])).astype("datetime64[m]")[0])
        '2024-03-04T06:00'
        """
        return self.days[work // DAY_LENGTH] * MINUTES_A_DAY + OPENING + work % DAY_LENGTH


def fit_in_day(start: Minutes, length: Minutes) -> Minutes:
    """Move work that would run past closing time to the next morning.

    >>> fit_in_day(np.array([100, 900]), np.array([60, 120])).tolist()
    [100, 960]
    """
    late = start % DAY_LENGTH + length > DAY_LENGTH
    return np.where(late, (start // DAY_LENGTH + 1) * DAY_LENGTH, start)


def day_of(time: Minutes) -> NDArray[np.int64]:
    """Days since 1970-01-01 of clock minutes."""
    return time // MINUTES_A_DAY


def month_of_year(time: Minutes) -> NDArray[np.int64]:
    """Month, 1 to 12, of clock minutes."""
    months = day_of(time).astype("datetime64[D]").astype("datetime64[M]").astype(np.int64)
    return months % 12 + 1
