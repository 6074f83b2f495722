"""Lots, drums and blends: first in, first out, with overlap at every change-over."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracegraph.synthetic.supplies import Supply
from tracegraph.synthetic.workdays import Minutes, day_of

Texts = NDArray[np.object_]
LOT_SPREAD = 0.35  # standard deviation of the logarithm of lot sizes
MIX_DRUMS = 0.35  # how far out of order uses may fall, in drums


@dataclass(frozen=True)
class Draw:
    """What each use was drawn from.

    Attributes
    ----------
    lot_no, drum_no : ndarray of str
        One entry per use; drums are blank for loose material.
    """

    lot_no: Texts
    drum_no: Texts


@dataclass(frozen=True)
class Batches:
    """What was mixed in the shop, in order of time.

    Attributes
    ----------
    names : ndarray of str
        Batch numbers.
    opened : ndarray of int64
        Clock minutes at which each was made.
    """

    names: Texts
    opened: Minutes

    def in_use(self, time: Minutes) -> Texts:
        """Batch open at each of some clock minutes."""
        found: Texts = self.names[np.maximum(np.searchsorted(self.opened, time, "right") - 1, 0)]
        return found


@dataclass
class Stockroom:
    """Every lot ever received and every blend mixed, filled as uses are drawn.

    Attributes
    ----------
    lots : list of DataFrame
        Rows of the ``lots`` table.
    blends : list of DataFrame
        Rows of the ``blends`` table.
    """

    lots: list[pd.DataFrame] = field(default_factory=list)
    blends: list[pd.DataFrame] = field(default_factory=list)

    def draw(
        self, rng: np.random.Generator, supply: Supply, time: Minutes, amount: NDArray[np.float64]
    ) -> Draw:
        """Serve uses of a material in order of time from lots bought for them.

        Parameters
        ----------
        rng : Generator
            Source of chance.
        supply : Supply
            How the material is bought.
        time : ndarray of int64
            Clock minutes of the uses, in any order.
        amount : ndarray of float
            Quantity of each use, in the supply's unit.

        Returns
        -------
        Draw
            Lot and drum of each use, in the order given.
        """
        order = np.argsort(time, kind="stable")
        need = np.cumsum(amount[order])
        edges = _lot_edges(rng, supply, float(need[-1]))
        jitter = MIX_DRUMS * (supply.drum or supply.lot * 0.08)
        spot = need - amount[order] / 2 + rng.standard_normal(need.size) * jitter
        spot = np.clip(np.round(spot, 3), 0, edges[-1] - 0.01)
        lot = np.searchsorted(edges, spot, side="right") - 1
        names = _lot_names(rng, supply, edges.size - 1)
        lot_no = np.empty(need.size, dtype=object)
        drum_no = np.full(need.size, "", dtype=object)
        lot_no[order] = names[lot]
        if supply.drum:
            drum = ((spot - edges[lot]) // supply.drum).astype(np.int64) + 1
            drum_no[order] = np.array([f"D{k:02d}" for k in range(100)], dtype=object)[drum]
        self._receive(rng, supply, names, edges, lot, time[order], amount[order])
        return Draw(lot_no, drum_no)

    def _receive(
        self,
        rng: np.random.Generator,
        supply: Supply,
        names: Texts,
        edges: NDArray[np.float64],
        lot: NDArray[np.int64],
        time: Minutes,
        amount: NDArray[np.float64],
    ) -> None:
        """Write the receipts that the uses imply."""
        count = names.size
        first = np.full(count, np.iinfo(np.int64).max)
        np.minimum.at(first, lot, day_of(time))
        used = np.bincount(lot, weights=np.round(amount, 1), minlength=count)
        bought = first < np.iinfo(np.int64).max  # an unlucky jitter can skip a tiny lot
        received_on = first - rng.integers(4, 18, count)
        made_on = received_on - rng.integers(9, 35, count)
        size = np.maximum(np.diff(edges), used)
        last = np.zeros(count, dtype=bool)
        last[lot.max()] = True
        left = np.round(size - used, 1)
        on_hand = np.where(last, left, 0.0)
        supplier = np.array(supply.suppliers, dtype=object)[
            (rng.random(count) * len(supply.suppliers)).astype(np.int64)
        ]
        frame = pd.DataFrame(
            {
                "material": supply.material,
                "lot_no": names,
                "supplier": supplier,
                "made_on": made_on,
                "received_on": received_on,
                "expires_on": made_on + supply.life_days,
                "received_qty": np.round(size, 1),
                "on_hand_qty": on_hand,
                "scrapped_qty": np.where(last, 0.0, left),
                "unit": supply.unit,
            }
        )
        self.lots.append(frame[bought])

    def blended(
        self,
        material: str,
        lot_no: Texts,
        parent_material: str,
        parent_lot_no: Texts,
        share: NDArray[np.float64],
    ) -> None:
        """Write down what went into blends; shares of one parent named twice are added."""
        frame = pd.DataFrame(
            {
                "material": material,
                "lot_no": lot_no,
                "parent_material": parent_material,
                "parent_lot_no": parent_lot_no,
                "share": share,
            }
        )
        keys = ["material", "lot_no", "parent_material", "parent_lot_no"]
        shares = frame[frame["share"] > 0].groupby(keys, sort=True)["share"].sum()
        self.blends.append(shares.round(2).reset_index())


def batches(
    prefix: str, size: float, time: Minutes, amount: NDArray[np.float64]
) -> tuple[Draw, Batches]:
    """Serve uses, in order of time, from batches of one size made when the last runs out.

    Parameters
    ----------
    prefix : str
        How the batch numbers begin.
    size : float
        Content of a batch.
    time : ndarray of int64
        Clock minutes of the uses, in any order.
    amount : ndarray of float
        Quantity of each use.

    Returns
    -------
    Draw
        Batch of each use, in the order given.
    Batches
        The batches made.
    """
    order = np.argsort(time, kind="stable")
    number = ((np.cumsum(amount[order]) - amount[order] / 2) // size).astype(np.int64)
    count = int(number[-1]) + 1
    opened = np.full(count, np.iinfo(np.int64).max)
    np.minimum.at(opened, number, time[order])
    opened = np.minimum.accumulate(opened[::-1])[::-1] - 45
    names = np.array([f"{prefix}-{k + 1:04d}" for k in range(count)], dtype=object)
    lot_no = np.empty(order.size, dtype=object)
    lot_no[order] = names[number]
    return Draw(lot_no, np.full(order.size, "", dtype=object)), Batches(names, opened)


def _lot_edges(rng: np.random.Generator, supply: Supply, need: float) -> NDArray[np.float64]:
    """Running total at which each lot begins, and where the last ends."""
    middle = min(supply.lot, need / 5)
    enough = int(need / middle * 2) + 8
    size = middle * np.exp(LOT_SPREAD * rng.standard_normal(enough))
    step = supply.drum or 1.0
    size = np.maximum(np.round(size / step), 1) * step
    edges = np.concatenate([[0.0], np.cumsum(size)])
    return edges[: int(np.searchsorted(edges, need + step)) + 1]


def _lot_names(rng: np.random.Generator, supply: Supply, count: int) -> Texts:
    """Lot numbers that rise with gaps, as a supplier's own count does."""
    number = 2100 + np.cumsum(rng.integers(3, 29, count))
    return np.array([f"{supply.prefix}-{k}" for k in number], dtype=object)
