"""What one reader chooses changes how things are written, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from contextvars import copy_context
from datetime import date

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.domain.errors import DefinitionError
from tracegraph.domain.limits import Limit
from tracegraph.domain.units import in_unit
from tracegraph.report import numbers
from tracegraph.report.formats import (
    CHOICES,
    USUAL,
    Formats,
    day,
    limit_range,
    measures_shown,
    read_formats,
    reader,
    write_for,
)
from tracegraph.report.tables import TENTHS, DisplayTable

OTHERS = Formats("dmy", "comma", "degF", "mil")


@pytest.fixture(autouse=True)
def as_usual() -> Iterator[None]:
    yield
    write_for(USUAL)


def test_numbers_take_the_readers_marks() -> None:
    write_for(OTHERS)
    assert numbers.count(1234567) == "1\u202f234\u202f567"
    assert numbers.percent(9, 2000) == "9 of 2\u202f000 (0,45 %)"
    assert numbers.ratio(8.3333) == "8,33"
    assert numbers.interval(13.94, 1806) == "13,9 to 1\u202f810"
    assert numbers.chance(0.0361) == "0,036"
    assert numbers.chance(6.2e-10) == "6,2 × 10⁻¹⁰"
    assert numbers.measured(62.4, "h") == "62,4 h"


def test_dates_take_the_readers_order() -> None:
    when = date(2026, 3, 9)
    for order, text in (("ymd", "2026-03-09"), ("dmy", "09.03.2026"), ("mdy", "03/09/2026")):
        write_for(read_formats({"dates": order}))
        assert day(when) == text
        table = DisplayTable(pd.DataFrame({"a": [when], "b": [pd.Timestamp("2026-03-09 14:05")]}))
        assert table.texts().iloc[0].tolist() == [text, f"{text} 14:05"]
    write_for(OTHERS)
    assert DisplayTable(pd.DataFrame({"a": [0.25]}), {"a": TENTHS}).texts()["a"].tolist() == ["0,2"]


def test_measured_values_take_the_readers_units_and_keep_their_kind() -> None:
    stored = pd.DataFrame(
        {
            "quantity": ["mold_temp", "dew_point_margin", "wet_film", "catalyst_pct", "note"],
            "unit": ["degC", "degC", "um", "%", None],
            "value": [25.0, 3.0, 508.0, 1.8, 4.0],
            "low": [20.0, 1.0, 254.0, 1.0, float("nan")],
            "middle": [22.0, 2.0, 508.0, 2.0, float("nan")],
            "high": [24.0, 4.0, 762.0, 3.0, float("nan")],
        }
    )
    assert measures_shown(stored) is stored
    write_for(OTHERS)
    shown = measures_shown(stored)
    assert shown["unit"].tolist()[:4] == ["degF", "degF", "mil", "%"]
    # 25 °C is 77 °F; a margin of 3 °C is one of 5.4 °F; 20 mil is 508 µm by definition.
    assert shown["value"].tolist() == pytest.approx([77.0, 5.4, 20.0, 1.8, 4.0])
    assert shown["low"].tolist()[:4] == pytest.approx([68.0, 1.8, 10.0, 1.0])
    assert stored["unit"].tolist()[0] == "degC"


def test_limits_take_the_readers_units() -> None:
    write_for(OTHERS)
    assert limit_range(Limit("wet_film", "um", 305.0, 610.0, (), "")) == "12 to 24 mil"
    assert limit_range(Limit("mold_temp", "degC", 16.0, 27.0, (), "")) == "60,8 to 80,6 °F"
    assert limit_range(Limit("dew_point_margin", "degC", 3.0, None, (), "")) == "at least 5,4 °F"


@given(st.floats(-50, 200), st.booleans())
def test_a_temperature_keeps_its_order_and_its_differences(value: float, difference: bool) -> None:
    there = in_unit(value, "degC", "degF", difference=difference)
    further = in_unit(value + 10, "degC", "degF", difference=difference)
    assert further - there == pytest.approx(18.0)


@given(st.fixed_dictionaries({}, optional={n: st.sampled_from(c) for n, c in CHOICES.items()}))
def test_a_choice_is_read_as_it_was_named(chosen: dict[str, str]) -> None:
    found = read_formats(chosen)
    assert {n: getattr(found, n) for n in CHOICES} == {n: c[0] for n, c in CHOICES.items()} | chosen


def test_a_choice_that_is_none_is_told() -> None:
    with pytest.raises(DefinitionError, match="dates in the address must be ymd or dmy or mdy"):
        read_formats({"dates": "julian"})


def test_readers_at_once_do_not_disturb_each_other() -> None:
    copy_context().run(write_for, OTHERS)
    assert reader() == USUAL
