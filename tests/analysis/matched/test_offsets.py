from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.optimize import minimize_scalar
from scipy.stats import nbinom

from tests.analysis.matched.hulls import population
from tracegraph.analysis.confounding.folding import with_margin
from tracegraph.analysis.matched.differences import differences
from tracegraph.analysis.matched.groups import RiskGroups
from tracegraph.analysis.matched.offsets import SHAPES, fit_offsets, fit_with_level


def one_margin(cases, hulls):
    """Hulls of several models, all followed one month, some with a claim."""
    model = np.repeat(np.arange(len(hulls)), hulls)
    month = np.concatenate(
        [np.where(np.arange(n) < c, 1, -1) for c, n in zip(cases, hulls, strict=True)]
    )
    return population(np.ones(len(model), int), month, model=model)


def test_one_margin_is_gamma_poisson_shrinkage():
    cases, hulls = np.array([2, 9, 30, 4]), np.array([100, 120, 150, 90])
    offsets = fit_offsets(RiskGroups.of(one_margin(cases, hulls), ("model",)))
    # The rounds settle on expected cases at the final weights: mean 1 over the cases.
    shape = offsets.shapes[0]
    weight = offsets.weight
    scale = cases.sum() / (hulls * weight).sum()
    np.testing.assert_allclose(weight, (cases + shape) / (hulls * scale + shape), rtol=0.02)

    expected = hulls * scale

    def loss(log_shape):
        k = np.exp(log_shape)
        return -nbinom.logpmf(cases, k, k / (k + expected)).sum()

    best = np.exp(minimize_scalar(loss, bounds=(-2, 8), method="bounded").x)
    nearest = SHAPES[1:][np.argmin(np.abs(np.log(SHAPES[1:] / best)))]
    assert shape == nearest


def test_equal_models_are_left_alone():
    offsets = fit_offsets(RiskGroups.of(one_margin([10, 10, 10], [200, 200, 200]), ("model",)))
    np.testing.assert_allclose(offsets.weight, 1.0)
    assert offsets.shapes[0] == SHAPES[-1]


def test_a_thin_model_is_drawn_to_the_mean():
    offsets = fit_offsets(RiskGroups.of(one_margin([2, 40, 12], [4, 400, 200]), ("model",)))
    crude = np.array([2 / 4, 40 / 400, 12 / 200]) / (54 / 604)
    assert 1.0 < offsets.weight[0] < crude[0]


def test_a_free_margin_is_not_shrunken():
    people = one_margin([2, 40], [20, 400])
    inside = people.margins["model"] == 0
    marked = with_margin(people, "cause", inside, np.zeros(len(people), bool))
    weight = fit_offsets(RiskGroups.of(marked, ("cause",))).weight
    assert weight[1] / weight[0] == pytest.approx((2 / 20) / (40 / 400), rel=1e-2)


def test_a_steady_trend_is_that_of_poisson_regression():
    hulls = np.array([572, 626, 517, 593, 573, 532, 587])
    cases = np.array([25, 22, 15, 12, 10, 8, 5])
    period = np.repeat(np.arange(7), hulls)
    month = np.concatenate(
        [np.where(np.arange(n) < c, 1, -1) for c, n in zip(cases, hulls, strict=True)]
    )
    people = population(np.ones(len(period), int), month, build_period=period)
    offsets = fit_offsets(RiskGroups.of(people, ("build period",)))
    place = np.arange(7) / 6 - 0.5
    fitted = sm.GLM(
        cases, sm.add_constant(place), family=sm.families.Poisson(), offset=np.log(hulls)
    ).fit()
    # The prior of spread 2 draws the slope in by a tenth.
    assert offsets.slope == pytest.approx(fitted.params[1], abs=0.15)
    assert abs(offsets.slope) < abs(fitted.params[1])


def test_no_cases_and_no_margins_give_weights_of_one():
    nobody = population([3, 3], [-1, -1], model=[0, 1])
    assert fit_offsets(RiskGroups.of(nobody, ("model",))).weight.tolist() == [1.0, 1.0]
    someone = population([3, 3], [1, -1], model=[0, 1])
    assert fit_offsets(RiskGroups.of(someone, ())).weight.tolist() == [1.0]


def test_a_cause_is_not_taken_for_its_model():
    """A mold of one model that fails four times as often; the other models are even."""
    cases, hulls = [40, 20, 20], [400, 400, 400]
    people = one_margin(cases, hulls)
    groups = RiskGroups.of(people, ("model",))
    alone = fit_offsets(groups).weight
    assert alone[0] > 1.3
    share = 80.0 / 1200.0
    known = np.array([[400.0, 400.0, 400.0]]) * share
    exposed = np.array([[100.0, 0.0, 0.0]]) * share
    count = np.array([[40.0, 20.0, 20.0]])
    fit = fit_with_level(
        groups.margins, fit_offsets(groups), known, exposed, count, np.array([[1.0, 5.0]])
    )
    none, with_mold = fit.weight[0]
    assert none[0] / none[1] > 1.3
    assert with_mold[0] / with_mold[1] == pytest.approx(1.0, abs=0.1)


def test_plants_are_allowed_for_wherever_differences_are():
    hulls = one_margin([10, 40], [200, 200])
    hulls.margins["plant"] = hulls.margins["model"]
    hulls.margins["half"] = np.arange(400) % 2
    groups = RiskGroups.of(hulls, ("half",))
    assert len(groups.codes) == 2
    weight = fit_offsets(groups).weight
    by_plant = [weight[groups.codes[1] == code].mean() for code in (0, 1)]
    assert by_plant[1] / by_plant[0] == pytest.approx(4.0, rel=0.15)
    assert RiskGroups.of(hulls, ()).codes == ()


def test_one_plant_at_risk_is_no_difference():
    rows = {
        "model": np.array(["A", "A", "B"]),
        "half_year": np.array([1, 2, 2]),
        "dealer": np.array(["", "", ""]),
        "plant": np.array(["north", "south", "south"]),
        "follow_months": np.array([-1, 3, 3]),
    }
    assert set(differences(rows)) == {"model", "build period", "dealer"}
    rows["follow_months"][0] = 0
    assert differences(rows)["plant"].tolist() == [0, 1, 1]
