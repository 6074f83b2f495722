"""Chance that a hull whose record is missing carries what is asked about."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from tracegraph.analysis.containing.stock import Spans, spans_in_stock
from tracegraph.analysis.containing.streams import Streams, sort_into_streams
from tracegraph.analysis.containing.uses import UsesInTime
from tracegraph.stats.arrays import Bools, Floats
from tracegraph.stats.neighbours import Memory, chances, chances_at
from tracegraph.store import Connection


@dataclass(frozen=True, eq=False)
class Chances:
    """What the neighbours of missing records tell.

    Attributes
    ----------
    uses : DataFrame
        One row for each use, anywhere in the plant, whose record is missing: ``hull_id``,
        ``at`` (days), ``part``, ``step``, ``chance`` (nan where no neighbour speaks),
        ``quantity``.
    parts : DataFrame
        ``part`` and ``step`` of the uses that were asked about.
    streams : Streams
        The order in which they were asked.
    """

    uses: pd.DataFrame
    parts: pd.DataFrame
    streams: Streams

    def of_hulls(self) -> pd.Series:
        """Chance of each hull, by its number, over its uses in the parts and steps asked.

        A hull carries it unless none of its uses does, each taken on its own; nan where no
        neighbour speaks for one of them.
        """
        asked = self.uses.merge(self.parts[["part", "step"]].drop_duplicates())
        spared = 1.0 - asked["chance"].clip(upper=1.0)
        by_hull = spared.groupby(asked["hull_id"])
        chance = 1.0 - by_hull.prod()
        return chance.where(by_hull.count() == by_hull.size()).rename("chance")


def chances_of(session: Connection, found: UsesInTime) -> Chances:
    """Ask the neighbours of every use whose record is missing.

    Parameters
    ----------
    session : Connection
        Line to a store.
    found : UsesInTime
        Uses in time.

    Returns
    -------
    Chances
        A use carries it with the chance that its neighbours tell, or, out of order, with
        the share of what lay in the store that day. A drum's chance is that of its lot
        times that of the drum among the drums of the lot.
    """
    uses, streams = _asked(session, found)
    if found.within is not None:
        learned = None if found.drums is None else _in_streams(session, found.drums)[0].memory
        inner, _ = _asked(session, found.within, learned)
        lot = uses.set_index("key")["chance"].reindex(inner["key"]).to_numpy()
        uses = inner.assign(chance=inner["chance"] * np.where(np.isnan(lot), 1.0, lot))
    uses = uses[uses["hull_id"].notna()].astype({"hull_id": "int64"})
    return Chances(uses.reset_index(drop=True), found.parts, streams)


def _in_streams(session: Connection, found: UsesInTime) -> tuple[Streams, Spans]:
    spans = spans_in_stock(session, found)
    at = found.table["at"].to_numpy(np.float64)
    usual = spans.there(at[found.table["known"].to_numpy(bool)])
    others = max(1.0, float(usual.mean()) - 1.0) if len(usual) else 1.0
    return sort_into_streams(at, found.values, found.attributes, others=others), spans


def _asked(
    session: Connection, found: UsesInTime, learned: Memory | None = None
) -> tuple[pd.DataFrame, Streams]:
    """Chance of every use whose record is missing, and the streams they stand in."""
    streams, spans = _in_streams(session, found)
    if learned is not None:
        streams = replace(streams, memory=learned)
    known = found.table["known"].to_numpy(bool)
    at = found.table["at"].to_numpy(np.float64)
    carries = found.carries()[streams.order]
    told = np.full(len(at), np.nan)
    told[streams.order] = chances(streams.uses, carries, streams.memory.keep)
    columns = ["key", "hull_id", "at", "part", "step", "quantity"]
    own = found.table.assign(chance=told)[~known]
    placed = _placed(found, streams, carries)
    uses = pd.concat([own[[*columns, "chance"]], placed[[*columns, "chance"]]], ignore_index=True)
    uses["chance"] = _with_strays(uses["chance"], uses["at"], spans, found.carrying, streams)
    spread = uses["key"] < 0  # one use, its time in doubt
    mean = uses[spread].groupby("key")["chance"].mean()
    once = uses[spread].drop_duplicates("key")
    return pd.concat(
        [uses[~spread], once.assign(chance=once["key"].map(mean))], ignore_index=True
    ), streams


def _with_strays(
    told: pd.Series, at: pd.Series, spans: Spans, carrying: Bools, streams: Streams
) -> Floats:
    """Mix in what a use out of order may have carried, where the stock of the day is known."""
    when, by_order = at.to_numpy(np.float64), told.to_numpy(np.float64)
    there, mine = spans.there(when), spans.there(when, carrying)
    share = np.where(there > 0, mine / np.maximum(there, 1), by_order)
    stray = streams.memory.stray
    result: Floats = (1.0 - stray) * by_order + stray * share
    return result


def _placed(found: UsesInTime, streams: Streams, carries: Bools) -> pd.DataFrame:
    """Uses without a record of their own, asked at the times at which they may have been.

    What an attribute that is not known would tell is averaged over the streams in which it
    may have been, by their numbers of records.
    """
    placed = found.placed
    if not len(placed):
        return found.table.head(0).assign(chance=np.nan)
    recorded = np.bincount(streams.uses.stream, streams.uses.recorded, minlength=len(streams.cells))
    names = [name for name in streams.names if name in placed]
    chance = np.full(len(placed), np.nan)
    cells = placed[names].astype("object").fillna("").apply(tuple, axis=1)
    own = streams.cells[names].astype("object").fillna("").apply(tuple, axis=1)
    for cell in cells.unique():
        fits = own == cell
        place = np.flatnonzero(cells == cell)
        times = placed["at"].to_numpy(np.float64)[place]
        total, weight = np.zeros(len(place)), 0.0
        for stream in np.flatnonzero(fits.to_numpy() & (recorded > 0)):
            told = chances_at(streams.uses, carries, streams.memory.keep, int(stream), times)
            total, weight = total + recorded[stream] * told, weight + recorded[stream]
        chance[place] = total / weight if weight else np.nan
    key = -1 - pd.factorize(placed["hull_id"].astype(str) + placed["part"] + placed["step"])[0]
    return placed.assign(key=key, quantity=np.nan, chance=chance)
