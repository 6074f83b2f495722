"""How far around the suspect the hulls are not shown clean: lots, pulls or days beside it.

A neighbour is shown clean by claims that should have come and did not. One with too few
expected claims is not shown clean, however quiet it is, and stays inside.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from scipy.special import pdtr

from tracegraph.analysis.containing.rates import RATIOS, ClaimRates
from tracegraph.analysis.containing.streams import sort_into_streams
from tracegraph.analysis.containing.uses import UsesInTime
from tracegraph.analysis.naming import Suspect
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.rates import garwood
from tracegraph.store import Connection

ENOUGH_EXPECTED = 3.0
"""Expected claims from which silence says something: none of 3 comes by chance in 5 %."""

CLEAN_RATIO = 2.0
"""A neighbour is clean when the upper 90 % limit of its rate ratio is below this."""

UNLIKE_SUSPECT = 0.05
"""Below this chance a neighbour claims too little to carry the cause as the suspect does."""

LOTS, PULLS, DAYS = "lots", "pulls", "days"


@dataclass(frozen=True, eq=False)
class Bracket:
    """The suspect with its neighbours out to the first that is shown clean on either side.

    Attributes
    ----------
    unit : str
        ``lots``, ``pulls`` or ``days``.
    rows : DataFrame
        In order: ``side`` (before, suspect, after), ``name``, ``hulls``, ``observed``,
        ``expected`` (claims, had they no cause), ``upper`` (90 % limit of the ratio),
        ``chance_as_suspect`` (chance of so few claims, did they carry the suspect's own
        rate ratio, what is uncertain about it included), ``shown_clean``, ``inside``
        (bool).
    closed_before, closed_after : bool
        Whether a neighbour shown clean was met; false where the records end first.
    hull_ids : frozenset of int
        Hulls on the neighbours inside.
    """

    unit: str
    rows: pd.DataFrame
    closed_before: bool
    closed_after: bool
    hull_ids: frozenset[int]


def shown_clean(observed: int, expected: float) -> bool:
    """Tell whether a neighbour's claims show it clean.

    Parameters
    ----------
    observed : int
        Claims that came.
    expected : float
        Claims that would have come without any cause.

    Returns
    -------
    bool
        At least 3 expected, and none came or the upper 90 % limit of the ratio is below 2.

    Examples
    --------
    >>> shown_clean(0, 3.0), shown_clean(0, 2.9), shown_clean(2, 3.2), shown_clean(2, 3.0)
    (True, False, True, False)
    """
    if expected < ENOUGH_EXPECTED:
        return False
    return observed == 0 or _upper(observed, expected) < CLEAN_RATIO


def bracket_lots(
    session: Connection, suspect: Suspect, found: UsesInTime, rates: ClaimRates
) -> Bracket:
    """Walk from a lot to the lots used before and after it from the same stock.

    Parameters
    ----------
    session : Connection
        Line to a store.
    suspect : Suspect
        A lot, or a component's lot.
    found : UsesInTime
        Uses in time.
    rates : ClaimRates
        Claims so far.

    Returns
    -------
    Bracket
        In lots.
    """
    answers = session.shared_frame("carried", {"family_id": suspect.family_id})
    stream = _streams_of(found)
    work = found.table.assign(stream=stream).merge(found.parts[["part", "step"]])
    first = (
        work.dropna(subset=["hull_id"])
        .groupby("hull_id")
        .agg(at=("at", "min"), stream=("stream", "first"))
    )
    rows = answers.join(first, on="hull_id")
    per_level = rows.groupby("level_id").agg(
        name=("level", "first"), at=("at", "median"),
        stream=("stream", lambda codes: codes.mode().iloc[0] if codes.notna().any() else -1),
    )  # fmt: skip
    own = per_level.loc[suspect.level_id]
    direct = _direct(found, per_level["name"])
    alike = (per_level["stream"] == own["stream"]) & (direct == direct[suspect.level_id])
    order = per_level[alike & per_level["at"].notna()].sort_values(["at", "name"])
    place = order.index.get_loc(suspect.level_id) if suspect.level_id in order.index else None
    if place is None:
        return Bracket(LOTS, _rows([]), False, False, frozenset())
    hulls = {level: set(group) for level, group in rows.groupby("level_id")["hull_id"]}
    mine = hulls[suspect.level_id]
    units = [
        (
            str(order.loc[level, "name"]),
            hulls[level] if level == suspect.level_id else hulls[level] - mine,
        )
        for level in order.index
    ]
    return _walk(LOTS, units, int(place), int(place), rates)


def bracket_sequence(
    unit: str, position: Floats, hull_ids: Ints, inside: Bools, rates: ClaimRates
) -> Bracket:
    """Walk outward from a stretch of a sequence in blocks that could show themselves clean.

    Parameters
    ----------
    unit : str
        ``pulls`` or ``days``: what the positions count.
    position : array of float, shape (n,)
        Place of each hull: pull number, or day.
    hull_ids : array of int, shape (n,)
        Their numbers.
    inside : array of bool, shape (n,)
        The stretch walked from.
    rates : ClaimRates
        Claims so far.

    Returns
    -------
    Bracket
        Blocks of hulls beside the stretch, each just large enough to expect 3 claims.
    """
    order = np.argsort(position, kind="stable")
    where, hulls, core = position[order], hull_ids[order], inside[order]
    if not core.any():
        return Bracket(unit, _rows([]), False, False, frozenset())
    first, last = np.flatnonzero(core)[[0, -1]]
    expected = rates.expected()[rates.place_of(hulls)]
    before = _blocks(np.arange(first)[::-1], expected)
    after = _blocks(np.arange(last + 1, len(hulls)), expected)
    spans = [*before[::-1], np.arange(first, last + 1), *after]
    units = [
        (_named(unit, where[span.min()], where[span.max()]), set(hulls[span].tolist()))
        for span in spans
    ]
    return _walk(unit, units, len(before), len(before), rates)


def _walk(
    unit: str, units: list[tuple[str, set[int]]], first: int, last: int, rates: ClaimRates
) -> Bracket:
    measured = [_measured(name, hulls, rates) for name, hulls in units]
    rows: list[dict[str, Any]] = [
        measured[n] | {"side": "suspect", "inside": True} for n in range(first, last + 1)
    ]
    hull_ids: set[int] = set()
    closed = {"before": False, "after": False}
    for side, way in (("before", range(first - 1, -1, -1)), ("after", range(last + 1, len(units)))):
        for n in way:
            clean = bool(measured[n]["shown_clean"])
            row = measured[n] | {"side": side, "inside": not clean}
            rows = [row, *rows] if side == "before" else [*rows, row]
            if clean:
                closed[side] = True
                break
            hull_ids |= units[n][1]
    return Bracket(unit, _rows(rows), closed["before"], closed["after"], frozenset(hull_ids))


def _measured(name: str, hulls: set[int], rates: ClaimRates) -> dict[str, Any]:
    chosen = np.isin(rates.hull_id, list(hulls))
    observed, expected = int((rates.case & chosen).sum()), float(rates.expected()[chosen].sum())
    return {
        "name": name, "hulls": len(hulls), "observed": observed, "expected": expected,
        "upper": _upper(observed, expected), "shown_clean": shown_clean(observed, expected),
        "chance_as_suspect": float(rates.belief() @ pdtr(observed, expected * RATIOS)),
    }  # fmt: skip


def _upper(observed: int, expected: float) -> float:
    return float(garwood(observed, expected, confidence=0.9)[1]) if expected > 0.0 else np.inf


def _rows(rows: list[dict[str, Any]]) -> pd.DataFrame:
    columns = [
        "side", "name", "hulls", "observed", "expected", "upper", "chance_as_suspect",
        "shown_clean", "inside",
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=columns)


def _streams_of(found: UsesInTime) -> Ints:
    at = found.table["at"].to_numpy(np.float64)
    return sort_into_streams(at, found.values, found.attributes).code


def _direct(found: UsesInTime, names: pd.Series) -> pd.Series:
    """Whether a lot is used itself, not only through blends."""
    used = {name.rsplit("|", 1)[-1] for name in found.names} if found.material else set(names)
    return names.isin(used)


def _blocks(way: Ints, expected: Floats) -> list[Ints]:
    """Stretches of a way, each just long enough to expect 3 claims; the rest is the last."""
    blocks, begin = [], 0
    total = 0.0
    for place, hull in enumerate(way):
        total += expected[hull]
        if total >= ENOUGH_EXPECTED:
            blocks.append(way[begin : place + 1])
            begin, total = place + 1, 0.0
    if begin < len(way):
        blocks.append(way[begin:])
    return blocks


def _named(unit: str, first: float, last: float) -> str:
    if unit == DAYS:
        days = [str(np.datetime64(int(day), "D")) for day in (first, last)]
        return f"{days[0]} to {days[1]}"
    return f"pulls {first:.0f} to {last:.0f}"
