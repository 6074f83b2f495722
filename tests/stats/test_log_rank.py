import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from statsmodels.duration.survfunc import survdiff

from tracegraph.stats.log_rank import log_rank


def parse(*texts):
    """Ages, failures and group numbers from texts such as "9 13 13+"."""
    words = [(w, g) for g, text in enumerate(texts) for w in text.split()]
    return (
        [float(w.rstrip("+")) for w, _ in words],
        [not w.endswith("+") for w, _ in words],
        [g for _, g in words],
    )


# R survival::aml (Miller 1981) and MASS::gehan (Gehan 1965); R survdiff and lifelines agree.
AML = parse("9 13 13+ 18 23 28+ 31 34 45+ 48 161+", "5 5 8 8 12 16+ 23 27 30 33 43 45")
GEHAN = parse(
    "6+ 6 6 6 7 9+ 10+ 10 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+",
    "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23",
)


def test_aml():
    r = log_rank(*AML)
    assert r.chi_square == pytest.approx(3.396388698978, rel=1e-9)
    assert r.p_value == pytest.approx(0.065339322041, rel=1e-9)
    assert r.observed.tolist() == [7.0, 11.0]
    assert r.expected == pytest.approx([10.689335992, 7.310664008], rel=1e-9)


def test_gehan():
    r = log_rank(*GEHAN)
    assert r.chi_square == pytest.approx(16.792940989217, rel=1e-9)
    assert r.p_value == pytest.approx(4.1688e-5, rel=1e-4)
    assert r.observed.tolist() == [9.0, 21.0]
    assert r.expected == pytest.approx([19.250501, 10.749499], abs=5e-7)
    assert log_rank(*GEHAN, peto=True).chi_square == pytest.approx(14.457150818717, rel=1e-9)


def test_lung_cancer_plain_and_within_institutions(known):
    """R survdiff by sex; stratified, the patient without an institution is left out."""
    rows = known("lung.json")["rows"]
    _, days, died, sex = zip(*rows, strict=True)
    r = log_rank(days, died, sex)
    assert r.chi_square == pytest.approx(10.326741954886, rel=1e-9)
    assert r.p_value == pytest.approx(0.001311164520, rel=1e-9)
    inst, days, died, sex = zip(*[x for x in rows if x[0] is not None], strict=True)
    within = log_rank(days, died, sex, strata=inst)
    assert within.chi_square == pytest.approx(8.524467363323, rel=1e-9)


def test_three_groups(known):
    """Against statsmodels, which takes more than two groups too."""
    rows = known("lung.json")["rows"]
    days, died = [x[1] for x in rows], [x[2] for x in rows]
    group = np.arange(len(rows)) % 3
    r = log_rank(days, died, group)
    chi_square, p = survdiff(np.array(days), np.array(died), group)
    assert (r.chi_square, r.p_value) == pytest.approx((chi_square, p), rel=1e-9)
    assert r.degrees_of_freedom == 2
    assert r.observed.sum() == pytest.approx(r.expected.sum())


@pytest.mark.parametrize(
    "data",
    [([], [], []), ([1, 2], [True, True], [0, 0]), ([1, 2], [False, False], [0, 1]),
     ([5, 5], [True, True], [0, 1])],
)  # fmt: skip
def test_nothing_to_compare(data):
    r = log_rank(*data)
    assert (r.chi_square, r.p_value) == (0.0, 1.0)


def test_strata_without_a_group_add_nothing():
    age, failed, group = AML
    padded = log_rank(
        [*age, 3, 4], [*failed, True, True], [*group, 0, 0], strata=[0] * 23 + [1] * 2
    )
    assert padded.chi_square == pytest.approx(log_rank(*AML).chi_square, rel=1e-12)


@given(
    st.lists(
        st.tuples(st.integers(1, 9), st.booleans(), st.integers(0, 1)), min_size=4, max_size=40
    )
)
def test_against_statsmodels(rows):
    age, failed, group = np.array(rows).T
    assume(0 < group.sum() < len(group) and failed.any())
    r = log_rank(age, failed, group)
    assume(r.chi_square > 0)
    for peto, kind in ((False, {}), (True, {"weight_type": "fh", "fh_p": 1})):
        with np.errstate(all="ignore"):  # statsmodels divides by 0 where one unit is left
            expected = survdiff(age, failed, group, **kind)[0]
        assert log_rank(age, failed, group, peto=peto).chi_square == pytest.approx(
            expected, abs=1e-8
        )
