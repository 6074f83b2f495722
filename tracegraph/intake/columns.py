"""Read the columns of a staged page: plain text in the database, odd values one by one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

import pyarrow as pa

from tracegraph.domain.records import Role
from tracegraph.intake.dates import EARLIEST_YEAR, LATEST_YEAR
from tracegraph.intake.kinds import Kind, read
from tracegraph.intake.rules import DayOrder, ReadingRules
from tracegraph.intake.staging import Page
from tracegraph.intake.units import find_unit
from tracegraph.store import Build

_YEAR_FIRST = ("%Y-%m-%d", "%Y/%m/%d")
_DAY_FORMATS: dict[DayOrder, tuple[str, ...]] = {
    "year first": _YEAR_FIRST,
    "month first": ("%m/%d/%Y", "%m-%d-%Y", "%m.%d.%Y", *_YEAR_FIRST),
    "day first": ("%d.%m.%Y", "%d/%m/%Y", "%d-%m-%Y", *_YEAR_FIRST),
}
_CLOCKS = (" %H:%M", " %H:%M:%S", "T%H:%M:%S", "T%H:%M", "")


@dataclass(frozen=True)
class Need:
    """A column of the page that is read as a kind.

    Attributes
    ----------
    column : int
        Index of the column.
    kind : Kind
        How it is read.
    """

    column: int
    kind: Kind


@dataclass(frozen=True)
class Outcome:
    """What reading a column showed.

    Attributes
    ----------
    blank : int
        Rows without text.
    lookup : str or None
        Temporary table of odd values: raw, value, rule, problem, uses, factor, shift.
    unread : int
        Rows whose text gave no value.
    noted : bool
        Whether a value changed in a way that is kept.
    """

    blank: int
    lookup: str | None
    unread: int
    noted: bool

    @property
    def complete(self) -> bool:
        """Whether every row has a value."""
        return self.blank == 0 and self.unread == 0


class PageReader:
    """Reads the columns of one staged page.

    Parameters
    ----------
    build : Build
        Holds the page.
    page : Page
        The page.
    rules : ReadingRules
        How its text is read.
    needs : iterable of Need
        All columns that will be asked for.
    """

    def __init__(
        self, build: Build, page: Page, rules: ReadingRules, needs: Iterable[Need]
    ) -> None:
        self.build = build
        self.page = page
        self.rules = rules
        self.needs = list(dict.fromkeys(needs))
        self.parameters: dict[str, Any] = {
            "missing": sorted(rules.missing),
            "longest": max(map(len, rules.missing)),
            "day_formats": [*_DAY_FORMATS[rules.dates]],
            "time_formats": [d + c for d in _DAY_FORMATS[rules.dates] for c in _CLOCKS],
            "earliest": EARLIEST_YEAR,
            "latest": LATEST_YEAR,
            "zone": rules.time_zone,
            "clock_changes": [],
        }
        for number, need in enumerate(self.needs):
            if need.kind.role is Role.CHOICE:
                self.parameters[f"choices{number}"] = [*need.kind.choices]
        if rules.time_zone != "UTC":
            self.parameters["clock_changes"] = self._clock_changes()
        self.outcomes = self._survey()

    def _clock_changes(self) -> list[date]:
        """Days within the page's times on which the site's clocks change."""
        times = [need.column for need in self.needs if need.kind.role is Role.TIME]
        if not times:
            return []
        moments = [f"try_strptime(p.c{i}, $time_formats)" for i in times]
        first = ", ".join(f"min({moment})" for moment in moments)
        last = ", ".join(f"max({moment})" for moment in moments)
        earliest, latest = self.build.rows(
            f"SELECT least({first}), greatest({last}) FROM page AS p", self.parameters
        )[0]
        if earliest is None:
            return []
        return [
            d for d in clock_changes(self.rules.time_zone) if earliest.date() <= d <= latest.date()
        ]

    def _survey(self) -> dict[Need, Outcome]:
        if not self.needs:
            return {}
        counts = ", ".join(
            f"count_if(p.c{need.column} IS NULL), count_if(NOT ({self._plain(need)}))"
            for need in self.needs
        )
        row = self.build.rows(f"SELECT {counts} FROM page AS p", self.parameters)[0]
        outcomes = {}
        for number, need in enumerate(self.needs):
            blank, odd = row[2 * number], row[2 * number + 1]
            outcomes[need] = (
                self._look_up(number, need, blank) if odd else Outcome(blank, None, 0, False)
            )
        return outcomes

    def _look_up(self, number: int, need: Need, blank: int) -> Outcome:
        column = f"p.c{need.column}"
        odd = self.build.rows(
            f"SELECT {column}, count(*) FROM page AS p "
            f"WHERE NOT ({self._plain(need)}) GROUP BY ALL",
            self.parameters,
        )
        readings = [read(need.kind, raw, self.rules) for raw, _ in odd]
        units = [find_unit(raw) if need.kind.role is Role.UNIT else None for raw, _ in odd]
        table = pa.table(
            {
                "raw": pa.array([raw for raw, _ in odd], pa.string()),
                "value": pa.array([r.value for r in readings], pa.string()),
                "rule": pa.array([r.rule for r in readings], pa.string()),
                "problem": pa.array([r.problem for r in readings], pa.string()),
                "uses": pa.array([uses for _, uses in odd], pa.int64()),
                "factor": pa.array([u.factor if u else 1.0 for u in units], pa.float64()),
                "shift": pa.array([u.shift if u else 0.0 for u in units], pa.float64()),
            }
        )
        name = f"odd{number}"
        self.build.register("odd_values", table)
        self.build.execute(f"CREATE OR REPLACE TEMP TABLE {name} AS SELECT * FROM odd_values")
        self.build.unregister("odd_values")
        unread = sum(uses for (_, uses), r in zip(odd, readings, strict=True) if r.value is None)
        noted = any(r.rule or r.problem for r in readings)
        return Outcome(blank, name, unread, noted)

    def _plain(self, need: Need) -> str:
        """Condition under which a text is stored by the database without a closer look."""
        c, role = f"p.c{need.column}", need.kind.role
        name = "plain_printable_name" if self.page.printable else "plain_name"
        if role is Role.ID or (role is Role.WORD and need.kind.keep_capitals):
            return f"{name}({c}) AND present({c}, $missing, $longest)"
        if role is Role.WORD:
            return f"{name}({c}) AND {c} = lower({c}) AND present({c}, $missing, $longest)"
        if role is Role.NUMBER:
            macro = "plain_number" if self.rules.decimal == "." else "plain_number_with_comma"
            return f"{macro}({c})"
        if role is Role.WHOLE:
            return f"plain_whole({c})"
        if role is Role.DATE:
            plain = f"coalesce(plain_moment({c}, $day_formats, $earliest, $latest), false)"
            return f"({c} IS NULL OR {plain})"
        if role is Role.TIME:
            plain = f"coalesce(plain_moment({c}, $time_formats, $earliest, $latest), false)"
            if self.rules.time_zone != "UTC":
                plain += f" AND ordinary_day({c}, $time_formats, $clock_changes)"
            return f"({c} IS NULL OR ({plain}))"
        if role is Role.CHOICE:
            return f"list_contains($choices{self.needs.index(need)}, {c})"
        if role is Role.FLAG:
            return f"{c} IN ('true', 'false')"
        if role is Role.UNIT:
            return f"{c} IS NULL"
        return f"{c} = trim({c})"

    def value(self, need: Need) -> str:
        """Expression for the value of a column, of the kind's type."""
        c, role = f"p.c{need.column}", need.kind.role
        fast = c
        if role is Role.NUMBER:
            digits = c if self.rules.decimal == "." else f"replace({c}, ',', '.')"
            fast = f"TRY_CAST({digits} AS DOUBLE)"
        elif role in (Role.WHOLE, Role.FLAG):
            fast = f"TRY_CAST({c} AS {need.kind.sql_type})"
        elif role is Role.DATE:
            fast = f"CAST(try_strptime({c}, $day_formats) AS DATE)"
        elif role is Role.TIME:
            fast = f"try_strptime({c}, $time_formats)"
            if self.rules.time_zone != "UTC":
                fast = f"to_utc({fast}, $zone)"
        lookup = self.outcomes[need].lookup
        if lookup is None:
            return fast
        kept = f"CAST({lookup}.value AS {need.kind.sql_type})"
        return f"CASE WHEN {lookup}.raw IS NOT NULL THEN {kept} ELSE {fast} END"

    def join(self, need: Need) -> str:
        """Join that a column's :meth:`value` needs; empty when it needs none."""
        lookup = self.outcomes[need].lookup
        return f"LEFT JOIN {lookup} ON {lookup}.raw = p.c{need.column}" if lookup else ""


@cache
def clock_changes(zone: str) -> tuple[date, ...]:
    """Days on which the clocks of a zone change, with the days around them."""
    site = ZoneInfo(zone)
    days = []
    day = datetime(EARLIEST_YEAR, 1, 1, tzinfo=UTC)
    end = datetime(LATEST_YEAR, 1, 1, tzinfo=UTC)
    before = site.utcoffset(day)
    while day < end:
        day += timedelta(days=1)
        offset = day.astimezone(site).utcoffset()
        if offset != before:
            days += [(day + timedelta(days=shift)).date() for shift in (-2, -1, 0, 1)]
            before = offset
    return tuple(sorted(set(days)))
