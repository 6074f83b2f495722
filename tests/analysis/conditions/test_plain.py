"""Permutation tests on the plain table choose the instrument's step themselves."""

from __future__ import annotations

import numpy as np
import pytest

from tracegraph.analysis.conditions.plain import plain_cut, plain_tests, step_of


@pytest.mark.parametrize(
    ("values", "step"),
    [
        ([53.0, 57.0, 81.0], 1.0),
        ([18.5, 20.0, np.nan], 0.5),
        ([18.3, 20.1], 0.1),
        ([1.62, 1.7], 0.02 / 2),
        ([0.125, 0.3], 0.005),
        ([np.pi, 1.0], (np.pi - 1.0) / 2000),
        ([np.pi, np.pi], 1.0),
    ],
)
def test_step(values: list[float], step: float) -> None:
    assert step_of(np.array(values)) == pytest.approx(step)


def test_values_between_the_steps_are_still_tested_exactly() -> None:
    """Means over a logger's series have no step; the exact law is within a rounding of it."""
    rng = np.random.default_rng(3)
    values, affected = rng.normal(20, 3, 18), np.arange(18) < 6
    row = plain_tests(values, affected).set_index("test").loc["sum of values"]
    assert row["exact"]
    sums = [rng.permutation(values)[:6].sum() for _ in range(20_000)]
    expected = np.mean(np.abs(np.array(sums) - row["mean"]) >= abs(row["statistic"] - row["mean"]))
    assert row["p_value"] == pytest.approx(expected, abs=0.015)


def test_many_values_are_cut_in_classes() -> None:
    values = np.random.default_rng(1).normal(size=3000)
    found = plain_cut(values, values > 1.9)
    assert found.cuts <= 999
    assert found.cut == pytest.approx(1.9, abs=0.05)
    assert found.z < 0.0
    assert found.p_value < 1e-30
