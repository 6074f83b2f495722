from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tests.synthetic.conftest import Yard
from tracegraph.domain.records import CERTAINTIES
from tracegraph.synthetic.build import build_yard
from tracegraph.synthetic.claims import LAST_DAY, make_claims, miscode
from tracegraph.synthetic.hulls import NEVER
from tracegraph.synthetic.sample_causes import LETTER_ON
from tracegraph.synthetic.scenarios import SCENARIO_OF
from tracegraph.synthetic.symptoms import SYMPTOMS
from tracegraph.synthetic.workdays import month_of_year


def test_claims_are_opened_after_shipping_and_up_to_the_cut_off(yard: Yard) -> None:
    claims, hulls = yard.claims, yard.built.hulls
    assert (claims["opened_on"] <= LAST_DAY).all()
    assert (claims["opened_on"].to_numpy() > hulls.shipped[claims["hull"]]).all()
    known = claims[claims["failed_on"] != NEVER]
    assert (known["failed_on"] < known["opened_on"]).all()
    early = claims["opened_on"].to_numpy() < hulls.in_service[claims["hull"]]
    assert 0 < early.sum() < 0.05 * len(claims)
    assert (claims.loc[early, "engine_hours"] == 0).all()


def test_a_hull_claims_about_as_often_as_boats_do(yard: Yard) -> None:
    # 0.3 to 1.0 boats with a claim per boat in the first year (common practice, estimate)
    assert 0.4 < yard.claims["hull"].nunique() / yard.built.count < 1
    assert 1000 < len(yard.claims) < 3000
    assert set(yard.claims["symptom"]) == {s.word for s in SYMPTOMS}


def test_numbers_and_lines(yard: Yard) -> None:
    claims = yard.claims
    assert not claims.duplicated(["claim_no", "line_no"]).any()
    several = claims.groupby("claim_no")
    assert (several["hull"].nunique() == 1).all()
    assert (several["opened_on"].nunique() == 1).all()
    assert (several.size() > 1).any()
    assert set(claims["certainty"]) == {*CERTAINTIES, ""}


def test_a_repeat_names_an_earlier_claim_of_the_same_hull_within_180_days(yard: Yard) -> None:
    claims = yard.claims
    again = claims[claims["repeat_of"] != ""]
    assert 0.02 < len(again) / len(claims) < 0.10
    first = claims.drop_duplicates("claim_no").set_index("claim_no").loc[again["repeat_of"]]
    assert (first["hull"].to_numpy() == again["hull"].to_numpy()).all()
    later = again["opened_on"].to_numpy() - first["opened_on"].to_numpy()
    assert (later > 0).all()
    assert (later <= 180).all()


def test_few_failures_are_noticed_in_winter(yard: Yard) -> None:
    failed = yard.claims.loc[yard.claims["failed_on"] != NEVER, "failed_on"].to_numpy()
    month = month_of_year(failed * 1440)
    assert np.isin(month, [12, 1, 2]).mean() < 0.15
    assert np.isin(month, [3, 4, 5, 6]).mean() > 0.4


def test_claims_of_a_left_hull_stop(yard: Yard) -> None:
    left = yard.built.hulls.exit[yard.claims["hull"]]
    failed = yard.claims["failed_on"].to_numpy()
    known = (left != NEVER) & (failed != NEVER)
    assert known.any()
    assert (failed[known] < left[known]).all()


def test_background_rates_differ_by_model_where_they_should(yard: Yard) -> None:
    model = yard.built.hulls.model
    affected = yard.affected("cracking")
    assert affected[model == "S26"].mean() > 2 * affected[model == "S18"].mean()
    assert not yard.affected("livewell leak")[model == "S18"].any()


def test_after_the_letter_claims_on_exposed_hulls_are_solicited(yard: Yard) -> None:
    letter = int(np.datetime64(LETTER_ON, "D").astype(int))
    asked = yard.claims["solicited"] == "yes"
    assert asked.sum() >= 2
    assert set(yard.claims.loc[asked, "symptom"]) == {"fuel smell"}
    assert (yard.claims.loc[asked, "opened_on"] > letter).all()
    exposed = yard.of("fuel smell").exposed
    assert exposed[yard.claims.loc[asked, "hull"]].all()


@pytest.mark.parametrize("name", ["models-differ", "no-cause"])
def test_rates_by_model_follow_the_scenario(name: str) -> None:
    built = build_yard(4000, 8)
    scenario = SCENARIO_OF[name]
    claims = make_claims(built, scenario.symptoms(), [c(built) for c in scenario.causes])
    hulls = claims.loc[claims["symptom"] == "cracking", "hull"].unique()
    affected = built.among(hulls)
    model = built.hulls.model
    ratio = affected[model == "S26"].mean() / affected[model == "S18"].mean()
    if name == "models-differ":
        assert 7 < ratio < 20  # 12-fold planted
    else:
        assert 0.7 < ratio < 1.4


def test_miscoding_moves_the_stated_shares(yard: Yard) -> None:
    before = yard.claims["symptom"].eq("cracking").to_numpy()
    after = miscode(yard.built, yard.claims, "cracking", 0.2, 0.25)["symptom"].eq("cracking")
    after = after.to_numpy()
    assert 0.1 < (before & ~after).sum() / before.sum() < 0.3
    assert abs((after & ~before).sum() / after.sum() - 0.25) < 0.01


def test_a_change_in_one_symptom_leaves_the_others_alone(yard: Yard) -> None:
    fewer = [s for s in SYMPTOMS if s.word != "cracking"]
    claims = make_claims(yard.built, fewer, yard.planted)

    def firsts(frame: pd.DataFrame, word: str) -> set[tuple[int, str]]:
        mine = frame[(frame["symptom"] == word) & (frame["repeat_of"] == "")]
        return set(zip(mine["hull"], mine["zone"], strict=True))

    for word in ("blister", "void", "hatch leak"):
        assert firsts(claims, word) == firsts(yard.claims, word)


def test_the_share_that_fails_within_a_year_is_the_stated_one() -> None:
    # Weibull with the symptom's age law, scaled to its chance by 36 months
    built = build_yard(4000, 9)
    scenario = SCENARIO_OF["no-cause"]
    claims = make_claims(built, scenario.symptoms(), [c(built) for c in scenario.causes])
    symptom = next(s for s in scenario.symptoms() if s.word == "electrical fault")
    first, scale, shape = symptom.age
    by = {m: 1 - np.exp(-(((m - first) / scale) ** shape)) for m in (12, 36)}
    expected = symptom.chance * by[12] / by[36]
    service = built.hulls.in_service
    old = (service != NEVER) & (LAST_DAY - service > 18 * 30.44)
    mine = claims[(claims["symptom"] == symptom.word) & (claims["repeat_of"] == "")]
    age = (mine["opened_on"].to_numpy() - service[mine["hull"]]) / 30.44
    within = built.among(mine["hull"].to_numpy()[(age > 0) & (age <= 13)])
    # opened some weeks after the failure, later still over winter: a little below
    assert 0.75 * expected < within[old].mean() < 1.1 * expected
