import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, false_discovery_control
from statsmodels.stats.multitest import multipletests

from tracegraph.stats.contingency import TableArrays
from tracegraph.stats.exact import smallest_p
from tracegraph.stats.multiplicity import (
    able_to_signal,
    adjust,
    adjust_log10,
    adjust_repeated,
    tarone_adjust,
    tarone_count,
)

NAN = float("nan")
METHODS = {
    "benjamini-hochberg": "fdr_bh",
    "benjamini-yekutieli": "fdr_by",
    "holm": "holm",
    "hochberg": "simes-hochberg",
    "bonferroni": "bonferroni",
}

# Benjamini & Hochberg 1995, JRSS B 57:289-300, section 3.2: fifteen p-values. The paper rejects
# four by its own method and three by Bonferroni's at 0.05.
P = [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262,
     0.5719, 0.6528, 0.7590, 1.0]  # fmt: skip
# Adjusted by R p.adjust and statsmodels multipletests; what is not given is 1.
ADJUSTED = {
    "benjamini-hochberg": [0.0015, 0.003, 0.0095, 0.035625, 0.0603, 0.0638571428571,
        0.0638571428571, 0.0645, 0.0765, 0.486, 0.581181818182, 0.714875, 0.753230769231,
        0.813214285714],
    "benjamini-yekutieli": [0.00497734349, 0.00995468698, 0.031523175436, 0.118211907884,
        0.200089208292, 0.211892622853, 0.211892622853, 0.214025770063, 0.253844517982],
    "holm": [0.0015, 0.0056, 0.0247, 0.114, 0.2211, 0.278, 0.278, 0.278, 0.3213],
    "hochberg": [0.0015, 0.0056, 0.0247, 0.114, 0.2211, 0.2682, 0.2682, 0.2752, 0.3213],
    "bonferroni": [0.0015, 0.006, 0.0285, 0.1425, 0.3015, 0.417, 0.447, 0.516, 0.6885],
}  # fmt: skip
REJECTED = {
    "benjamini-hochberg": 4,
    "bonferroni": 3,
    "holm": 3,
    "hochberg": 3,
    "benjamini-yekutieli": 3,
}


@pytest.mark.parametrize("method", METHODS)
def test_published_example(method):
    expected = ADJUSTED[method] + [1.0] * (15 - len(ADJUSTED[method]))
    got = adjust(P, method)
    assert got == pytest.approx(expected, rel=1e-9)
    assert int((got <= 0.05).sum()) == REJECTED[method]


def test_monotonic_step():
    assert adjust([0.01, 0.02, 0.03, 0.04, 0.05], "holm") == pytest.approx(
        [0.05, 0.08, 0.09, 0.09, 0.09]
    )
    assert adjust([0.01, 0.02, 0.03, 0.04, 0.05]) == pytest.approx([0.05] * 5)


def test_the_callers_order_is_kept():
    assert adjust([0.04, 0.01, 0.03]) == pytest.approx([0.04, 0.03, 0.04])


def test_what_was_not_tested_is_not_counted():
    """J1-1: missing p-values stay missing, and three tests are counted."""
    assert adjust([0.01, NAN, 0.02, 0.5]) == pytest.approx([0.03, NAN, 0.03, 0.5], nan_ok=True)
    assert np.isnan(adjust([NAN, NAN])).all()
    assert adjust([]).tolist() == []
    assert np.isnan(adjust_log10([NAN])).all()


def test_equal_values_stay_equal():
    """J10-1."""
    got = adjust([0.02, 0.3, 0.02, 0.02])
    assert got[0] == got[2] == got[3]


@pytest.mark.parametrize("bad", [[-0.1], [1.2], [0.5, 7.0]])
def test_only_probabilities(bad):
    with pytest.raises(ValueError, match=r"p-values must lie in \[0, 1\]"):
        adjust(bad)


def test_only_logarithms_of_probabilities():
    with pytest.raises(ValueError, match="at most 0"):
        adjust_log10([-3.0, 0.5])


def test_unknown_method():
    with pytest.raises(ValueError, match="method must be one of bonferroni"):
        adjust([0.1], "sidak")


@given(
    st.lists(st.one_of(st.just(NAN), st.floats(0, 1), st.sampled_from([0.01, 0.02])), max_size=30),
    st.sampled_from(list(METHODS)),
)
def test_against_statsmodels(p, method):
    known = [x for x in p if not np.isnan(x)]
    got = adjust(p, method)
    assert np.isnan(got).tolist() == np.isnan(np.array(p, float)).tolist()
    if known:
        expected = multipletests(known, method=METHODS[method])[1]
        assert got[~np.isnan(got)] == pytest.approx(expected, rel=1e-12, abs=1e-300)
    if known and method == "benjamini-hochberg":
        assert got[~np.isnan(got)] == pytest.approx(false_discovery_control(known), abs=1e-300)


@given(
    st.lists(st.one_of(st.just(NAN), st.floats(-250, 0)), max_size=30),
    st.sampled_from(list(METHODS)),
)
def test_logarithms_agree_with_plain_values(log10_p, method):
    log10_p = np.array(log10_p, float)
    expected = adjust(10**log10_p, method)
    assert 10 ** adjust_log10(log10_p, method) == pytest.approx(expected, rel=1e-9, nan_ok=True)


def test_logarithms_where_plain_values_are_zero():
    got = adjust_log10([-870.989, -877.375, -1088.795, NAN])
    by_hand = [-870.989, -877.375 + np.log10(3 / 2), -1088.795 + np.log10(3)]
    assert got == pytest.approx([*by_hand, NAN], rel=1e-12, nan_ok=True)


# T1: the example of the manual of R MHTdiscrete for Tarone.p.adjust, printed as 0.1054688,
# 0.0468750, 0.1228800.
T1_P = [binom.cdf(1, 8, 0.5), binom.cdf(1, 5, 0.75), binom.cdf(1, 6, 0.6)]
T1_SMALLEST = [0.00390625, 0.0009765625, 0.004096]


def test_tarone_as_published():
    assert tarone_adjust(T1_P, T1_SMALLEST) == pytest.approx(
        [0.10546875, 0.046875, 0.12288], abs=1e-9
    )
    assert tarone_count(T1_SMALLEST, 0.05) == 3


def test_tarone_forgives_lots_that_can_never_signal():
    """T2: 40 hulls, 5 claims, lots of eight sizes; three of the lots need not be paid for."""
    lots = TableArrays.from_margins(
        exposed_cases=0, exposed=[1, 2, 3, 4, 5, 8, 10, 20], cases=5, total=40
    )
    smallest = smallest_p(lots)
    assert tarone_count(smallest, 0.05) == 5
    assert able_to_signal(smallest, 0.05).tolist() == [
        False,
        False,
        True,
        True,
        True,
        True,
        True,
        False,
    ]


def test_fifty_lots_of_one_hull_are_too_thin():
    """J9-1: not fifty quiet tests."""
    lots = TableArrays.from_margins(exposed_cases=[0] * 50, exposed=[1] * 50, cases=5, total=50)
    assert not able_to_signal(smallest_p(lots)).any()


def test_tarone_with_nothing_to_test():
    assert tarone_count([]) == 1
    assert tarone_count([NAN, NAN]) == 1
    assert able_to_signal([NAN]).tolist() == [False]
    assert np.isnan(tarone_adjust([NAN], [NAN])).all()


@given(st.lists(st.floats(1e-9, 1), min_size=1, max_size=30), st.sampled_from([0.01, 0.05, 0.2]))
def test_tarone_count_by_its_definition(smallest, alpha):
    k = tarone_count(smallest, alpha)
    able = [sum(s <= alpha / j for s in smallest) for j in range(1, len(smallest) + 1)]
    assert able[k - 1] <= k
    assert all(able[j - 1] > j for j in range(1, k))


@given(st.lists(st.tuples(st.floats(1e-6, 1), st.floats(0, 1)), min_size=1, max_size=20))
def test_tarone_adjusted_value_is_the_smallest_level_at_which_it_rejects(pairs):
    smallest = [s for s, _ in pairs]
    p = [s + share * (1 - s) for s, share in pairs]
    for observed, adjusted in zip(p, tarone_adjust(p, smallest), strict=True):
        if adjusted < 1:
            level = adjusted * (1 + 1e-9)
            assert observed <= level / tarone_count(smallest, level)
        lower = adjusted * (1 - 1e-9)
        assert observed > lower / tarone_count(smallest, lower)


@given(
    st.lists(
        st.tuples(st.sampled_from([0.0, 0.001, 0.02, 0.3, 1.0, NAN]), st.integers(1, 5)), max_size=8
    )
)
def test_repeated_values_are_adjusted_as_if_written_out(kinds):
    p, repeats = [value for value, _ in kinds], [count for _, count in kinds]
    written_out = adjust(np.repeat(np.array(p, float), repeats))
    again = np.repeat(adjust_repeated(p, repeats), repeats)
    np.testing.assert_allclose(again, written_out, rtol=1e-12)
