"""Two published outbreaks: the leader makes its bystanders vanish; a trace-back names the plant.

Expected figures were recomputed with scipy 1.17, statsmodels 0.15 and R 4.2 on the published
data (see the two modules of tests/reference for where they come from).
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from statsmodels.discrete.conditional_models import ConditionalLogit

from tests.analysis.matched.hulls import population
from tests.reference import salmonella as funen
from tests.reference import sports_day as thai
from tracegraph.analysis.confounding.folding import given, scored
from tracegraph.analysis.flat import rank_table
from tracegraph.analysis.matched.population import COMPLETE, INCOMPLETE, ExposureMatrix
from tracegraph.analysis.matched.rounds import Plant, investigate
from tracegraph.stats.poisson_binomial import CaseCounts

# Four counts, people without an answer, two-sided Fisher p, risk ratio.
THAI_CRUDE = {
    "eclair": (383, 683, 15, 294, 117, 5.16222459e-59, 10.9909224),
    "beef curry": (447, 998, 22, 91, 5, 1.44711034593e-4, 1.85265987),
    "salted egg": (448, 1002, 21, 87, 5, 1.72070945214e-4, 1.85229541),
    "water": (458, 1063, 10, 25, 6, 0.839833822824, 1.07714017),
}

# Mantel and Haenszel's odds ratio given eclair, limits after Robins, Breslow and Greenland
# where recomputed, and the uncorrected test.
THAI_GIVEN_ECLAIR = {
    "beef curry": (1.400689, 0.769001, 2.551271, 0.239584),
    "salted egg": (1.023009, 0.541367, 1.933156, 0.943843),
    "water": (1.561733, None, None, 0.363604),
}

# Exposed patients, exposed others, two-sided Fisher p ignoring the matching, odds ratio
# of Mantel and Haenszel over the matched sets, score test.
FUNEN = {
    "plant 7": (29, 62, 4.1999193e-4, 4.58333333, 0.001966751),
    "fruit": (32, 113, 6.8552072e-3, 0.153846154, 0.001906790),
    "veal": (5, 7, 0.034274507, np.inf, 0.013328329),
    "abroad": (3, 3, 0.039544922, np.inf, 0.014305878),
    "liver paste": (43, 130, 0.11673967, 0.166666667, 0.077099872),
    "vegetables": (40, 122, 0.30780285, 0.555555556, 0.35238087),
    "pork": (33, 98, 0.50925505, 1.3076923, 0.55748013),
    "poultry": (14, 41, 0.68353103, 1.1351351, 0.7432437),
    "beef": (28, 88, 0.69306204, 0.87878788, 0.7783737),
    "egg": (31, 98, 1.0, 1.0, 1.0),
}


@pytest.fixture(scope="module")
def sports_day() -> pd.DataFrame:
    return thai.sports_day()


@pytest.fixture(scope="module")
def salmonella() -> pd.DataFrame:
    return funen.salmonella()


def eaten(sheet: pd.DataFrame) -> ExposureMatrix:
    """Foods as families of two levels, eaten first; a blank is unknown."""
    level, person = [], []
    for number, food in enumerate(thai.FOODS):
        for place, answer in enumerate("YN"):
            found = np.flatnonzero(sheet[food] == answer)
            level += [2 * number + place] * len(found)
            person += found.tolist()
    record = [np.where(sheet[food] == "", INCOMPLETE, COMPLETE) for food in thai.FOODS]
    return ExposureMatrix.from_rows(level, person, np.repeat(np.arange(4), 2), np.array(record))


def at_one_time(sheet: pd.DataFrame):
    return population(np.ones(len(sheet), int), np.where(sheet["ill"] == "Y", 1, -1))


def test_sports_day_plain_tests(sports_day: pd.DataFrame) -> None:
    frame = rank_table(sports_day, "person", "ill").frame.set_index("family")
    assert list(frame.index) == list(THAI_CRUDE)
    for food, (ill, exposed, others, unexposed, unknown, p, ratio) in THAI_CRUDE.items():
        row = frame.loc[food]
        counts = ["affected_exposed", "exposed", "affected_unexposed", "unexposed", "unknown"]
        assert row[counts].tolist() == [ill, exposed, others, unexposed, unknown]
        assert row["p_fisher"] == pytest.approx(p, rel=1e-8)
        assert row["risk_ratio"] == pytest.approx(ratio, rel=1e-8)


def test_sports_day_bystanders_vanish_when_eclair_is_held_constant(
    sports_day: pd.DataFrame,
) -> None:
    ranked = rank_table(sports_day, "person", "ill", stratify=["eclair"])
    frame = ranked.frame.set_index("family")
    for food, (ratio, low, high, p) in THAI_GIVEN_ECLAIR.items():
        row = frame.loc[food]
        assert row["stratified_odds_ratio"] == pytest.approx(ratio, abs=5e-7)
        assert row["p_stratified"] == pytest.approx(p, abs=5e-7)
        if low is not None:
            assert row["stratified_odds_ratio_low"] == pytest.approx(low, abs=5e-7)
            assert row["stratified_odds_ratio_high"] == pytest.approx(high, abs=5e-7)


def test_sports_day_bystanders_vanish_given_the_leader(sports_day: pd.DataFrame) -> None:
    people, matrix = at_one_time(sports_day), eaten(sports_day)
    foods = np.array([0, 2, 4])
    before = scored(people, matrix, (), foods)
    after = given(people, matrix, (), 0, foods[1:])
    assert (before.p_value < 0.002).all()
    assert before.effects.ratios.ratio == pytest.approx([10.9909224, 1.85265987, 1.85229541])
    assert (after.p_value > 0.2).all()
    assert (after.log_factor < 0.0).all()


def test_sports_day_rounds_name_eclair_and_nothing_else(sports_day: pd.DataFrame) -> None:
    no_day = np.full(len(sports_day), np.nan)
    plant = Plant(np.ones(4, bool), np.zeros(4, bool), lambda _: (no_day,))
    found = investigate(at_one_time(sports_day), eaten(sports_day), plant, margins=(), seed=1)
    assert [one.leader for one in found] == [0], "what is set aside does not lead again"
    assert found[0].evidence.level == 2


def test_salmonella_ignoring_the_matching(salmonella: pd.DataFrame) -> None:
    frame = rank_table(salmonella, "person", "ill", leave_out=["set"]).frame
    assert frame["family"].iloc[0] == "plant 7"
    for _, row in frame.iterrows():
        ill, exposed, p, _, _ = FUNEN[row["family"]]
        assert (row["affected_exposed"], row["exposed"]) == (ill, exposed)
        assert row["p_fisher"] == pytest.approx(p, rel=1e-7)


def test_salmonella_within_the_matched_sets(salmonella: pd.DataFrame) -> None:
    frame = rank_table(salmonella, "person", "ill", stratify=["set"]).frame
    assert frame["family"].iloc[0] == "plant 7", "first by p among those that go with harm"
    for _, row in frame.iterrows():
        _, _, _, ratio, p = FUNEN[row["family"]]
        assert row["stratified_odds_ratio"] == pytest.approx(ratio, rel=1e-7)
        assert row["p_stratified"] == pytest.approx(p, rel=1e-6)
    # The protective fruit has the smaller p, and two factors an infinite ratio on 3 and 5 cases.
    assert frame.set_index("family")["p_stratified"].idxmin() == "fruit"
    assert np.isinf(frame["stratified_odds_ratio"]).sum() == 2


def test_salmonella_by_risk_sets_is_conditional_logistic_regression(
    salmonella: pd.DataFrame,
) -> None:
    p_value = {}
    for factor in funen.FACTORS:
        observed, chance = _risk_sets(salmonella, factor)
        counts = CaseCounts([observed], np.array([chance]), np.ones((1, len(chance)), int))
        p_value[factor] = float(counts.tests().greater[0])
        if factor == "plant 7":
            ratio = float(counts.rate_ratios().ratio[0])
    assert min(p_value, key=lambda factor: p_value[factor]) == "plant 7"
    assert ratio == pytest.approx(4.468654, abs=5e-7)  # R 4.2, survival::clogit
    known = salmonella[salmonella["plant 7"] != ""]
    # Sets of one kind of person say nothing, and the reference library warns of them.
    known = known[known.groupby("set")["ill"].transform("nunique") == 2]
    fitted = ConditionalLogit(
        (known["ill"] == "Y").to_numpy(float),
        (known[["plant 7"]] == "Y").to_numpy(float),
        groups=known["set"].to_numpy(),
    ).fit(method="newton", disp=False)
    assert np.exp(fitted.params[0]) == pytest.approx(ratio, rel=1e-6)


def _risk_sets(sheet: pd.DataFrame, factor: str) -> tuple[int, list[float]]:
    """Exposed patients, and the share exposed of each set whose patient has answered."""
    observed, chance = 0, []
    for _, persons in sheet[sheet[factor] != ""].groupby("set"):
        patient = persons["ill"] == "Y"
        if patient.any():
            exposed = persons[factor] == "Y"
            observed += int(exposed[patient].sum())
            chance.append(float(exposed.mean()))
    return observed, chance
