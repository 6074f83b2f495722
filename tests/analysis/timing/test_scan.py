"""The interval scan against brute force, and what chance makes of it."""

from __future__ import annotations

from math import log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.rows import row_of_hulls, working_week
from tracegraph.analysis.timing.looking import look
from tracegraph.analysis.timing.scan import FEWEST_CASES, Line, NullGains, Scan, Stretch, gain

ROWS = st.lists(
    st.tuples(st.integers(0, 8), st.floats(0.05, 3.0), st.booleans()), min_size=4, max_size=14
).filter(lambda rows: sum(case for *_, case in rows) >= FEWEST_CASES)


def laid_out(rows: list[tuple[int, float, bool]]) -> tuple[Line, np.ndarray]:
    """A row of hulls (time, weight, case) whose expected claims add up to the cases."""
    when = np.array([time for time, *_ in rows], np.float64)
    weight = np.array([w for _, w, _ in rows])
    case = np.array([c for *_, c in rows])
    line = Line.of(when, weight * case.sum() / weight.sum())
    return line, np.sort(line.place[case])


def by_brute_force(line: Line, places: np.ndarray) -> dict[tuple[int, int], float]:
    """Gain of every stretch from any place to any place with three cases or more."""
    cases, found = len(places), {}
    for first in range(line.places):
        for last in range(first, line.places):
            o = int(((places >= first) & (places <= last)).sum())
            e = float(line.before[last + 1] - line.before[first])
            if o < FEWEST_CASES or o <= e:
                continue
            rest = cases - o
            outside = rest * log(rest / (cases - e)) if rest else 0.0
            found[first, last] = o * log(o / e) + outside
    return found


@given(ROWS)
def test_best_stretch_against_brute_force(rows: list[tuple[int, float, bool]]) -> None:
    line, places = laid_out(rows)
    best = Scan(line, len(places)).best(places)
    every = by_brute_force(line, places)
    top = max(every.values(), default=0.0)
    if best is None:
        assert top == pytest.approx(0.0, abs=1e-9)
        return
    assert best.gain == pytest.approx(top, abs=1e-9)
    assert every[best.first, best.last] == pytest.approx(top, abs=1e-9)


@given(ROWS)
def test_best_step_against_brute_force(rows: list[tuple[int, float, bool]]) -> None:
    line, places = laid_out(rows)
    step = Scan(line, len(places)).best_step(places)
    last = line.places - 1
    ways = [g for (_, end), g in by_brute_force(line, places).items() if end == last]
    assert (step.gain if step else 0.0) == pytest.approx(max(ways, default=0.0), abs=1e-9)


@given(ROWS, st.sampled_from([0.5, 1.92, 3.5]))
def test_limits_against_brute_force(rows: list[tuple[int, float, bool]], drop: float) -> None:
    line, places = laid_out(rows)
    scan = Scan(line, len(places))
    best = scan.best(places)
    if best is None or best.gain - drop <= 1e-6:
        return
    near = [
        ends for ends, g in by_brute_force(line, places).items() if g >= best.gain - drop - 1e-9
    ]
    starts, stops = {first for first, _ in near}, {last for _, last in near}
    assert scan.limits(places, best, drop) == (
        (min(starts), max(starts)),
        (min(stops), max(stops)),
    )


@given(ROWS)
def test_a_sample_scores_as_it_would_alone(rows: list[tuple[int, float, bool]]) -> None:
    line, places = laid_out(rows)
    scan = Scan(line, len(places))
    samples = np.array([places, np.sort(line.places - 1 - places)])
    stretches, steps = scan.largest(samples)
    for row, stretch, step in zip(samples, stretches, steps, strict=True):
        best, last = scan.best(row), scan.best_step(row)
        assert stretch == pytest.approx(best.gain if best else 0.0, abs=1e-9)
        assert step == pytest.approx(last.gain if last else 0.0, abs=1e-9)


def test_gain_by_hand() -> None:
    """Eight of ten cases where four were expected: 8 ln 2 + 2 ln(1/3)."""
    assert gain(np.array([8]), np.array([4.0]), 10)[0] == pytest.approx(8 * log(2) - 2 * log(3))
    assert gain(np.array([3]), np.array([4.0]), 10)[0] == 0.0
    assert gain(np.array([10]), np.array([4.0]), 10)[0] == pytest.approx(10 * log(2.5))


def test_rate_ratio_compares_inside_with_outside() -> None:
    assert Stretch(0, 3, 8, 4.0, 0.0).rate_ratio(10) == pytest.approx((8 / 4) / (2 / 6))
    assert Stretch(0, 3, 10, 4.0, 0.0).rate_ratio(10) == float("inf")


def test_hulls_of_one_day_stand_or_fall_together() -> None:
    """Three cases on a day of six hulls: no stretch may pick them out of their day."""
    when = np.repeat(np.arange(10.0), 6)
    line = Line.of(when, np.full(60, 3 / 60))
    best = Scan(line, 3).best(np.array([4, 4, 4]))
    assert best == Stretch(4, 4, 3, pytest.approx(0.3), pytest.approx(3 * log(10)))


def test_gumbel_continues_the_resamples() -> None:
    law = NullGains(np.random.default_rng(4).gumbel(6.0, 1.5, 2000))
    for observed in (6.0, 9.0, 11.0):
        assert law.p_gumbel(observed) == pytest.approx(law.p_value(observed), rel=0.15)
    assert law.p_value(40.0) == pytest.approx(1 / 2001)
    assert law.p_gumbel(40.0) < 1e-8
    assert NullGains(np.zeros(9)).p_gumbel(1.0) == pytest.approx(0.1)


def test_p_is_small_as_often_as_it_says_when_nothing_happened() -> None:
    stretch, any_shape = [], []
    for seed in range(200):
        hulls, when = row_of_hulls(
            np.random.default_rng(seed), np.ones_like, hulls=300, claims=25.0
        )
        found = look(hulls, when, folds=[working_week(300)], resamples=99, seed=seed)
        stretch.append(found.chances["stretch"].p_value)
        any_shape.append(found.p_any)
    for p in (np.array(stretch), np.array(any_shape)):
        assert 0.02 <= np.mean(p <= 0.05) <= 0.09
        assert 0.40 <= np.mean(p <= 0.50) <= 0.60


def test_wide_limits_hold_the_true_start() -> None:
    """A third of the row at eight times the rate; 95 % limits, 80 % limits."""
    held = {1.92: 0, 3.5: 0}
    for seed in range(60):
        rng = np.random.default_rng(seed)
        rate = np.where((np.arange(600) >= 200) & (np.arange(600) < 380), 8.0, 1.0)
        hulls, when = row_of_hulls(rng, rate, claims=80.0)
        weight = np.ones(600)
        line = Line.of(when, hulls.expected(weight))
        places = line.place[hulls.cases]
        scan = Scan(line, len(places))
        best = scan.best(places)
        for drop in held:
            (low, high), _ = scan.limits(places, best, drop)
            held[drop] += low <= 200 <= high
    assert held[3.5] >= 54
    assert 36 <= held[1.92] <= held[3.5]
