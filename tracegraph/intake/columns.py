"""Read the columns of a staged page: plain text in the database, odd values one by one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import pyarrow as pa

from tracegraph.domain.records import Role
from tracegraph.intake import plain
from tracegraph.intake.clocks import clock_changes, in_order
from tracegraph.intake.compose import compose
from tracegraph.intake.dates import local_time, within_years
from tracegraph.intake.kinds import read
from tracegraph.intake.ledger import Remark
from tracegraph.intake.plain import Need
from tracegraph.intake.rules import DOUBTFUL_WORDS, DayOrder, Reading, ReadingRules
from tracegraph.intake.staging import Page
from tracegraph.intake.units import find_unit
from tracegraph.store import Build

YEARS_BEFORE = 60  # further from the middle of a page's dates a date is not believed
YEARS_AFTER = 25


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
    lookup: str | None = None
    unread: int = 0
    noted: bool = False

    @property
    def complete(self) -> bool:
        """Whether every row has a value."""
        return self.blank == 0 and self.unread == 0


@dataclass(frozen=True)
class _Odd:
    raw: str
    uses: int
    reading: Reading


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
        self.needs = list(dict.fromkeys(needs))
        self.rules = dict.fromkeys(self.needs, rules)
        self.parameters: dict[str, Any] = {
            "missing": sorted(rules.absent),
            "surely_missing": sorted(rules.absent - DOUBTFUL_WORDS),
            "longest": max(map(len, rules.absent)),
            "starts": "".join(sorted({c for w in rules.absent for c in w[:1] + w[:1].upper()})),
            "sentinels": sorted(rules.sentinels),
            "zone": rules.time_zone,
        }
        self._set_parameters()
        self.parameters["clock_changes"] = self._clock_changes(rules.time_zone)
        if rules.in_time_order and self.parameters["clock_changes"]:
            self._tell_doubled_hours(rules)
        if rules.decimal is None and page.delimiter not in (None, ","):
            self._learn_decimal_mark()
        if rules.dates is None:
            self._learn_day_order()
        self.outcomes = self._read()

    # -- what the page shows about itself -------------------------------------------------

    def _set_parameters(self) -> None:
        for number, need in enumerate(self.needs):
            self.parameters |= plain.parameters(number, need, self.rules[need])

    def _clock_changes(self, zone: str) -> list[Any]:
        """Days within the page's times on which the site's clocks change."""
        times = [(n, need) for n, need in enumerate(self.needs) if need.kind.role is Role.TIME]
        if zone == "UTC" or not times:
            return []
        moments = [f"try_strptime({need.text}, $formats{n})" for n, need in times]
        first = ", ".join(f"min({moment})" for moment in moments)
        last = ", ".join(f"max({moment})" for moment in moments)
        text = compose("intake/span_of_times", first=first, last=last)
        [(earliest, latest)] = self.build.rows(text, self.parameters)
        if earliest is None:
            return []
        return [d for d in clock_changes(zone) if earliest.date() <= d <= latest.date()]

    def _tell_doubled_hours(self, rules: ReadingRules) -> None:
        for number, need in enumerate(self.needs):
            if need.kind.role is not Role.TIME:
                continue
            text = compose("intake/doubled_hours", row=self.page.row_sql, column=need.text)
            given = {**self.parameters, "formats": self.parameters[f"formats{number}"]}
            found = [(row, t, local_time(t, rules)) for row, t in self.build.rows(text, given)]
            written = {row: t for row, t, _ in found}
            ordered: list[tuple[int, datetime]] = [(row, t) for row, _, t in found if t]
            told = {row: f"{t}Z" for row, t in in_order(ordered, rules.time_zone)}
            table = pa.table({"source_row": [*told], "text": pa.array(told.values(), pa.string())})
            self.build.register("zoned", table)
            column = f"c{need.column}"
            self.build.execute(compose("intake/put_zone", column=column, row=self.page.row_sql))
            self.build.unregister("zoned")
            self.page.notes += [
                (
                    row,
                    need.column,
                    written[row],
                    told[row],
                    "doubled hour told by the order of rows",
                )
                for row in told
            ]

    def _learn_decimal_mark(self) -> None:
        numbers = [n for n in self.needs if n.kind.role in (Role.NUMBER, Role.SHARE)]
        proofs = [
            self._proofs([n], "proves_decimal_comma", "proves_decimal_point") for n in numbers
        ]
        commas = [
            n for n, (comma, point) in zip(numbers, proofs, strict=True) if comma and not point
        ]
        text = "numbers have a decimal comma, as those like 21,5 show"
        if any(point for _, point in proofs):
            names = ", ".join(repr(self.page.headers.names[need.column]) for need in commas)
            text = (
                f"numbers of {names} have a decimal comma, as those like 21,5 show; others a point"
            )
        elif commas:
            commas = numbers
        for need in commas:
            self.rules[need] = replace(self.rules[need], decimal=",")
        if commas:
            self.page.remarks.append(Remark("decimal mark", 0, text))

    def _learn_day_order(self) -> None:
        for need in self.needs:
            if not need.dated:
                continue
            day, month = self._proofs([need], "proves_day_first", "proves_month_first")
            if day == month:
                continue
            order: DayOrder = "day first" if day else "month first"
            self.rules[need] = replace(self.rules[need], dates=order)
            name = self.page.headers.names[need.column]
            text = f"dates in {name!r} are read {order}, as some of them show"
            self.page.remarks.append(Remark("order of dates", 0, text))
        self._set_parameters()

    def _proofs(self, needs: list[Need], one: str, other: str) -> tuple[bool, bool]:
        if not needs:
            return False, False
        slots = {
            name: " OR ".join(f"coalesce(bool_or({macro}({need.text})), false)" for need in needs)
            for name, macro in (("one", one), ("other", other))
        }
        [(first, second)] = self.build.rows(compose("intake/evidence", **slots))
        return bool(first), bool(second)

    # -- reading --------------------------------------------------------------------------

    def _read(self) -> dict[Need, Outcome]:
        if not self.needs:
            return {}
        counts = []
        for number, need in enumerate(self.needs):
            year = f"year(try_strptime({need.text}, $formats{number}))" if need.dated else "NULL"
            counts.append(f"count_if({need.text} IS NULL), count_if(NOT ({self._plain(need)}))")
            counts.append(f"min({year}), max({year})")
        text = compose("intake/survey_page", counts=", ".join(counts))
        [row] = self.build.rows(text, self.parameters)
        blank = {need: row[4 * n] for n, need in enumerate(self.needs)}
        odd = {need: self._odd(need) if row[4 * n + 1] else [] for n, need in enumerate(self.needs)}
        if any(need.dated and odd[need] for need in self.needs) or self._wide_span(row):
            self._believe_years(odd)
        return {
            need: self._keep(number, need, blank[need], odd[need])
            for number, need in enumerate(self.needs)
        }

    def _odd(self, need: Need) -> list[_Odd]:
        """Readings of all texts of a column that need a closer look."""
        text = compose("intake/odd_values", column=need.text, plain=self._plain(need))
        return [
            _Odd(raw, uses, read(need.kind, raw, self.rules[need]))
            for raw, uses in self.build.rows(text, self.parameters)
        ]

    def _wide_span(self, row: tuple[Any, ...]) -> bool:
        years = [y for n in range(len(self.needs)) for y in row[4 * n + 2 : 4 * n + 4] if y]
        return bool(years) and max(years) - min(years) > YEARS_AFTER

    def _believe_years(self, odd: dict[Need, list[_Odd]]) -> None:
        """Stop believing dates that lie far from the middle of all dates of the page."""
        uses: dict[int, int] = {}
        dated = [(n, need) for n, need in enumerate(self.needs) if need.dated]
        for number, need in dated:
            names = {name: f"{name}{number}" for name in ("formats", "earliest", "latest")}
            text = compose("intake/years", column=need.text, **names)
            years = [*self.build.rows(text, self.parameters)]
            years += [(int(o.reading.value[:4]), o.uses) for o in odd[need] if o.reading.value]
            for year, count in years:
                uses[year] = uses.get(year, 0) + count
        middle = _middle(uses)
        if middle is None or (
            middle - YEARS_BEFORE <= min(uses) and max(uses) <= middle + YEARS_AFTER
        ):
            return
        for _, need in dated:
            self.rules[need] = within_years(
                self.rules[need], middle - YEARS_BEFORE, middle + YEARS_AFTER
            )
        self._set_parameters()
        for _, need in dated:
            odd[need] = self._odd(need)

    def _keep(self, number: int, need: Need, blank: int, odd: list[_Odd]) -> Outcome:
        """Keep the readings of odd texts beside the page."""
        if not odd:
            return Outcome(blank)
        units = [find_unit(o.raw) if need.kind.role is Role.UNIT else None for o in odd]
        table = pa.table(
            {
                "raw": pa.array([o.raw for o in odd], pa.string()),
                "value": pa.array([o.reading.value for o in odd], pa.string()),
                "rule": pa.array([o.reading.rule for o in odd], pa.string()),
                "problem": pa.array([o.reading.problem for o in odd], pa.string()),
                "uses": pa.array([o.uses for o in odd], pa.int64()),
                "factor": pa.array([u.factor if u else 1.0 for u in units], pa.float64()),
                "shift": pa.array([u.shift if u else 0.0 for u in units], pa.float64()),
            }
        )
        name = f"odd{number}"
        self.build.register("looked_up", table)
        self.build.execute(compose("intake/keep_lookup", lookup=name))
        self.build.unregister("looked_up")
        unread = sum(o.uses for o in odd if o.reading.value is None)
        noted = any(o.reading.rule or o.reading.problem for o in odd)
        return Outcome(blank, name, unread, noted)

    def _plain(self, need: Need) -> str:
        number = self.needs.index(need)
        return plain.plain(number, need, self.rules[need], printable=self.page.printable)

    def value(self, need: Need) -> str:
        """Expression for the value of a column, of the kind's type."""
        stored = plain.stored(self.needs.index(need), need, self.rules[need])
        lookup = self.outcomes[need].lookup
        if lookup is None:
            return stored
        kept = f"CAST({lookup}.value AS {need.kind.sql_type})"
        return f"CASE WHEN {lookup}.raw IS NOT NULL THEN {kept} ELSE {stored} END"

    def join(self, need: Need) -> str:
        """Join that a column's :meth:`value` needs; empty when it needs none."""
        lookup = self.outcomes[need].lookup
        return f"LEFT JOIN {lookup} ON {lookup}.raw = {need.text}" if lookup else ""


def _middle(uses: dict[int, int]) -> int | None:
    """Median of years, each with the number of its rows."""
    half = sum(uses.values()) / 2
    passed = 0
    for year in sorted(uses):
        passed += uses[year]
        if passed >= half:
            return year
    return None
