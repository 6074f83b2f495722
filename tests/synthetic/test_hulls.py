from __future__ import annotations

import re

import numpy as np

from tests.synthetic.conftest import Yard
from tracegraph.synthetic.hulls import MONTH_LETTERS, MOST_HULLS, NEVER, hin, hin_serial
from tracegraph.synthetic.schedule import CUT_OFF
from tracegraph.synthetic.workdays import day_of, minute, month_of_year

# 33 CFR 181.25: three characters of maker, five of serial without I, O and Q, the month as a
# letter A to L, the last digit of its year, two digits of the model year.
WELL_FORMED = re.compile(r"[A-Z0-9]{3}[A-HJ-NPR-Z0-9]{5}[A-L][0-9][0-9]{2}")


def test_every_hin_is_well_formed_and_its_own(yard: Yard) -> None:
    hins = yard.built.hulls.hin.tolist()
    assert all(WELL_FORMED.fullmatch(h) for h in hins)
    assert len(set(hins)) == len(hins)
    assert {h[:3] for h in hins} == {"QZX"}


def test_the_month_and_year_are_those_of_the_hull_deck_joint(yard: Yard) -> None:
    bonded = yard.built.schedule.finish["bond deck"]
    months = month_of_year(bonded)
    years = day_of(bonded).astype("datetime64[D]").astype("datetime64[Y]").astype(int) + 1970
    for text, month, year in zip(yard.built.hulls.hin, months, years, strict=True):
        assert text[8] == MONTH_LETTERS[month - 1]
        assert int(text[9]) == year % 10
        ahead = (int(text[10:]) - year) % 100
        assert ahead == (1 if month >= 8 else 0)


def test_serials_go_on_past_a_hundred_thousand_without_forbidden_letters() -> None:
    serials = [hin_serial(n) for n in (1, 99_999, 100_000, 109_999, 110_000, MOST_HULLS)]
    assert serials == ["00001", "99999", "A0000", "A9999", "B0000", "Z9999"]
    made = {hin_serial(n) for n in range(100_000, MOST_HULLS + 1, 997)}
    assert all(re.fullmatch(r"[A-HJ-NPR-Z0-9]{5}", s) for s in made)


def test_months_of_the_hin_run_from_a_to_l() -> None:
    assert [hin(7, 2025, m)[8] for m in range(1, 13)] == list("ABCDEFGHIJKL")
    assert hin(7, 2025, 7).endswith("525")
    assert hin(7, 2025, 8).endswith("526")


def test_a_hull_moves_on_one_way_only(yard: Yard) -> None:
    hulls, cut_off = yard.built.hulls, minute(CUT_OFF) // 1440
    tested = day_of(yard.built.schedule.finish["water test"])
    for before, after in (
        (tested, hulls.completed),
        (hulls.completed, hulls.shipped),
        (hulls.shipped, hulls.in_service),
        (hulls.in_service, hulls.exit),
    ):
        known = after != NEVER
        assert (before[known] != NEVER).all()
        assert (after[known] >= before[known]).all()
        assert (after[known] <= cut_off).all()


def test_the_place_fits_the_dates(yard: Yard) -> None:
    hulls = yard.built.hulls
    assert ((hulls.place == "owner") == (hulls.in_service != NEVER)).all()
    assert (hulls.shipped[hulls.place == "plant"] == NEVER).all()
    assert (hulls.shipped[hulls.place == "dealer"] != NEVER).all()
    assert 0 < (hulls.place != "owner").mean() < 0.3


def test_boats_are_handed_over_in_spring_and_summer(yard: Yard) -> None:
    sold = yard.built.hulls.in_service
    month = month_of_year(sold[sold != NEVER] * 1440)
    assert np.isin(month, [3, 4, 5, 6, 7, 8]).mean() > 0.55
    assert np.isin(month, [11, 12, 1, 2]).mean() < 0.25


def test_components_follow_the_model(yard: Yard) -> None:
    model = yard.built.hulls.model
    has = {}
    for fitted in yard.built.fitted:
        marked = has.setdefault(fitted.component, np.zeros(yard.built.count, dtype=int))
        np.add.at(marked, fitted.hull, 1)
    assert (has["bilge pump"] == 1).all()
    assert (has["fuel hose"] == 1).all()
    assert ((has["steering cable"] == 1) == (model != "S26")).all()
    assert ((has["livewell fitting"] == 1) == (model != "S18")).all()


def test_components_are_fitted_while_the_hull_is_rigged(yard: Yard) -> None:
    schedule = yard.built.schedule
    for fitted in yard.built.fitted:
        assert (fitted.fitted_at >= schedule.start["rig"][fitted.hull]).all()
        assert (fitted.fitted_at <= schedule.finish["rig"][fitted.hull]).all()
