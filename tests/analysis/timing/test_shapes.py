"""Ramps and combs on rows small enough to work out by hand."""

from __future__ import annotations

from math import log

import numpy as np
import pandas as pd
import pytest

from tests.support.rows import working_week
from tracegraph.analysis.timing.folds import MONTHS, calendar_folds, service_fold
from tracegraph.analysis.timing.scan import Line
from tracegraph.analysis.timing.shapes import Comb, Fold, Ramp


def test_ramp_finds_a_constant_percentage() -> None:
    """Claims where exp(3 x) puts them: the gain is that of the true rate, within a per cent."""
    line = Line.of(np.arange(400.0), np.full(400, 0.1))
    x = (np.arange(400) + 0.5) / 400
    rate = np.exp(3 * x)
    places = np.searchsorted(np.cumsum(rate) / rate.sum(), (np.arange(40) + 0.5) / 40)
    fit = Ramp(line).best(places)
    true = 3 * x[places].sum() - 40 * log(rate.mean())
    assert fit.gain == pytest.approx(true, rel=0.02)
    assert 12.0 < fit.growth < 32.0


def test_ramp_tells_rise_from_fall_and_gains_nothing_on_an_even_row() -> None:
    line = Line.of(np.arange(100.0), np.full(100, 0.1))
    ramp = Ramp(line)
    assert ramp.best(np.arange(80, 90)).growth > 1.0
    assert ramp.best(np.arange(10, 20)).growth < 1.0
    even = ramp.best(np.arange(5, 100, 10))
    assert even.gain == pytest.approx(0.0, abs=0.05)
    assert ramp.gains(np.array([np.arange(80, 90)]))[0] == ramp.best(np.arange(80, 90)).gain


def test_comb_by_hand() -> None:
    """Ten weeks of one hull a day; a claim every Monday: 10 where 2 are expected."""
    comb = Comb(working_week(50, per_day=1), np.full(50, 0.2))
    tooth = comb.best(np.arange(0, 50, 5))
    assert (tooth.label, tooth.observed, tooth.cases, tooth.turns) == ("Monday", 10, 10, 10)
    assert tooth.expected == pytest.approx(2.0)
    assert tooth.gain == pytest.approx(10 * log(5))
    assert tooth.p_without_strongest == pytest.approx(0.2**9)


def test_one_bad_turn_does_not_accuse_its_days() -> None:
    """All claims in one week, one on each day: within the week nothing stands out."""
    comb = Comb(working_week(50, per_day=1), np.full(50, 0.1))
    tooth = comb.best(np.arange(20, 25))
    assert tooth.gain == pytest.approx(0.0, abs=1e-9)


def test_a_tooth_in_one_turn_only_does_not_come_back() -> None:
    fold = Fold("season", MONTHS, np.arange(48) % 12, np.arange(48) // 12, True)
    tooth = Comb(fold, np.full(48, 0.1)).best(np.array([13, 14]))
    assert tooth.label == "February to March"
    assert tooth.p_without_strongest == 1.0


def test_a_winter_across_new_year_is_one_turn() -> None:
    """December of one year and January of the next: one turn, so it has not come back."""
    fold = Fold("season", MONTHS, np.arange(48) % 12, np.arange(48) // 12, True)
    tooth = Comb(fold, np.full(48, 0.1)).best(np.array([11, 12]))
    assert (tooth.label, tooth.turns) == ("December to January", 1)


def test_hulls_without_a_bin_take_no_part() -> None:
    fold = Fold(
        "season", MONTHS, np.where(np.arange(24) < 12, np.arange(24), -1), np.zeros(24), True
    )
    tooth = Comb(fold, np.full(24, 0.1)).best(np.array([3, 15]))
    assert (tooth.cases, tooth.label) == (1, "April")


def test_calendar_folds_name_days_and_months() -> None:
    local = pd.Series(pd.to_datetime(["2025-03-10 23:00", "2025-12-28 01:00", None]))
    week, season = calendar_folds(local)
    assert [week.labels[b] for b in week.bins[:2]] == ["Monday", "Sunday"]
    assert [season.labels[b] for b in season.bins[:2]] == ["March", "December"]
    assert week.bins[2] == season.bins[2] == -1
    assert season.turn[:2].tolist() == [2025, 2025]


def test_service_fold_cuts_pulls_into_fifths() -> None:
    pulls = np.tile(np.arange(1.0, 11.0), 3)
    fold = service_fold(pulls, np.repeat([1, 2, 3], 10))
    assert fold is not None
    assert fold.labels == (
        "below 3 pulls",
        "3 to 4 pulls",
        "5 to 6 pulls",
        "7 to 8 pulls",
        "9 pulls and more",
    )
    assert fold.bins[:10].tolist() == [0, 0, 1, 1, 2, 2, 3, 3, 4, 4]
    assert service_fold(np.full(5, 2.0), np.zeros(5, np.int64)) is None
    assert service_fold(np.full(5, np.nan), np.zeros(5, np.int64)) is None
