import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.stats.surveillance import (
    c_chart,
    excess_log_likelihood,
    p_chart,
    poisson_cusum_run_length,
    rate_ratio_cusum,
    tabular_cusum,
)

# NIST/SEMATECH e-Handbook 6.3.3.1 (wafers), 6.3.3.2 (shares of 50; the juice cans of Montgomery),
# 6.3.2.3 (tabular sums; data from memory).
WAFERS = [16, 14, 28, 16, 12, 20, 10, 12, 10, 17, 19, 17, 14, 16, 15, 13, 14, 16, 11, 20, 11, 19,
          16, 31, 13]  # fmt: skip
CANS = [12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9,
        12, 7, 13, 9, 6]  # fmt: skip
SERIES = [324.925, 324.675, 324.725, 324.35, 325.35, 325.225, 324.125, 324.525, 325.225, 324.6,
          324.625, 325.15, 328.325, 327.25, 327.825, 328.5, 326.675, 327.775, 326.875,
          328.35]  # fmt: skip


def test_wafers():
    chart = c_chart(WAFERS)
    assert chart.center == 16.0
    assert (chart.low[0], chart.high[0]) == (4.0, 28.0)
    # Wafer 3 lies on the limit and is inside; wafer 24 is beyond it.
    assert (np.flatnonzero(chart.outside) + 1).tolist() == [24]


def test_juice_cans():
    chart = p_chart(CANS, 50)
    assert sum(CANS) == 347
    assert chart.center == pytest.approx(0.231333333, abs=5e-10)
    assert chart.high[0] == pytest.approx(0.410239118595, rel=1e-9)
    assert chart.low[0] == pytest.approx(0.052427548072, rel=1e-9)
    assert (np.flatnonzero(chart.outside) + 1).tolist() == [15, 23]


def test_juice_cans_without_the_two():
    kept = [k for i, k in enumerate(CANS, start=1) if i not in (15, 23)]
    chart = p_chart(kept, 50)
    assert chart.center == pytest.approx(0.215)
    assert chart.high[0] == pytest.approx(0.389297160046, rel=1e-9)
    assert chart.low[0] == pytest.approx(0.040702839954, rel=1e-9)
    assert [kept[i] for i in np.flatnonzero(chart.outside)] == [20]


def test_unequal_sizes_have_their_own_limits():
    chart = p_chart([1, 10], [10, 1000])
    assert chart.high[0] > chart.high[1]
    assert chart.low[0] == 0.0


def test_tabular_sums():
    sums = tabular_cusum(SERIES, target=325, allowance=0.3175, limit=4.1959)
    assert sums.upper[12:] == pytest.approx(
        [3.0075, 4.94, 7.4475, 10.63, 11.9875, 14.445, 16.0025, 19.035]
    )
    assert sums.first_signal == 13
    assert sums.lower.max() == pytest.approx(0.715)
    assert int(sums.lower.argmax()) == 7
    assert tabular_cusum([325.0], target=325, allowance=0.3, limit=4).first_signal is None


# Zero-state average run lengths by Brook & Evans 1972, Biometrika 59:539-549: own linear solve and
# R surveillance::arlCusum(distr="poisson"), which agree to 1e-10; in control and at twice the mean.
@pytest.mark.parametrize(
    ("mean", "reference", "limit", "in_control", "doubled"),
    [
        (1, 2, 3, 151.611618372, 9.272683246),
        (1, 2, 5, 1903.543494528, 19.796742876),
        (2, 3, 6, 412.471410915, 6.190406100),
        (2, 3, 10, 8896.326136712, 10.176626263),
        (4, 5, 10, 421.650098486, 3.963926796),
    ],
)
def test_run_lengths(mean, reference, limit, in_control, doubled):
    got = [poisson_cusum_run_length(m, reference=reference, limit=limit) for m in (mean, 2 * mean)]
    assert got == pytest.approx([in_control, doubled], rel=1e-9)


def test_run_length_by_simulation():
    rng = np.random.default_rng(6)
    lengths = []
    for _ in range(4000):
        total, periods = 0, 0
        while total < 5:
            total = max(0, total + int(rng.poisson(2.0)) - 2)
            periods += 1
        lengths.append(periods)
    expected = poisson_cusum_run_length(2.0, reference=2, limit=5)
    assert np.mean(lengths) == pytest.approx(expected, abs=4 * np.std(lengths) / 4000**0.5)


@pytest.mark.parametrize(("reference", "limit"), [(0, 3), (2, 0), (1.5, 3)])
def test_run_length_needs_whole_numbers(reference, limit):
    with pytest.raises(ValueError, match="must be whole numbers"):
        poisson_cusum_run_length(1.0, reference=reference, limit=limit)


@given(st.lists(st.tuples(st.integers(0, 6), st.floats(0.1, 4)), min_size=1, max_size=20))
def test_rate_ratio_sum_step_by_step(rows):
    observed, expected = np.array(rows).T
    got, total = rate_ratio_cusum(observed, expected, ratio=2.0), 0.0
    for o, e, value in zip(observed, expected, got, strict=True):
        total = max(0.0, total + o * np.log(2.0) - e)
        assert value == pytest.approx(total, abs=1e-9)


def test_excess_log_likelihood():
    assert excess_log_likelihood([0, 3, 2], [1.0, 1.0, 2.0]) == pytest.approx(
        [0, 3 * np.log(3) - 2, 0]
    )
