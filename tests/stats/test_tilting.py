import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tracegraph.stats.tilting import TiltedFamilies, check_confidence, find_roots, offsets, reach


def test_roots_of_a_staircase():
    """A function with flat treads, where Newton's method alone flies off."""
    goals = np.array([-1.5, -0.999, -0.5, 0.0, 0.7, 1.5, 1.999])

    def gap(x):
        cliffs = [1 / (1 + np.exp(-np.clip(8 * (x - c), -700, 700))) for c in (-30, -10, 10, 30)]
        value = sum(cliffs) - 2
        slope = sum(8 * c * (1 - c) for c in cliffs)
        return value - goals, slope

    roots = find_roots(np.zeros(7), np.ones(7, bool), gap)
    assert gap(roots)[0] == pytest.approx(np.zeros(7), abs=1e-9)


def test_only_what_is_asked_for_is_solved():
    asked = np.array([True, False])
    roots = find_roots(np.array([5.0, 5.0]), asked, lambda x: (x - 2.0, np.ones(2)))
    assert roots.tolist() == [2.0, 5.0]


def test_a_value_that_is_no_number_ends_the_search():
    both = np.ones(2, bool)
    roots = find_roots(np.zeros(2), both, lambda x: (np.array([np.nan, x[1] - 3.0]), np.ones(2)))
    assert roots == pytest.approx([np.nan, 3.0], nan_ok=True)


def test_infinite_values_and_missing_slopes_are_survived():
    def gap(x):
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.log(np.maximum(x, 0.0)), np.where(x > 0, 1 / x, np.nan)

    assert find_roots(np.array([-50.0]), np.array([True]), gap) == pytest.approx([1.0], rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 400), st.integers(0, 4000), st.sampled_from([0.05, 0.2, 0.001]))
def test_what_is_left_out_does_not_matter(fall, rise, alpha):
    """Equal chances, where both limits are known: the binomial's."""
    n = fall + rise
    down, up = reach(np.array([fall]), np.array([rise]), alpha)
    assert 0 <= down[0] <= fall
    assert 0 <= up[0] <= rise
    low = stats.beta.ppf(alpha / 2, fall, rise + 1) if fall else 0.0
    high = stats.beta.ppf(1 - alpha / 2, fall + 1, rise) if rise else 1.0
    for p in (low, high):
        assert stats.binom.cdf(fall - down[0] - 1, n, p) <= 1e-12
        assert stats.binom.sf(fall + up[0], n, p) <= 1e-12


def test_families_lie_end_to_end():
    down, up = np.array([1, 0]), np.array([1, 2])
    step = offsets(down, up)
    families = TiltedFamilies(np.log([1.0, 2.0, 1.0, 5.0, 5.0, 5.0]), down, up, down, up)
    assert step.tolist() == [-1, 0, 1, 0, 1, 2]
    assert len(families) == 2
    weight = families.weights(np.zeros(2))
    assert families.totals(weight) == pytest.approx([2.0, 3.0])
    below, above = families.pieces(weight)
    assert below == pytest.approx([0.5, 0.0])
    assert above == pytest.approx([1.5, 3.0])


@pytest.mark.parametrize("bad", [0.0, 1.0, 95, -0.1, float("nan")])
def test_confidence_is_a_share(bad):
    with pytest.raises(ValueError, match="between 0 and 1"):
        check_confidence(bad)
    assert check_confidence(0.95) == pytest.approx(0.05)
