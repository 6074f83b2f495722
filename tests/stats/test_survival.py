import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.duration.survfunc import SurvfuncRight

from tracegraph.stats.survival import kaplan_meier, log_limits, nelson_aalen, quantile


def parse(text):
    """Ages and failures from "9 13 13+": a plus marks a unit that was still sound."""
    words = text.split()
    return [float(w.rstrip("+")) for w in words], [not w.endswith("+") for w in words]


# Acute myelogenous leukaemia (Miller 1981; R survival::aml) and remission under 6-MP
# (Gehan 1965; R MASS::gehan). Figures: R survfit and lifelines, which agree to 1e-10.
MAINTAINED = parse("9 13 13+ 18 23 28+ 31 34 45+ 48 161+")
NOT_MAINTAINED = parse("5 5 8 8 12 16+ 23 27 30 33 43 45")
SIX_MP = parse("6+ 6 6 6 7 9+ 10+ 10 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+")


def test_maintained():
    curve = kaplan_meier(*MAINTAINED)
    assert curve.age.tolist() == [9, 13, 18, 23, 31, 34, 48]
    assert curve.estimate == pytest.approx(
        [0.909090909091, 0.818181818182, 0.715909090909, 0.613636363636, 0.490909090909,
         0.368181818182, 0.184090909091], rel=1e-10
    )  # fmt: skip
    assert curve.standard_error == pytest.approx(
        [0.086678417, 0.116291300, 0.139664971, 0.152632331, 0.164193267, 0.162668886, 0.153492755],
        rel=1e-7,
    )
    assert quantile(curve) == 31.0


def test_not_maintained():
    curve = kaplan_meier(*NOT_MAINTAINED)
    assert curve.estimate == pytest.approx(
        [0.833333333, 0.666666667, 0.583333333, 0.486111111, 0.388888889, 0.291666667,
         0.194444444, 0.097222222, 0.0], abs=5e-10
    )  # fmt: skip
    assert quantile(curve) == 23.0
    assert curve.standard_error[-1] == 0.0


def test_remission():
    curve = kaplan_meier(*SIX_MP)
    assert curve.age.tolist() == [6, 7, 10, 13, 16, 22, 23]
    assert curve.estimate == pytest.approx(
        [0.857142857, 0.806722689, 0.752941176, 0.690196078, 0.627450980, 0.537815126, 0.448179272],
        abs=5e-10,
    )


def test_lung_cancer(known):
    """R survfit: 165 deaths of 228, median 310 (285, 363), S(365) and its error."""
    _, days, died, _ = zip(*known("lung.json")["rows"], strict=True)
    curve = kaplan_meier(days, np.array(died, bool))
    assert (len(days), int(curve.failed.sum())) == (228, 165)
    assert quantile(curve) == 310.0
    low, high = log_limits(curve)
    assert (quantile(low), quantile(high)) == (285.0, 363.0)
    assert curve.at(365) == pytest.approx(0.4092416245, abs=5e-11)
    error = curve.standard_error[np.searchsorted(curve.age, 365, side="right") - 1]
    assert error == pytest.approx(0.0358236382, abs=5e-11)


def test_nelson_aalen_by_hand():
    curve = nelson_aalen(*MAINTAINED)
    increments = [1 / 11, 1 / 10, 1 / 8, 1 / 7, 1 / 5, 1 / 4, 1 / 2]
    assert curve.at_risk.tolist() == [11, 10, 8, 7, 5, 4, 2]
    assert curve.estimate == pytest.approx(np.cumsum(increments))
    assert curve.standard_error == pytest.approx(np.sqrt(np.cumsum(np.square(increments))))


def test_reading_between_the_steps():
    curve = nelson_aalen([9, 13, 13, 18, 23], [True, True, False, True, True])
    assert curve.at([0, 8.9, 9, 12, 500]) == pytest.approx([0, 0, 0.2, 0.2, 1.95])
    assert kaplan_meier([5, 6], [False, True]).at([4, 6]).tolist() == [1.0, 0.0]


def test_without_failures():
    curve = kaplan_meier([3, 4], [False, False])
    assert curve.at([1, 100]).tolist() == [1.0, 1.0]
    assert quantile(curve) == float("inf")
    assert nelson_aalen([], []).at(5).tolist() == 0.0


@given(st.lists(st.tuples(st.integers(1, 12), st.booleans()), min_size=1, max_size=40))
def test_against_statsmodels(rows):
    age, failed = np.array(rows).T
    curve = kaplan_meier(age, failed.astype(bool))
    assert (np.diff(curve.estimate, prepend=1.0) < 0).all()
    if failed.any():
        expected = SurvfuncRight(age, failed)
        assert curve.age.tolist() == expected.surv_times.tolist()
        assert curve.estimate == pytest.approx(expected.surv_prob, abs=1e-12)
        inner = curve.estimate > 0
        assert curve.standard_error[inner] == pytest.approx(expected.surv_prob_se[inner], rel=1e-9)


@given(st.lists(st.integers(1, 12), min_size=1, max_size=40))
def test_without_censoring_it_is_the_plain_share(age):
    curve = kaplan_meier(age, [True] * len(age))
    assert curve.at(np.arange(14)) == pytest.approx(
        [np.mean(np.array(age) > t) for t in range(14)], abs=1e-12
    )
