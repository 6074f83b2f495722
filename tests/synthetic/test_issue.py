from __future__ import annotations

import numpy as np
import pytest

from tests.synthetic.conftest import Yard
from tracegraph.synthetic.issue import SECOND_DRUM
from tracegraph.synthetic.supplies import POUNDS
from tracegraph.synthetic.yard import GELCOAT_SPRAY, MODELS


@pytest.mark.parametrize(("part", "step", "material"), sorted(POUNDS))
def test_each_operation_draws_what_its_recipe_says(
    part: str, step: str, material: str, yard: Yard
) -> None:
    work = yard.built.works[part, step]
    uses = [u for u in work.uses if u.material == material and (u.logged or step != GELCOAT_SPRAY)]
    rows = np.concatenate([u.row for u in uses])
    assert sorted(rows.tolist()) == list(range(work.hull.size))
    amount = np.concatenate([u.quantity for u in uses])
    size = np.array([m.size for m in MODELS])[yard.built.schedule.model[work.hull[rows]]]
    wanted = POUNDS[part, step, material]
    assert np.median(amount / size) == pytest.approx(wanted, rel=0.06, abs=0.06)


def test_colours_of_hulls_come_from_their_own_lots(yard: Yard) -> None:
    hull, lot, _ = yard.built.uses("hull", GELCOAT_SPRAY, "gelcoat")
    colour = yard.built.hulls.colour[hull]
    prefix = np.array([text[:2] for text in lot])
    for name, mark in (("white", "GW"), ("navy", "GN"), ("sand", "GS")):
        assert set(prefix[colour == name]) == {mark}
    for part in ("deck", "grid", "hatch"):
        _, lots, _ = yard.built.uses(part, GELCOAT_SPRAY, "gelcoat")
        assert {text[:2] for text in lots} == {"GD"}


def test_some_coats_finish_from_a_second_drum(yard: Yard) -> None:
    work = yard.built.works["hull", GELCOAT_SPRAY]
    logged = {int(r): (u.lot_no[k], u.drum_no[k]) for u in work.uses for k, r in
              enumerate(u.row) if u.logged and u.material == "gelcoat"}  # fmt: skip
    second = [(int(r), (u.lot_no[k], u.drum_no[k])) for u in work.uses for k, r in
              enumerate(u.row) if not u.logged]  # fmt: skip
    assert 0.005 < len(second) / work.hull.size < SECOND_DRUM
    assert all(logged[row] != drum for row, drum in second)


def test_parts_of_one_hull_often_come_from_different_lots(yard: Yard) -> None:
    deck, deck_lot, _ = yard.built.uses("deck", GELCOAT_SPRAY, "gelcoat")
    grid, grid_lot, _ = yard.built.uses("grid", GELCOAT_SPRAY, "gelcoat")
    of_deck = dict(zip(deck.tolist(), deck_lot, strict=True))
    differ = [of_deck[h] != lot for h, lot in zip(grid.tolist(), grid_lot, strict=True)]
    assert 0.02 < np.mean(differ) < 0.5
