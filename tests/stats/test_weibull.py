from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import weibull_min

from tracegraph.stats.weibull import SHAPES, cumulative_hazard, fit_weibull

# Revolutions to failure of 23 ball bearings, in millions (Lieblein and Zelen 1956).
BEARINGS = [
    17.88, 28.92, 33.00, 41.52, 42.12, 45.60, 48.40, 51.84, 51.96, 54.12, 55.56, 67.80, 68.64,
    68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.40,
]  # fmt: skip


def test_ball_bearings() -> None:
    # Lawless 1982, section 4.1: shape 2.10, scale 81.88 (exact ages; counted here to 0.04).
    edges = np.arange(0.0, 174.04, 0.04)
    failures, _ = np.histogram(BEARINGS, edges)
    at_risk = np.array([(np.array(BEARINGS) >= age).sum() for age in edges[:-1]])
    fit = fit_weibull(edges, failures, at_risk)
    assert fit.shape == pytest.approx(2.102, abs=0.01)
    assert fit.scale == pytest.approx(81.88, abs=0.1)


def test_agrees_with_the_library_on_uncensored_ages() -> None:
    ages = weibull_min.rvs(1.6, scale=20.0, size=400, random_state=3)
    edges = np.linspace(0.0, ages.max() + 0.01, 8000)
    failures, _ = np.histogram(ages, edges)
    at_risk = len(ages) - np.searchsorted(np.sort(ages), edges[:-1])
    fit = fit_weibull(edges, failures, at_risk)
    shape, _, scale = weibull_min.fit(ages, floc=0)
    assert fit.shape == pytest.approx(shape, rel=0.005)
    assert fit.scale == pytest.approx(scale, rel=0.005)
    assert fit.cumulative(20.0) == pytest.approx((20.0 / scale) ** shape, rel=0.01)


def test_the_profile_peaks_at_the_estimate() -> None:
    fit = fit_weibull(range(13), [1, 2, 4, 6, 5, 7, 9, 8, 12, 9, 14, 15], [500.0] * 12)
    best = int(np.argmax(fit.log_likelihood))
    assert SHAPES[best - 1] <= fit.shape <= SHAPES[best + 1]
    assert fit.failures == 92
    # At its best scale every shape gives all failures that were seen.
    total = 500.0 * (cumulative_hazard(12.0, SHAPES, fit.scales))
    assert total == pytest.approx(np.full(len(SHAPES), 92.0))


def test_nothing_to_fit_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one failure"):
        fit_weibull([0, 1, 2], [0, 0], [5, 5])
    with pytest.raises(ValueError, match="among units at risk"):
        fit_weibull([0, 1, 2], [0, 1], [5, 0])
