"""Planted shapes are read as what they are; renaming hulls changes nothing."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.rows import row_of_hulls, working_week
from tracegraph.analysis.timing.followed import Followed
from tracegraph.analysis.timing.looking import look
from tracegraph.analysis.timing.reading import MEANINGS

SHAPES = {
    "closed": lambda x: np.where((x > 0.4) & (x < 0.55), 12.0, 1.0),
    "open": lambda x: np.where(x > 0.5, 8.0, 1.0),
    "ended": lambda x: np.where(x < 0.3, 8.0, 1.0),
    "ramp": lambda x: np.exp(4.5 * x),
    "falling": lambda x: np.exp(-3.0 * x),
}


def readings(rate, count: int = 12) -> Counter[str]:
    found: Counter[str] = Counter()
    for seed in range(count):
        hulls, when = row_of_hulls(np.random.default_rng(seed), rate, claims=70.0)
        folds = [working_week(len(hulls))]
        found[look(hulls, when, folds=folds, resamples=99, seed=seed).code] += 1
    return found


@pytest.mark.parametrize("shape", SHAPES)
def test_planted_shape_is_read(shape: str) -> None:
    found = readings(SHAPES[shape])
    assert found[shape] >= 9, found
    assert set(found) <= set(MEANINGS)


def test_planted_mondays_are_a_comb() -> None:
    monday = np.where(working_week(600).bins == 0, 9.0, 1.0)
    assert readings(monday)["comb"] >= 11


def test_an_even_row_has_no_shape() -> None:
    found = readings(np.ones_like, count=25)
    assert found["none"] >= 22, found


def test_planted_interval_is_found_where_it_is() -> None:
    hulls, when = row_of_hulls(np.random.default_rng(5), SHAPES["closed"], claims=70.0)
    found = look(hulls, when, resamples=99, seed=1)
    (start_low, start_high), (end_low, end_high) = found.limits[3.5]
    assert start_low <= 240 <= start_high
    assert end_low <= 329 <= end_high
    assert found.chances["stretch"].p_value == pytest.approx(0.01)
    assert found.chances["stretch"].p_gumbel < 0.001


def test_a_model_that_fails_more_often_is_no_onset() -> None:
    """The second half of the row is another model with six times the claims."""
    x = (np.arange(600) + 0.5) / 600
    late = (x > 0.5).astype(np.int64)
    hulls, when = row_of_hulls(np.random.default_rng(2), np.where(late, 6.0, 1.0), claims=60.0)
    blind = look(hulls, when, resamples=99, seed=1)
    assert blind.code == "open"
    seeing = look(
        Followed.of(hulls.follow, hulls.month, {"model": late}), when, resamples=99, seed=1
    )
    assert seeing.code == "none"


def test_two_cases_are_too_few() -> None:
    hulls = Followed.of(
        np.full(20, 12), np.where(np.arange(20) < 2, 3, -1), {"model": np.zeros(20, np.int64)}
    )
    found = look(hulls, np.arange(20.0), resamples=9, seed=1)
    assert (found.code, found.p_any, found.stretch) == ("few", 1.0, None)


def test_hulls_without_a_time_take_no_part() -> None:
    hulls, when = row_of_hulls(np.random.default_rng(7), SHAPES["closed"])
    lost = np.arange(600) % 5 == 0
    found = look(hulls, np.where(lost, np.nan, when), resamples=49, seed=3)
    assert not found.taking_part[lost].any()
    assert not np.isin(found.cases, np.flatnonzero(lost)).any()
    assert found.expected.sum() == pytest.approx(len(found.cases))


@settings(max_examples=15)
@given(st.integers(0, 2**32 - 1), st.integers(0, 40))
def test_row_order_and_a_shift_of_time_change_nothing(seed: int, months: int) -> None:
    rng = np.random.default_rng(seed)
    hulls, when = row_of_hulls(rng, SHAPES["closed"], hulls=120, claims=15.0)
    one = look(hulls, when, resamples=9, seed=seed)
    if one.stretch is None:
        return
    order = rng.permutation(120)
    shuffled = Followed.of(
        hulls.follow[order], hulls.month[order], {"model": np.zeros(120, np.int64)}
    )
    moved = when[order] + months * 30.4375 * 86_400
    other = look(shuffled, moved, resamples=9, seed=seed)
    assert other.stretch is not None
    assert (other.stretch.first, other.stretch.last) == (one.stretch.first, one.stretch.last)
    assert other.stretch.gain == pytest.approx(one.stretch.gain)
    assert other.limits == one.limits
    assert order[other.cases].tolist() == one.cases.tolist()


def test_same_seed_same_result() -> None:
    hulls, when = row_of_hulls(np.random.default_rng(9), np.ones_like)
    one, two = (look(hulls, when, resamples=49, seed=8) for _ in range(2))
    assert one.chances == two.chances
    assert one.chances != look(hulls, when, resamples=49, seed=9).chances
