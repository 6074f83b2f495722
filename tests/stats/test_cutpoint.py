from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracegraph.stats.contingency import ContingencyTable
from tracegraph.stats.cutpoint import best_cut
from tracegraph.stats.exact import fisher_exact

# Launch temperatures and O-ring damage: Dalal, Fowlkes & Hoadley 1989, JASA 84:945-957.
TEMPERATURE = [53, 57, 58, 63, 66, 67, 67, 67, 68, 69, 70, 70, 70, 70, 72, 73, 75, 75, 76, 76, 78,
               79, 81]  # fmt: skip
DAMAGED = np.isin(np.arange(23), [0, 1, 2, 3, 10, 11, 16])


def test_o_rings():
    """Full enumeration gives 1888 of C(23, 7); R coin maxstat_test simulates 0.007733."""
    found = best_cut(TEMPERATURE, DAMAGED)
    assert (found.cut, found.cuts, found.cases, found.others) == (63.0, 15, 7, 16)
    assert found.z == pytest.approx(3.253685013245, rel=1e-9)
    assert found.p_value == pytest.approx(1888 / 245_157, rel=1e-9)
    assert found.p_value == pytest.approx(0.007701187402, rel=1e-9)


def test_the_search_has_its_price():
    """The p-value at the best cut would be half as large."""
    naive = fisher_exact(
        ContingencyTable(
            exposed_cases=4, exposed_controls=0, unexposed_cases=3, unexposed_controls=16
        )
    )
    assert naive.p_value == pytest.approx(0.003952569170, rel=1e-9)
    assert best_cut(TEMPERATURE, DAMAGED).p_value > naive.p_value


def by_enumeration(values, case, share):
    values, case = np.asarray(values, float), np.asarray(case)
    n, m = len(values), int(case.sum())
    cuts = [
        c
        for c in np.unique(values)[:-1]
        if min((values <= c).sum(), (values > c).sum()) >= share * n
    ]

    def largest(chosen):
        z = []
        for c in cuts:
            low = (values <= c).sum()
            variance = low * (n - low) * m * (n - m) / (n**2 * (n - 1))
            z.append(
                abs(np.isin(np.flatnonzero(values <= c), chosen).sum() - low * m / n)
                / variance**0.5
            )
        return max(z)

    observed = largest(np.flatnonzero(case))
    every = [largest(np.array(c)) for c in combinations(range(n), m)]
    return observed, np.mean(np.array(every) >= observed - 1e-9)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 5), st.booleans()), min_size=3, max_size=9),
    st.sampled_from([0.0, 0.25]),
)
def test_against_enumeration(rows, share):
    values, case = [r[0] for r in rows], np.array([r[1] for r in rows])
    found = best_cut(values, case, smallest_share=share)
    if found.cuts == 0 or case.all() or not case.any():
        assert (found.p_value, found.z) == (1.0, 0.0)
        assert np.isnan(found.cut)
        return
    z, p = by_enumeration(values, case, share)
    assert abs(found.z) == pytest.approx(z, rel=1e-9)
    assert found.p_value == pytest.approx(p, rel=1e-9)


def test_unknown_values_are_left_out():
    found = best_cut([*TEMPERATURE, np.nan], np.append(DAMAGED, True))
    assert found == best_cut(TEMPERATURE, DAMAGED)


def test_a_strong_cut_among_many_units():
    """Fifty cases, all below one value of 4,000: the tail is far below rounding of 1."""
    values = np.arange(4000)
    found = best_cut(values, values < 50)
    assert found.cut == 49.0
    assert 0.0 < found.p_value < 1e-90


def test_p_is_uniform_when_nothing_matters():
    rng = np.random.default_rng(8)
    values = rng.integers(0, 30, 200)
    p = [best_cut(values, rng.permutation(200) < 15).p_value for _ in range(300)]
    assert np.mean(np.array(p) <= 0.05) == pytest.approx(0.05, abs=4 * (0.05 * 0.95 / 300) ** 0.5)
    assert np.mean(np.array(p) <= 0.5) == pytest.approx(0.5, abs=4 * (0.25 / 300) ** 0.5)


def test_the_direction_is_told():
    assert best_cut([1, 2, 3, 4], [True, True, False, False]).z > 0
    assert best_cut([1, 2, 3, 4], [False, False, True, True]).z < 0
