"""The hulls themselves: numbers, options, delivery, and the components fitted to them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracegraph.synthetic.chance import Chance
from tracegraph.synthetic.schedule import CUT_OFF, Schedule
from tracegraph.synthetic.stock import Texts
from tracegraph.synthetic.supplies import FITTINGS
from tracegraph.synthetic.workdays import Minutes, day_of, minute
from tracegraph.synthetic.yard import COLOURS, DEALERS, MAKER_CODE, MODELS

MONTH_LETTERS = "ABCDEFGHIJKL"
SERIAL_LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"  # no I, O, Q: 33 CFR 181.25
MOST_HULLS = 100_000 + len(SERIAL_LETTERS) * 10_000 - 1
NEVER = np.iinfo(np.int64).min  # a day that has not come

STOCK_MONTHS = 3.0  # mean time at the dealer
QUIET_MONTHS = (11, 12, 1, 2)  # few boats are handed over
HELD_TO_SPRING = 0.6


@dataclass(frozen=True)
class Hulls:
    """One entry per hull, in build order; days count from 1970-01-01, ``NEVER`` if not yet.

    Attributes
    ----------
    serial, job_no, hin, model, colour, options, dealer, place : ndarray of str
        As in the ``hulls`` table.
    completed, shipped, in_service, exit : ndarray of int64
        Days.
    """

    serial: Texts
    job_no: Texts
    hin: Texts
    model: Texts
    colour: Texts
    options: Texts
    dealer: Texts
    place: Texts
    completed: NDArray[np.int64]
    shipped: NDArray[np.int64]
    in_service: NDArray[np.int64]
    exit: NDArray[np.int64]


@dataclass(frozen=True)
class Fitted:
    """One kind of component on the hulls that have it.

    Attributes
    ----------
    component : str
        What it is.
    hull : ndarray of int
        Hulls, as indices into the build order.
    supplier, lot_no, serial_no, fitted_by : ndarray of str
        One per entry of ``hull``.
    fitted_at : ndarray of int64
        Clock minutes.
    """

    component: str
    hull: NDArray[np.int64]
    supplier: Texts
    lot_no: Texts
    serial_no: Texts
    fitted_by: Texts
    fitted_at: Minutes


def paint(chance: Chance, hulls: int) -> Texts:
    """Colour of each hull's outside."""
    names = np.array([name for name, _ in COLOURS], dtype=object)
    edges = np.cumsum([share for _, share in COLOURS])[:-1]
    picked: Texts = names[np.searchsorted(edges, chance.of("colour").random(hulls), "right")]
    return picked


def hin_serial(number: int) -> str:
    """Five characters of a hull identification number's serial (33 CFR 181.25).

    >>> hin_serial(42), hin_serial(100_000), hin_serial(110_042)
    ('00042', 'A0000', 'B0042')
    """
    if number < 100_000:
        return f"{number:05d}"
    letter, rest = divmod(number - 100_000, 10_000)
    return f"{SERIAL_LETTERS[letter]}{rest:04d}"


def hin(number: int, year: int, month: int) -> str:
    """Hull identification number of the sample yard, synthetic (33 CFR 181.25).

    The model year turns on 1 August, inside the 14 months that the rule allows.

    >>> hin(42, 2025, 3), hin(1200, 2025, 8)
    ('QZX00042C525', 'QZX01200H526')
    """
    model_year = (year + (month >= 8)) % 100
    letter = MONTH_LETTERS[month - 1]
    return f"{MAKER_CODE}{hin_serial(number)}{letter}{year % 10}{model_year:02d}"


def register(chance: Chance, schedule: Schedule, colour: Texts) -> Hulls:
    """Number, complete, ship and deliver every hull up to the cut-off."""
    rng = chance.of("register")
    n = schedule.model.size
    cut_off = minute(CUT_OFF) // 1440
    model = np.array([m.name for m in MODELS], dtype=object)[schedule.model]
    bonded = day_of(schedule.finish["bond deck"])
    rank = np.empty(n, dtype=np.int64)
    rank[np.argsort(schedule.start["bond deck"], kind="stable")] = np.arange(1, n + 1)
    months = bonded.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64)
    year, month = 1970 + months // 12, months % 12 + 1
    hins = [
        hin(r, y, m) for r, y, m in zip(rank.tolist(), year.tolist(), month.tolist(), strict=True)
    ]
    serial = [f"{m}-{r:04d}" for m, r in zip(model, rank.tolist(), strict=True)]
    completed = day_of(schedule.finish["water test"]) + rng.integers(0, 3, n)
    shipped = completed + rng.integers(1, 15, n)
    landed = shipped + rng.integers(2, 9, n)
    sold = landed + np.round(rng.standard_gamma(1.3, n) * STOCK_MONTHS / 1.3 * 30.4).astype(
        np.int64
    )
    in_service = _to_spring(rng, sold)
    exit_on = np.where(
        rng.random(n) < 0.006, in_service + rng.integers(120, 700, n), np.int64(10**7)
    )
    place = np.select(
        [in_service <= cut_off, landed <= cut_off, shipped <= cut_off],
        ["owner", "dealer", "transit"],
        "plant",
    ).astype(object)
    extras = np.array(["", "; t-top", "; trim tabs", "; t-top; trim tabs"], dtype=object)
    options = "hull " + colour + extras[rng.integers(0, 4, n)]
    dealers = np.array([f"D-{k + 1:02d}" for k in range(DEALERS)], dtype=object)
    dealer = dealers[(rng.random(n) ** 1.5 * DEALERS).astype(np.int64)]

    def until_now(day: NDArray[np.int64]) -> NDArray[np.int64]:
        return np.where(day <= cut_off, day, NEVER)

    return Hulls(
        np.array(serial, dtype=object),
        np.array([f"J{20001 + k}" for k in range(n)], dtype=object),
        np.array(hins, dtype=object),
        model,
        colour,
        options,
        dealer,
        place,
        until_now(completed),
        until_now(shipped),
        until_now(in_service),
        until_now(exit_on),
    )


def _to_spring(rng: np.random.Generator, day: NDArray[np.int64]) -> NDArray[np.int64]:
    """Most hand-overs that would fall in the quiet months wait for spring."""
    months = day.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64)
    month = months % 12 + 1
    held = np.isin(month, QUIET_MONTHS) & (rng.random(day.size) < HELD_TO_SPRING)
    spring_year = 1970 + months // 12 + (month >= 11)
    march = ((spring_year - 1970) * 12 + 2).astype("datetime64[M]").astype("datetime64[D]")
    return np.where(held, march.astype(np.int64) + rng.integers(5, 75, day.size), day)


def fit_components(chance: Chance, schedule: Schedule, rigger: Texts) -> list[Fitted]:
    """Components of every hull: lots of each stream one after the other, some out of order.

    Parameters
    ----------
    chance : Chance
        Source of chance.
    schedule : Schedule
        When the hulls were rigged.
    rigger : ndarray of str
        Who rigged each hull.
    """
    done = []
    model = np.array([m.name for m in MODELS], dtype=object)[schedule.model]
    for fitting in FITTINGS:
        rng = chance.of("fit " + fitting.prefix)
        hull = np.flatnonzero(np.isin(model, fitting.models))
        if not hull.size:
            continue
        rigged = schedule.start["rig"][hull]
        order = np.argsort(rigged, kind="stable")
        middle = min(fitting.lot, hull.size / 5)
        enough = int(hull.size / middle * 2) + 8
        size = np.maximum(np.round(middle * np.exp(0.3 * rng.standard_normal(enough))), 2)
        edges = np.concatenate([[0.0], np.cumsum(size)])
        spot = np.arange(hull.size) + np.round(middle * 0.06 * rng.standard_normal(hull.size), 3)
        lot = np.searchsorted(edges, np.clip(spot, 0, edges[-1] - 1), "right") - 1
        number = 300 + np.cumsum(rng.integers(2, 19, enough))
        names = np.array([f"{fitting.prefix}-{k:05d}" for k in number], dtype=object)
        turn = (rng.random(enough) * len(fitting.suppliers)).astype(np.int64)
        supplier = np.array(fitting.suppliers, dtype=object)[turn]
        which = np.empty(hull.size, dtype=np.int64)
        which[order] = lot
        serials = np.full(hull.size, "", dtype=object)
        if fitting.serial:
            serials[order] = np.array(
                [f"{fitting.prefix}{k:06d}" for k in range(70001, 70001 + hull.size)], dtype=object
            )
        done.append(
            Fitted(
                fitting.component,
                hull,
                supplier[which],
                names[which],
                serials,
                rigger[hull],
                rigged + rng.integers(10, 400, hull.size),
            )
        )
    return done
