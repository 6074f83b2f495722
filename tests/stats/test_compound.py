import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.stats.compound import compound_sums


@given(
    st.lists(st.integers(0, 30), min_size=1, max_size=20),
    st.lists(st.floats(0.0, 1e6), min_size=1, max_size=20),
)
def test_a_sum_lies_between_the_least_and_the_most(
    numbers: list[int], amounts: list[float]
) -> None:
    many, seen = np.array(numbers), np.array(amounts)
    sums = compound_sums(many, seen, np.random.default_rng(1))
    assert (sums >= many * seen.min() * (1 - 1e-9)).all()
    assert (sums <= many * seen.max() * (1 + 1e-9)).all()


def test_the_mean_and_the_spread_are_those_of_the_method() -> None:
    # Mean N m; variance of a sum of N exchangeable draws under Dirichlet(1, ..., 1) weights:
    # by the law of total variance, v the variance of the amounts (divisor n):
    # N v (1 - 1/(n + 1)) within and N^2 v / (n + 1) between (Rubin 1981, moments of the Dirichlet).
    amounts = np.array([10.0, 20.0, 60.0, 110.0])
    sums = compound_sums(np.full(200_000, 6), amounts, np.random.default_rng(2))
    v, n, many = amounts.var(), 4, 6
    assert sums.mean() == pytest.approx(many * amounts.mean(), rel=0.005)
    expected = many * v * n / (n + 1) + many**2 * v / (n + 1)
    assert sums.var() == pytest.approx(expected, rel=0.02)


def test_without_amounts_nothing_is_foreseen() -> None:
    with pytest.raises(ValueError, match="No amount"):
        compound_sums(np.array([1]), np.array([]), np.random.default_rng(0))
