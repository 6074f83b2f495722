"""The planted causes are there to be found, and the decoy and the quiet symptom are not causes."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import fisher_exact

from tests.synthetic.conftest import Yard
from tracegraph.synthetic.build import build_yard
from tracegraph.synthetic.causes import pick
from tracegraph.synthetic.scenarios import SCENARIO_OF
from tracegraph.synthetic.yard import GELCOAT_SPRAY, HARD_MOLD, LEAD_SPRAYER


def crude(affected: np.ndarray, exposed: np.ndarray) -> tuple[float, float]:
    """Risk ratio over all hulls, and Fisher's p (scipy, one-sided)."""
    table = [
        [int((affected & exposed).sum()), int((~affected & exposed).sum())],
        [int((affected & ~exposed).sum()), int((~affected & ~exposed).sum())],
    ]
    risk = [row[0] / sum(row) for row in table]
    return risk[0] / risk[1], float(fisher_exact(table, alternative="greater").pvalue)


@pytest.mark.parametrize(
    ("symptom", "least_ratio"),
    [("blister", 6), ("fading", 6), ("void", 5), ("fuel smell", 10), ("delamination", 6)],
)
def test_each_planted_cause_shows_in_the_raw_claims(
    symptom: str, least_ratio: float, yard: Yard
) -> None:
    planted, affected = yard.of(symptom), yard.affected(symptom)
    ratio, p = crude(affected, planted.exposed)
    assert ratio > least_ratio
    assert p < 1e-8
    assert 8 <= (affected & planted.exposed).sum() <= 40
    assert 20 <= affected.sum() <= 60


def test_the_lot_is_worse_where_the_film_is_thin_and_thin_film_alone_is_harmless(
    yard: Yard,
) -> None:
    planted, affected = yard.of("blister"), yard.affected("blister")
    thin = yard.built.reading("hull", GELCOAT_SPRAY, "wet_film", "mil") < 14
    inside = affected[planted.exposed & thin].mean() / affected[planted.exposed & ~thin].mean()
    assert inside > 1.2
    _, p = crude(affected[~planted.exposed], thin[~planted.exposed])
    assert p > 0.05


def test_the_cold_pump_is_one_gun_in_winter(yard: Yard) -> None:
    planted = yard.of("fading")
    work = yard.built.works["deck", GELCOAT_SPRAY]
    gun = work.equipment[: yard.built.count]
    air = yard.built.reading("deck", GELCOAT_SPRAY, "ambient_temp", "degF")
    assert (gun[planted.exposed] == "GC-3").mean() > 0.95
    assert (air[planted.exposed] <= 64).mean() > 0.95  # 17.5 degC is 63.5 degF
    warm = (gun == "GC-3") & (air > 65)
    ratio, _ = crude(yard.affected("fading"), warm)
    assert ratio < 1.5


def test_the_hose_lot_went_into_two_models(yard: Yard) -> None:
    models = yard.built.hulls.model[yard.of("fuel smell").exposed]
    assert set(models) == {"S22", "S26"}
    claims = yard.claims[yard.claims["symptom"] == "fuel smell"]
    assert set(claims["safety_class"]) == {1}


def test_the_bad_mold_is_bad_in_every_season(yard: Yard) -> None:
    planted, affected = yard.of("void"), yard.affected("void")
    sprayed = yard.built.schedule.parts["hull"].start[GELCOAT_SPRAY]
    month = sprayed.astype("datetime64[m]").astype("datetime64[M]").astype(int) % 12
    for quarter in range(4):
        season = month // 3 == quarter
        inside = affected[planted.exposed & season].mean()
        assert inside > 2 * affected[~planted.exposed & season].mean()


def test_the_decoy_looks_bad_only_until_the_mold_is_held_fixed(yard: Yard) -> None:
    affected = yard.affected("void")
    lead = yard.of("void", "decoy").exposed
    hard = yard.built.schedule.parts["hull"].mold_no == HARD_MOLD
    ratio, p = crude(affected, lead)
    assert ratio > 2
    assert p < 0.01
    # Mantel-Haenszel risk ratio over the two strata of mold (Mantel & Haenszel 1959; the
    # risk-ratio form of Greenland & Robins 1985)
    above = below = 0.0
    for stratum in (hard, ~hard):
        n = stratum.sum()
        above += (affected & lead & stratum).sum() * (~lead & stratum).sum() / n
        below += (affected & ~lead & stratum).sum() * (lead & stratum).sum() / n
    assert 0.4 < above / below < 1.6
    entry = yard.of("void", "decoy").entry
    assert entry.causes == (("hull: gelcoat spray: operator", LEAD_SPRAYER),)


def test_the_quiet_symptom_has_one_rate(yard: Yard) -> None:
    affected = yard.affected("steering stiffness")
    assert affected.sum() >= 20
    for model in ("S18", "S22", "S26"):
        _, p = crude(affected, yard.built.hulls.model == model)
        assert p > 0.05


def test_levels_named_in_the_key_exist(yard: Yard) -> None:
    built = yard.built
    hull_lots = set(built.uses("hull", GELCOAT_SPRAY, "gelcoat")[1])
    hose_lots = {lot for f in built.fitted if f.component == "fuel hose" for lot in f.lot_no}
    known = {
        "hull: gelcoat spray: gelcoat lot": hull_lots,
        "hull: fuel hose: lot": hose_lots,
        "hull: mold": set(built.schedule.parts["hull"].mold_no),
        "deck: gelcoat spray: equipment": set(built.works["deck", GELCOAT_SPRAY].equipment),
        "hull: gelcoat spray: operator": set(built.works["hull", GELCOAT_SPRAY].operator),
    }
    for planted in yard.planted:
        for family, level in planted.entry.causes:
            if level is not None:
                assert level in known[family], family


def test_pick_prefers_the_wanted_place_and_size(yard: Yard) -> None:
    hull = np.concatenate([np.arange(0, 50), np.arange(400, 450), np.arange(700, 703)])
    level = np.array(["a"] * 50 + ["b"] * 50 + ["c"] * 3, dtype=object)
    assert pick(yard.built, hull, level, 0.05, 40, 60) == "a"
    assert pick(yard.built, hull, level, 0.35, 40, 60) == "b"
    assert pick(yard.built, hull, level, 0.55, 2, 5) == "c"


@pytest.mark.parametrize(
    "name",
    ["one-lot", "small-lot", "one-drum", "one-mold", "worn-mold", "humid-days", "supplier", "pair"],
)
def test_a_trial_plants_what_it_says(name: str) -> None:
    scenario = SCENARIO_OF[name]
    built = build_yard(1200, 11)
    (planted,) = (cause(built) for cause in scenario.causes)
    assert planted.entry.role == "planted"
    share = planted.exposed.mean()
    low, high = {
        "one-lot": (0.015, 0.06),
        "small-lot": (0.008, 0.03),
        "one-drum": (0.004, 0.015),
        "one-mold": (0.08, 0.25),
        "worn-mold": (0.1, 0.35),
        "humid-days": (0.09, 0.15),
        "supplier": (0.2, 0.8),
        "pair": (0.08, 0.6),
    }[name]
    assert low <= share <= high
    assert (planted.extra[~planted.exposed] == 0).all()
    assert (planted.extra[planted.exposed] > 0.05).all()


def test_places_of_trials_move_with_the_seed() -> None:
    cause = SCENARIO_OF["one-lot"].causes[0]
    levels = {cause(build_yard(300, seed)).entry.causes[0][1] for seed in range(5)}
    assert len(levels) >= 4


def test_a_bad_spell_is_ten_weeks_that_no_record_names() -> None:
    built = build_yard(1200, 3)
    (planted,) = (cause(built) for cause in SCENARIO_OF["bad-spell"].causes)
    assert planted.entry.causes == ()
    sprayed = built.schedule.parts["hull"].start[GELCOAT_SPRAY][planted.exposed]
    assert (sprayed.max() - sprayed.min()) / 1440 <= 70
    assert planted.exposed.sum() > 30
