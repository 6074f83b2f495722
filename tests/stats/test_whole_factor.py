"""Whole-factor tests against a handbook, scipy, and full enumeration."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from scipy.stats import chi2_contingency

from tracegraph.stats.whole_factor import whole_factor_test


def spread(counts: list[tuple[int, int]]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Units with one level each, from affected and not affected per level."""
    level = np.concatenate([np.full(a + b, i) for i, (a, b) in enumerate(counts)])
    affected = np.concatenate([np.arange(a + b) < a for a, b in counts])
    return np.arange(len(level)), level, affected


def test_diodes_of_the_handbook() -> None:
    # NIST/SEMATECH e-Handbook 7.4.5: the text prints 12.131 on 4 degrees of freedom.
    test = whole_factor_test(*spread([(36, 264), (46, 254), (42, 258), (63, 237), (38, 262)]))
    assert test.statistic == pytest.approx(12.130718954248, rel=1e-12)
    assert test.p_value == pytest.approx(0.016405221989, rel=1e-9)
    assert test.method == "chi-square"


def test_sparse_tables_are_resampled_and_agree_with_enumeration() -> None:
    counts = [(3, 0), (1, 3), (0, 4)]
    unit, level, affected = spread(counts)
    test = whole_factor_test(unit, level, affected, resamples=9999, seed=5)
    assert test.method == "resampled"
    assert test.statistic == pytest.approx(
        chi2_contingency(np.array(counts).T, correction=False).statistic, rel=1e-12
    )
    hits = total = 0
    for chosen in combinations(range(len(level)), int(affected.sum())):
        drawn = np.bincount(level[list(chosen)], minlength=3)
        table = np.array([drawn, np.bincount(level, minlength=3) - drawn])
        total += 1
        hits += chi2_contingency(table, correction=False).statistic >= test.statistic - 1e-9
    exact = hits / total
    assert test.p_value == pytest.approx(exact, abs=4 * np.sqrt(exact * (1 - exact) / 9999))


def test_units_with_several_levels_are_resampled_as_units() -> None:
    # Every unit carries both levels: no draw can differ from the observed table.
    unit, level = np.repeat(np.arange(40), 2), np.tile([0, 1], 40)
    test = whole_factor_test(unit, level, np.arange(40) < 8, resamples=199)
    assert test.method == "resampled"
    assert test.p_value == 1.0


def test_no_contrast_is_not_testable() -> None:
    for counts in ([(2, 5)], [(0, 4), (0, 5)], [(4, 0), (5, 0)]):
        test = whole_factor_test(*spread(counts))
        assert (test.method, test.p_value) == ("not testable", 1.0)


def test_same_seed_same_answer() -> None:
    data = spread([(3, 1), (1, 6), (0, 7), (2, 2)])
    assert whole_factor_test(*data, seed=3) == whole_factor_test(*data, seed=3)
