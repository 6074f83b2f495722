import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from statsmodels.stats.contingency_tables import Table

from tracegraph.stats.trend import cochran_armitage

# CA1 malformation by mother's drinking (Graubard & Korn 1987, in Agresti): X2 in the n
# convention (R prop.trend.test) and its p, X2 in the n - 1 convention (R coin, Agresti's M2)
# and its p. Course notes print 6.5699 and z 2.56318. CA2 smokers (Fleiss; R prop.trend.test).
# CA3 lung tumour by dose (R coin; data from memory).
CA1 = ([48, 38, 5, 1, 1], [17114, 14502, 793, 127, 38])
CA2 = ([83, 90, 129, 70], [86, 93, 136, 82])
CA3 = ([2, 7, 15], [40, 50, 48])
PUBLISHED = [
    (CA1, [0, 0.5, 1.5, 4, 7], 6.570133944706, 0.010370414573, 6.569932245990, 0.010371589917),
    (CA1, [1, 2, 3, 4, 5], 1.827815751089, 0.176385756074, None, None),
    (CA1, [8557.5, 24365.5, 32013, 32473, 32555.5], 0.351438322278, 0.553300057861, None, None),
    (CA2, [1, 2, 3, 4], 8.224922285196, 0.004131897478, None, None),
    (CA2, [0, 0, 0, 1], 12.173146220672, 0.000484824593, None, None),
    (CA3, [0, 1, 2], 10.715713227600, 0.001062295016, 10.638063131800, 0.001107836377),
    # O-ring terciles, edges fixed on all flights: binning loses the signal.
    (([4, 2, 1], [8, 7, 8]), [1, 2, 3], 2.656808, 0.1031, None, None),
]


@pytest.mark.parametrize(("data", "scores", "n", "n_p", "permutation", "permutation_p"), PUBLISHED)
def test_published(data, scores, n, n_p, permutation, permutation_p):
    r = cochran_armitage(*data, scores)
    digits = 1e-4 if n == 2.656808 else 1e-9
    assert r.chi_square_n == pytest.approx(n, rel=digits)
    assert r.p_value_n == pytest.approx(n_p, rel=digits * 5)
    if permutation is not None:
        assert r.chi_square == pytest.approx(permutation, rel=1e-9)
        assert r.p_value == pytest.approx(permutation_p, rel=1e-8)
    total = sum(data[1])
    assert r.chi_square / r.chi_square_n == pytest.approx((total - 1) / total, rel=1e-12)


def test_direction():
    assert cochran_armitage(*CA1, [0, 0.5, 1.5, 4, 7]).z == pytest.approx(2.56318, abs=1e-5)
    assert cochran_armitage([4, 2, 1], [8, 7, 8], [1, 2, 3]).z < 0


@pytest.mark.parametrize(
    ("events", "totals", "scores"),
    [([0, 0], [5, 6], [1, 2]), ([5, 6], [5, 6], [1, 2]), ([1, 2], [5, 6], [3, 3]), ([], [], []),
     ([0, 0], [0, 0], [1, 2]), ([1], [1], [4])],
)  # fmt: skip
def test_nothing_to_compare(events, totals, scores):
    r = cochran_armitage(events, totals, scores)
    assert (r.chi_square, r.p_value, r.z) == (0.0, 1.0, 0.0)


groups = st.lists(
    st.tuples(st.integers(0, 30), st.integers(1, 30), st.integers(0, 9)), min_size=2, max_size=6
)


@given(groups)
def test_against_statsmodels(rows):
    events, clean, scores = np.array(rows).T
    assume(events.sum() > 0 and np.ptp(scores) > 0)
    expected = Table(np.column_stack([events, clean]), shift_zeros=False).test_ordinal_association(
        row_scores=scores, col_scores=np.array([1, 0])
    )
    r = cochran_armitage(events, events + clean, scores)
    assert r.z == pytest.approx(expected.zscore, rel=1e-9, abs=1e-9)


@given(groups, st.floats(0.1, 9), st.floats(-50, 50))
def test_the_unit_of_the_score_does_not_matter(rows, factor, shift):
    events, clean, scores = np.array(rows, float).T
    one = cochran_armitage(events, events + clean, scores)
    other = cochran_armitage(events, events + clean, scores * factor + shift)
    assert other.chi_square == pytest.approx(one.chi_square, rel=1e-6, abs=1e-6)
