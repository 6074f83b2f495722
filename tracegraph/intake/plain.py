"""Which text the database may store by itself, and how: expressions for one column."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tracegraph.domain.records import Role
from tracegraph.intake.kinds import Kind
from tracegraph.intake.rules import DayOrder, ReadingRules

_YEAR_FIRST = ("%Y-%m-%d", "%Y/%m/%d")
_DAY_FORMATS: dict[DayOrder | None, tuple[str, ...]] = {
    None: _YEAR_FIRST,
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

    @property
    def text(self) -> str:
        """Expression for the text of the column."""
        return f"p.c{self.column}"

    @property
    def dated(self) -> bool:
        """Whether it holds dates or times."""
        return self.kind.role in (Role.DATE, Role.TIME)


def formats(need: Need, rules: ReadingRules) -> list[str]:
    """Formats of dates or times that the database reads by itself."""
    days = _DAY_FORMATS[rules.dates]
    if need.kind.role is Role.DATE:
        return [*days]
    return [day + clock for day in days for clock in _CLOCKS]


def parameters(number: int, need: Need, rules: ReadingRules) -> dict[str, Any]:
    """Values that the expressions of one need refer to."""
    kind = need.kind
    if kind.role is Role.CHOICE:
        return {f"choices{number}": [*kind.choices]}
    if need.dated:
        return {
            f"formats{number}": formats(need, rules),
            f"earliest{number}": rules.earliest_year,
            f"latest{number}": rules.latest_year,
        }
    if kind.own is not None:
        return {
            f"same{number}": [written for written, _ in kind.own.same],
            f"prefixes{number}": [prefix.lower() for prefix in kind.own.drop_prefix],
            f"short{number}": f"[0-9]{{1,{max(1, (kind.own.pad or 1) - 1)}}}",
        }
    return {}


def plain(number: int, need: Need, rules: ReadingRules, *, printable: bool) -> str:
    """Condition under which a text is stored without a closer look; null for no text."""
    c, kind = need.text, need.kind
    name = "plain_printable_name" if printable else "plain_name"
    missing = "$surely_missing" if kind.defines else "$missing"
    here = f"{name}({c}) AND present({c}, {missing}, $longest, $starts)"
    if kind.role is Role.ID:
        return here + (_without_own_rule(number, need) if kind.own is not None else "")
    if kind.role is Role.WORD:
        return here if kind.keep_capitals else f"{here} AND {c} = lower({c})"
    if kind.role is Role.NUMBER:
        macro = "plain_number_with_comma" if rules.decimal == "," else "plain_number"
        sentinel = f" AND NOT list_contains($sentinels, {_number(need, rules)})"
        return f"{macro}({c})" + (sentinel if rules.sentinels else "")
    if kind.role is Role.SHARE:
        return f"plain_number({c}) AND TRY_CAST({c} AS DOUBLE) BETWEEN 0 AND 1"
    if kind.role is Role.WHOLE:
        sentinel = f" AND NOT list_contains($sentinels, TRY_CAST({c} AS DOUBLE))"
        return f"plain_whole({c})" + (sentinel if rules.sentinels else "")
    if need.dated:
        believed = f"plain_moment({c}, $formats{number}, $earliest{number}, $latest{number})"
        if kind.role is Role.TIME and rules.time_zone != "UTC":
            believed += f" AND ordinary_day({c}, $formats{number}, $clock_changes)"
        return f"({c} IS NULL OR ({believed}))"
    if kind.role is Role.CHOICE:
        return f"list_contains($choices{number}, {c})"
    if kind.role is Role.FLAG:
        return f"{c} IN ('true', 'false')"
    if kind.role is Role.UNIT:
        return f"{c} IS NULL"
    return f"plain_text({c})"


def stored(number: int, need: Need, rules: ReadingRules) -> str:
    """Expression for the value of a plain text, of the kind's type."""
    c, kind = need.text, need.kind
    if kind.role is Role.NUMBER:
        return _number(need, rules)
    if kind.role in (Role.SHARE, Role.WHOLE, Role.FLAG):
        return f"TRY_CAST({c} AS {kind.sql_type})"
    if kind.role is Role.DATE:
        return f"CAST(try_strptime({c}, $formats{number}) AS DATE)"
    if kind.role is Role.TIME:
        moment = f"try_strptime({c}, $formats{number})"
        return moment if rules.time_zone == "UTC" else f"to_utc({moment}, $zone)"
    return c


def _number(need: Need, rules: ReadingRules) -> str:
    digits = f"replace({need.text}, ',', '.')" if rules.decimal == "," else need.text
    return f"TRY_CAST({digits} AS DOUBLE)"


def _without_own_rule(number: int, need: Need) -> str:
    c, own = need.text, need.kind.own
    conditions = ""
    if own is not None and own.same:
        conditions += f" AND NOT list_contains($same{number}, lower({c}))"
    if own is not None and own.drop_prefix:
        starts = f"lambda prefix: starts_with(lower({c}), prefix)"
        conditions += f" AND len(list_filter($prefixes{number}, {starts})) = 0"
    if own is not None and own.pad is not None:
        conditions += f" AND NOT regexp_full_match({c}, $short{number})"
    return conditions
