"""The database's own reading of plain text agrees with the careful reading of each text."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tracegraph.domain.records import Role
from tracegraph.intake.columns import YEARS_AFTER, PageReader
from tracegraph.intake.headers import make_headers
from tracegraph.intake.kinds import Kind, read
from tracegraph.intake.plain import Need
from tracegraph.intake.rules import IdRule, ReadingRules
from tracegraph.intake.staging import Page, fill_page
from tracegraph.store import Build, in_memory_build

MARKS = "0123456789-/.: ,+TZE'\"\u00a0\u2011\u200b\t"
LOOSE = st.text(alphabet=MARKS + "abNAnoyesx%#", max_size=12)
MOMENTS = st.one_of(
    st.datetimes(datetime(1940, 1, 1), datetime(2110, 1, 1)).map(str),
    st.datetimes(datetime(2020, 1, 1), datetime(2026, 1, 1)).map(lambda t: f"{t:%d/%m/%Y %H:%M}"),
    st.datetimes(datetime(2020, 1, 1), datetime(2026, 1, 1)).map(lambda t: f"{t:%m/%d/%Y}"),
    st.datetimes(datetime(2025, 10, 25), datetime(2025, 10, 27)).map(
        lambda t: f"{t:%Y-%m-%d %H:%M}"
    ),
    st.sampled_from(
        ["2026-02-30", "0025-01-01", "2026-1-5 7:05", "20260105", "5 Jan 2026", "epoch"]
    ),
)
NUMBERS = st.one_of(
    st.floats(allow_nan=False, allow_infinity=False).map(str),
    st.integers().map(str),
    st.sampled_from(
        ["1_000", "inf", "nan", "0x1F", "1.", ".5", "1,5", "2.150,75", "85 %", "-99", "999"]
    ),
)
WORDS = st.sampled_from(
    ["NA", "n/a", "None", "GB-12c", "gb-12c", "'=1", "3.1E+5", "17", "HULL 9", "", "?"]
)
KINDS = [
    Kind(Role.ID),
    Kind(Role.ID, own=IdRule(pad=4, drop_prefix=("hull ",), same=(("gb-12c", "GB-9"),))),
    Kind(Role.ID, defines=True),
    Kind(Role.WORD),
    Kind(Role.WORD, keep_capitals=True),
    Kind(Role.TEXT),
    Kind(Role.NUMBER),
    Kind(Role.WHOLE),
    Kind(Role.FLAG),
    Kind(Role.CHOICE, choices=("yes", "no")),
    Kind(Role.UNIT),
]
RULES = [
    ReadingRules(),
    ReadingRules(decimal=",", sentinels=frozenset({999.0, -99.0}), codes=frozenset({"na"})),
]
DATE_RULES = [
    ReadingRules(dates="year first"),
    ReadingRules(dates="day first", time_zone="Europe/Berlin"),
    ReadingRules(dates="month first", time_zone="America/New_York", two_digit_years_from=1990),
]


@pytest.fixture(scope="module")
def build() -> Iterator[Build]:
    made = in_memory_build()
    made.run("intake/macros")
    yield made
    made.close()


def columns_of(build: Build, texts: list[str], kind: Kind, rules: ReadingRules) -> list[Any]:
    """Values that the reader of a page gives for one column."""
    page = Page(make_headers(["a"]), "p.source_row")
    page.printable = all(text.isascii() and text.isprintable() for text in texts)
    fill_page(build, 1, enumerate([[text] for text in texts]))
    need = Need(0, kind)
    reader = PageReader(build, page, rules, [need])
    text = f"SELECT {reader.value(need)} FROM page AS p {reader.join(need)} ORDER BY p.source_row"
    return [value for (value,) in build.rows(text, reader.parameters)]


def expected(text: str, kind: Kind, rules: ReadingRules) -> Any:
    """The same by reading each text by itself."""
    value = read(kind, text, rules).value if text else None
    if value is None:
        return None
    if kind.role is Role.NUMBER:
        return float(value)
    if kind.role is Role.WHOLE:
        return int(value)
    if kind.role is Role.FLAG:
        return value == "true"
    if kind.role is Role.DATE:
        return date.fromisoformat(value)
    return datetime.fromisoformat(value) if kind.role is Role.TIME else value


@settings(
    max_examples=50, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.lists(st.one_of(LOOSE, NUMBERS, WORDS), min_size=1, max_size=12),
    st.sampled_from(KINDS),
    st.sampled_from(RULES),
)
def test_texts_and_numbers(build: Build, texts: list[str], kind: Kind, rules: ReadingRules) -> None:
    found = columns_of(build, texts, kind, rules)
    assert found == [expected(text, kind, rules) for text in texts]


@settings(
    max_examples=50, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.lists(st.one_of(MOMENTS, LOOSE), min_size=1, max_size=8),
    st.sampled_from(DATE_RULES),
    st.sampled_from([Role.DATE, Role.TIME]),
)
def test_dates_and_times(build: Build, texts: list[str], rules: ReadingRules, role: Role) -> None:
    kind = Kind(role)
    found = columns_of(build, texts, kind, rules)
    alone = [expected(text, kind, rules) for text in texts]
    years = [value.year for value in alone if value is not None]
    believed = not years or max(years) - min(years) <= YEARS_AFTER
    for value, other in zip(found, alone, strict=True):
        assert value in ((other,) if believed else (other, None))
