"""Molds: which part comes from which, pull by pull, and when they are waxed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracegraph.synthetic.stock import Texts
from tracegraph.synthetic.yard import MODELS, PART_LETTER

WAX_EVERY = (6, 10)  # pulls, fewest and most


@dataclass(frozen=True)
class Service:
    """A mold waxed or repaired between two pulls.

    Attributes
    ----------
    mold_no, event : str
        Mold, and "waxed" or "repaired".
    at : int
        Clock minutes.
    pulls : int
        Pulls so far, since the records began.
    """

    mold_no: str
    event: str
    at: int
    pulls: int


def waxed_before(
    rng: np.random.Generator, mold: NDArray[np.int64], pull: NDArray[np.int64], molds: int
) -> NDArray[np.bool_]:
    """Parts before which their mold was waxed: every few pulls, counted mold by mold."""
    rounds = int(pull.max(initial=0)) + 1
    gaps = rng.integers(WAX_EVERY[0], WAX_EVERY[1] + 1, (molds, rounds))
    due = np.zeros((molds, rounds * WAX_EVERY[1] + 1), dtype=bool)
    np.put_along_axis(due, np.cumsum(gaps, axis=1), True, axis=1)
    flags: NDArray[np.bool_] = due[mold, pull]
    return flags


def since_service(
    mold: NDArray[np.int64], pull: NDArray[np.int64], serviced: NDArray[np.bool_]
) -> NDArray[np.int64]:
    """Pulls since the last service, this one included; since pull 1 before the first.

    >>> pull, waxed = np.array([1, 2, 3, 4]), np.array([False, False, True, False])
    >>> since_service(np.zeros(4, int), pull, waxed).tolist()
    [1, 2, 1, 2]
    """
    order = np.lexsort((pull, mold))
    begins = serviced[order] | (pull[order] == 1)
    place = np.arange(order.size)
    last = np.maximum.accumulate(np.where(begins, place, 0))
    since = np.empty_like(pull)
    since[order] = place - last + 1
    return since


def share_out(
    rng: np.random.Generator, part: str, model: NDArray[np.int64], times: int
) -> tuple[NDArray[np.int64], NDArray[np.int64], Texts]:
    """Give each part a mold of its model, all molds of a model in turn but in shuffled rounds.

    Returns
    -------
    mold, pull : ndarray of int
        Index of the mold, and the pull's number since the records began (from 1).
    names : ndarray of str
        Mold numbers.
    """
    mold = np.zeros(model.size, dtype=np.int64)
    pull = np.zeros(model.size, dtype=np.int64)
    names: list[str] = []
    for index, kind in enumerate(MODELS):
        mine = np.flatnonzero(model == index)
        count = kind.molds[part] * times
        rounds = -(-mine.size // count) if mine.size else 0
        turn = np.argsort(rng.random((rounds, count)), axis=1).reshape(-1)[: mine.size]
        mold[mine] = len(names) + turn
        pull[mine] = np.arange(mine.size) // count + 1
        letter = PART_LETTER[part]
        names += [f"{kind.name}-{letter}{k + 1}" for k in range(count)]
    return mold, pull, np.array(names, dtype=object)
