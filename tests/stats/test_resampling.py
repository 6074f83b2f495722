from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reference.oswego import FOODS, oswego
from tracegraph.stats.contingency import TableArrays
from tracegraph.stats.exact import fisher_exact_many
from tracegraph.stats.resampling import max_statistic_p, min_p_single_step, min_p_step_down

# Eight hulls, claims on hulls 1, 2, 3; A and C are a lot and a mold that always go together.
# All 56 relabellings are enumerated; exact fractions by counting. The method: Westfall & Young
# 1993, Resampling-Based Multiple Testing.
FACTORS = [{1, 2, 3}, {1, 2, 4}, {1, 2, 3}, {5, 6}]
EXPECTED = {
    "greater": {
        "raw": ["1/56", "2/7", "1/56", "1"],
        "single": ["1/28", "15/28", "1/28", "1"],
        "step": ["1/28", "11/28", "1/28", "1"],
    },
    "two_sided": {
        "raw": ["1/56", "13/28", "1/56", "13/28"],
        "single": ["1/28", "23/28", "1/28", "23/28"],
        "step": ["1/28", "19/28", "1/28", "19/28"],
    },
}


def p_values(claims, alternative):
    exposed = [len(f) for f in FACTORS]
    hit = [len(f & set(claims)) for f in FACTORS]
    tests = fisher_exact_many(
        TableArrays.from_margins(exposed_cases=hit, exposed=exposed, cases=3, total=8)
    )
    return getattr(tests, alternative)


@pytest.mark.parametrize("alternative", ["greater", "two_sided"])
def test_eight_hulls_enumerated(alternative):
    expected = {k: [float(Fraction(x)) for x in v] for k, v in EXPECTED[alternative].items()}
    observed = p_values((1, 2, 3), alternative)
    relabelled = np.array([p_values(c, alternative) for c in combinations(range(1, 9), 3)])
    assert len(relabelled) == 56
    assert observed == pytest.approx(expected["raw"], rel=1e-12)
    single = min_p_single_step(observed, relabelled.min(axis=1), enumerated=True)
    assert single == pytest.approx(expected["single"], rel=1e-12)
    step = min_p_step_down(observed, relabelled, enumerated=True)
    assert step == pytest.approx(expected["step"], rel=1e-12)
    scores = max_statistic_p(-np.log(observed), (-np.log(relabelled)).max(axis=1), enumerated=True)
    assert scores == pytest.approx(expected["single"], rel=1e-12)


def test_a_sample_never_gives_zero():
    assert min_p_single_step([1e-9], [0.5] * 99).tolist() == [0.01]
    assert min_p_step_down([1e-9], [[0.5]] * 99).tolist() == [0.01]
    assert max_statistic_p([50.0], [1.0] * 99).tolist() == [0.01]


def test_what_was_not_tested_stays_out():
    nan = float("nan")
    draws = [[0.5, nan], [0.01, nan], [0.9, nan]]
    assert min_p_step_down([0.02, nan], draws) == pytest.approx([0.5, nan], nan_ok=True)
    assert min_p_single_step([nan, 0.02], [0.5, 0.01, 0.9]) == pytest.approx(
        [nan, 0.5], nan_ok=True
    )
    assert max_statistic_p([nan], [1.0]) == pytest.approx([nan], nan_ok=True)


def test_rounding_does_not_break_ties():
    third = 0.1 + 0.2
    assert min_p_single_step([0.3], [third], enumerated=True).tolist() == [1.0]
    assert max_statistic_p([third], [0.3], enumerated=True).tolist() == [1.0]


@given(
    st.lists(st.floats(0.001, 1), min_size=1, max_size=6),
    st.integers(0, 2**32 - 1),
)
def test_steps_lie_between_raw_and_single_step(observed, seed):
    draws = np.random.default_rng(seed).random((40, len(observed)))
    step = min_p_step_down(observed, draws)
    single = min_p_single_step(observed, draws.min(axis=1))
    assert (step <= single + 1e-12).all()
    order = np.argsort(observed, kind="stable")
    assert (np.diff(step[order]) >= -1e-12).all()
    alone = [(1 + (draws[:, j] <= observed[j]).sum()) / 41 for j in range(len(observed))]
    assert (step >= np.array(alone) - 1e-12).all()


def supper_p_values(ill):
    """Fisher's p-values of all foods for many labellings, each on its own complete cases."""
    answers = oswego()[list(FOODS)].to_numpy()
    ate, known = (answers == "Y").astype(int), np.isin(answers, ["Y", "N"]).astype(int)
    tests = fisher_exact_many(
        TableArrays.from_margins(
            exposed_cases=(ill @ ate).ravel(),
            exposed=np.tile(ate.sum(axis=0), len(ill)),
            cases=(ill @ known).ravel(),
            total=np.tile(known.sum(axis=0), len(ill)),
        )
    )
    shape = (len(ill), len(FOODS))
    return tests.two_sided.reshape(shape), tests.greater.reshape(shape)


def test_oswego_supper():
    """Adjusted p-values of the Oswego church supper (Gross 1976) by 20,000 relabellings.

    Recomputed independently with another seed; both sides err by about 0.0035, so the
    tolerance is four times the root of two of that.
    """
    ill = (oswego()["ill"] == "Y").to_numpy().astype(int)
    rng = np.random.default_rng(1940)
    relabelled = rng.permuted(np.tile(ill, (20_000, 1)), axis=1)
    observed, resampled = supper_p_values(ill[None]), supper_p_values(relabelled)
    two_sided = min_p_single_step(observed[0][0], resampled[0].min(axis=1))
    greater = min_p_single_step(observed[1][0], resampled[1].min(axis=1))
    food = FOODS.index
    assert two_sided[food("vanilla ice cream")] == pytest.approx(1 / 20_001)
    expected = {"chocolate ice cream": 0.510, "cakes": 0.978, "jello": 0.991}
    for name, p in expected.items():
        assert two_sided[food(name)] == pytest.approx(p, abs=0.02), name
    for name, p in {"cakes": 0.694, "jello": 0.803, "brown bread": 0.898}.items():
        assert greater[food(name)] == pytest.approx(p, abs=0.02), name
    threshold = np.quantile(resampled[0].min(axis=1), 0.05)
    assert threshold == pytest.approx(0.0075, abs=0.001)
    assert threshold > 0.05 / 14
