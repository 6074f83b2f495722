from __future__ import annotations

import numpy as np

from tests.synthetic.conftest import Yard
from tracegraph.synthetic.build import build_yard
from tracegraph.synthetic.floor import steps_in_order
from tracegraph.synthetic.yard import COLD_PUMP, GELCOAT_SPRAY, PARTS


def test_every_step_is_done_on_every_part_and_hull(yard: Yard) -> None:
    assert list(yard.built.works) == steps_in_order()
    for work in yard.built.works.values():
        assert set(work.hull.tolist()) == set(range(yard.built.count))
        last = work.attempt[: yard.built.count]
        assert (work.hull[: yard.built.count] == np.arange(yard.built.count)).all()
        assert set(np.unique(last)) <= {1, 2}


def test_readings_lie_where_a_booths_log_has_them(yard: Yard) -> None:
    for part in PARTS:
        readings = yard.built.works[part, GELCOAT_SPRAY].readings
        air = readings["ambient_temp", "degF"]
        mold = readings["mold_temp", "degF"]
        assert (np.median(air) > 60) & (np.median(air) < 80)
        assert (mold <= air + 1).all()
        assert 1.7 < np.median(readings["catalyst_pct", "%"]) < 1.9
        film = readings["wet_film", "mil"]
        assert 15 < np.median(film) < 18
        assert 0.08 < (film < 14).mean() < 0.3
        assert (np.round(film * 2) == film * 2).all()


def test_the_reading_of_air_agrees_with_the_logger(yard: Yard) -> None:
    work = yard.built.works["hull", GELCOAT_SPRAY]
    logged, damp = yard.built.weather.at("Booth 1", work.start)
    written = (work.readings["ambient_temp", "degF"] - 32) / 1.8
    assert np.abs(written - logged).max() < 0.6
    assert np.abs(work.readings["relative_humidity", "%"] - damp).max() < 6


def test_only_one_pump_runs_short_and_only_in_the_cold(yard: Yard) -> None:
    work = yard.built.works["deck", GELCOAT_SPRAY]
    air, _ = yard.built.weather.at("Booth 2", work.start)
    catalyst = work.readings["catalyst_pct", "%"]
    cold, pump = air < 16, work.equipment == COLD_PUMP
    assert np.median(catalyst[cold & pump]) < 1.45
    assert abs(np.median(catalyst[cold & ~pump]) - 1.8) < 0.05
    assert abs(np.median(catalyst[~cold & pump & (air > 18)]) - 1.8) < 0.05


def test_less_catalyst_gels_later(yard: Yard) -> None:
    readings = yard.built.works["deck", GELCOAT_SPRAY].readings
    gel, catalyst = readings["gel_time", "min"], readings["catalyst_pct", "%"]
    assert gel[catalyst < 1.5].mean() > gel[catalyst > 1.7].mean() + 3


def test_without_the_cold_pump_all_guns_deliver() -> None:
    work = build_yard(300, 1).works["deck", GELCOAT_SPRAY]
    assert work.readings["catalyst_pct", "%"].min() > 1.4
