"""Issue materials to the work: which lot, drum or blend every operation used."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.synthetic.chance import Chance
from tracegraph.synthetic.floor import Use, Work
from tracegraph.synthetic.stock import Stockroom, Texts, batches
from tracegraph.synthetic.supplies import (
    CATALYST,
    GELCOATS,
    POUNDS,
    PUTTY_BATCH,
    SUPPLIES,
    TANK_FILL,
    Supply,
)
from tracegraph.synthetic.weather import Values
from tracegraph.synthetic.workdays import Minutes
from tracegraph.synthetic.yard import GELCOAT_SPRAY, MODELS

AMOUNT_SPREAD = 0.08  # relative standard deviation of the amount used
SECOND_DRUM = 0.15  # share of coats, next to a change of drum, that used both
HEEL = (0.05, 0.25)  # share of a tank fill that is left from the fill before

TANK_MATERIAL = "laminating resin"
PUTTY_MATERIAL = "bonding putty"


@dataclass(frozen=True)
class _Demand:
    """Rows of one work that need a material, and how much each."""

    work: Work
    row: np.ndarray[tuple[int], np.dtype[np.int64]]
    amount: Values


def issue_materials(chance: Chance, works: list[Work], model: Minutes, colour: Texts) -> Stockroom:
    """Give every work its uses, and return the lots and blends behind them.

    Parameters
    ----------
    chance : Chance
        Source of chance.
    works : list of Work
        All work of the yard; their ``uses`` are filled.
    model : ndarray of int
        Model of each hull, as an index into ``MODELS``.
    colour : ndarray of str
        Colour of each hull's outside.
    """
    stock = Stockroom()
    size = np.array([m.size for m in MODELS])[model]
    for name, supply in GELCOATS.items():
        demands = []
        for work in works:
            if work.step != GELCOAT_SPRAY or (work.part == "hull") != (name != "deck"):
                continue
            row = np.arange(work.hull.size)
            if work.part == "hull":
                row = row[colour[work.hull] == name]
            demands.append(_demand(chance, work, "gelcoat", row, size))
        _serve(chance, stock, supply, "gelcoat " + name, demands)
    coats = [w for w in works if w.step == GELCOAT_SPRAY]
    catalyst = [_Demand(w, np.arange(w.hull.size), _catalyst(w, size)) for w in coats]
    _serve(chance, stock, CATALYST, "catalyst", catalyst)
    for material, supply in SUPPLIES.items():
        if material in (TANK_MATERIAL, "filler"):
            continue
        _serve(chance, stock, supply, material, _demands(chance, works, material, size))
    _blend(chance, stock, works, size)
    return stock


def _demands(chance: Chance, works: list[Work], material: str, size: Values) -> list[_Demand]:
    return [
        _demand(chance, work, material, np.arange(work.hull.size), size)
        for work in works
        if (work.part, work.step, material) in POUNDS
    ]


def _demand(
    chance: Chance,
    work: Work,
    material: str,
    row: np.ndarray[tuple[int], np.dtype[np.int64]],
    size: Values,
) -> _Demand:
    rng = chance.of(f"amount {work.part} {work.step} {material}")
    spread = 1 + AMOUNT_SPREAD * rng.standard_normal(work.hull.size)[row]
    pounds = POUNDS[work.part, work.step, material] * size[work.hull[row]] * spread
    return _Demand(work, row, np.round(pounds, 1))


def _catalyst(work: Work, size: Values) -> Values:
    """Pounds of catalyst: 1.8 % of the gelcoat."""
    pounds = POUNDS[work.part, GELCOAT_SPRAY, "gelcoat"] * size[work.hull]
    amount: Values = np.round(0.018 * pounds, 2)
    return amount


def _serve(
    chance: Chance, stock: Stockroom, supply: Supply, topic: str, demands: list[_Demand]
) -> None:
    """Draw one stream of a material for several works in order of time."""
    if not sum(d.row.size for d in demands):
        return
    rng = chance.of("stock " + topic)
    time = np.concatenate([d.work.start[d.row] for d in demands])
    amount = np.concatenate([d.amount for d in demands])
    drawn = stock.draw(rng, supply, time, amount)
    _hand_out(supply.material, supply.unit, demands, drawn.lot_no, drawn.drum_no)
    if supply.material == "gelcoat":
        _second_drums(rng, supply, demands, drawn.lot_no, drawn.drum_no, time)


def _hand_out(
    material: str, unit: str, demands: list[_Demand], lot_no: Texts, drum_no: Texts
) -> None:
    at = 0
    for d in demands:
        upto = at + d.row.size
        logged = d.work.step == GELCOAT_SPRAY
        d.work.uses.append(
            Use(material, unit, d.row, lot_no[at:upto], drum_no[at:upto], d.amount, logged)
        )
        at = upto


def _second_drums(
    rng: np.random.Generator,
    supply: Supply,
    demands: list[_Demand],
    lot_no: Texts,
    drum_no: Texts,
    time: Minutes,
) -> None:
    """Some coats finish from the drum that the next coat began with."""
    order = np.argsort(time, kind="stable")
    follower = np.empty_like(order)
    follower[order] = np.roll(order, -1)
    follower[order[-1]] = order[-1]
    other = (lot_no[follower] != lot_no) | (drum_no[follower] != drum_no)
    other &= rng.random(time.size) < SECOND_DRUM
    at = 0
    for d in demands:
        mine = np.flatnonzero(other[at : at + d.row.size])
        nxt = follower[at + mine]
        d.work.uses.append(
            Use(
                supply.material,
                supply.unit,
                d.row[mine],
                lot_no[nxt],
                drum_no[nxt],
                np.round(d.amount[mine] * 0.2, 1),
            )
        )
        at += d.row.size


def _blend(chance: Chance, stock: Stockroom, works: list[Work], size: Values) -> None:
    """Laminating resin from the day tank, and bonding putty mixed out of that tank."""
    demands = _demands(chance, works, TANK_MATERIAL, size)
    time = np.concatenate([d.work.start[d.row] for d in demands])
    amount = np.concatenate([d.amount for d in demands])
    drawn, tank = batches("DT", TANK_FILL, time, amount)
    _hand_out(TANK_MATERIAL, "lb", demands, drawn.lot_no, drawn.drum_no)
    rng = chance.of("stock day tank")
    fills = tank.names.size
    full = np.full(fills, TANK_FILL)
    resin = stock.draw(rng, SUPPLIES[TANK_MATERIAL], tank.opened, full).lot_no
    heel = np.round(HEEL[0] + (HEEL[1] - HEEL[0]) * rng.random(fills), 2)
    heel[0] = 0.0
    stock.blended(
        TANK_MATERIAL,
        np.tile(tank.names, 2),
        TANK_MATERIAL,
        np.concatenate([resin, np.roll(resin, 1)]),
        np.concatenate([1 - heel, heel]),
    )
    demands = _demands(chance, works, PUTTY_MATERIAL, size)
    time = np.concatenate([d.work.start[d.row] for d in demands])
    amount = np.concatenate([d.amount for d in demands])
    drawn, mixed = batches("PT", PUTTY_BATCH, time, amount)
    _hand_out(PUTTY_MATERIAL, "lb", demands, drawn.lot_no, drawn.drum_no)
    count = mixed.names.size
    stock.blended(
        PUTTY_MATERIAL, mixed.names, TANK_MATERIAL, tank.in_use(mixed.opened), np.full(count, 0.6)
    )
    filler = stock.draw(
        chance.of("stock filler"),
        SUPPLIES["filler"],
        mixed.opened,
        np.full(count, PUTTY_BATCH * 0.4),
    ).lot_no
    stock.blended(PUTTY_MATERIAL, mixed.names, "filler", filler, np.full(count, 0.4))
