"""What the records before and after a missing one say of it.

Things are used up in order: what the uses before and after a use carried, it probably
carried too. With the nearest record on either side, a missing record k places after the
last use of one lot and before the first use of the next, g records missing, was on the
first lot with chance ``1 - k / (g + 1)``. Where drums of two lots are open side by side
more neighbours must be asked; how many is learned from the records that are there, each
hidden in turn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.signal import lfilter

from tracegraph.stats.arrays import Bools, Floats, Ints

Bytes = npt.NDArray[np.int8]

MEMORIES: tuple[float, ...] = (0.0, 0.2, 0.35, 0.5, 0.6, 0.7, 0.8, 0.9)
"""Shares of weight kept from each neighbour to the next one out that are tried."""

PRIOR_OUT, PRIOR_IN = 1.0, 9.0
"""Beta prior of a use out of order, before anything was seen."""

_FAINT = 0.05  # a neighbour of less weight than this counts as out of reach
_LONGEST = 40


@dataclass(frozen=True, eq=False)
class Uses:
    """Uses of one kind of thing, in streams that are each used up in order.

    Parameters
    ----------
    stream : array of int, shape (n,)
        Stream of each use, ascending.
    time : array of float, shape (n,)
        When; ascending within a stream. Uses of one time are in no known order.
    values : array of int, shape (n, k)
        What each carried, as codes from 0; -1 fills the places left over. A use of which
        nothing was written down has only -1.

    Raises
    ------
    ValueError
        If the uses are not in order.
    """

    stream: Ints
    time: Floats
    values: Ints

    def __post_init__(self) -> None:
        later = (self.stream[1:] == self.stream[:-1]) & (self.time[1:] < self.time[:-1])
        if (np.diff(self.stream) < 0).any() or later.any():
            raise ValueError("Uses must be given stream by stream, each in the order of time.")

    def __len__(self) -> int:
        return len(self.stream)

    @property
    def recorded(self) -> Bools:
        """Uses of which something was written down, shape (n,)."""
        return np.asarray((self.values >= 0).any(axis=1))


@dataclass(frozen=True)
class Memory:
    """How far the neighbours of a use are asked, and how often they are wrong.

    Parameters
    ----------
    keep : float
        Weight of each neighbour relative to the one nearer to the use; 0: the nearest
        record on either side decides alone.
    out, in_order : int
        Uses between two recorded ones that carried nothing that a neighbour in reach
        carried, and the others.
    score : float
        Log probability of the records, each hidden in turn.
    """

    keep: float
    out: int
    in_order: int
    score: float

    @property
    def stray(self) -> float:
        """Chance that a use is out of order: mean of a Beta law."""
        return (PRIOR_OUT + self.out) / (PRIOR_OUT + PRIOR_IN + self.out + self.in_order)

    @property
    def reach(self) -> int:
        """Neighbours on either side whose weight counts."""
        return _reach(self.keep)


def learn_memory(
    uses: Uses, others: float | None = None, *, tried: Sequence[float] = MEMORIES
) -> Memory:
    """Learn how many neighbours to ask, by hiding each record in turn.

    Parameters
    ----------
    uses : Uses
        The records.
    others : float, optional
        Number of things that a use out of order may have carried; all that were ever
        recorded when left out.
    tried : sequence of float
        Memories to choose from, shortest first.

    Returns
    -------
    Memory
        The memory that gives the records the highest probability.

    Examples
    --------
    Two lots in perfect order: the nearest neighbours tell most.

    >>> lots = np.repeat([0, 1], 20)[:, None]
    >>> learn_memory(Uses(np.zeros(40, np.int64), np.arange(40.0), lots)).keep
    0.0
    """
    before, after, share_before = _matches(uses, _reach(max(tried)))
    between = _between_recorded(uses)
    if others is None:
        others = len(np.unique(uses.values[uses.values >= 0])) - 1.0
    learned: list[Memory] = []
    for keep in tried:
        chance = share_before * _weighted(before, keep)
        chance = chance + (1.0 - share_before) * _weighted(after, keep)
        near = (before[:, : _reach(keep)] == 1) | (after[:, : _reach(keep)] == 1)
        found = near.any(axis=1)[between]
        out = int(np.count_nonzero(~found))
        stray = Memory(keep, out, len(found) - out, 0.0).stray
        score = float(np.log((1.0 - stray) * chance + stray / max(others, 1.0)).sum())
        learned.append(Memory(keep, out, len(found) - out, score))
    return max(learned, key=lambda memory: (round(memory.score, 6), -memory.keep))


def chances(uses: Uses, carries: Bools, keep: float) -> Floats:
    """Chance that each use carried something, by what its neighbours carried.

    Parameters
    ----------
    uses : Uses
        The uses.
    carries : array of bool, shape (n,)
        Recorded uses that carried it.
    keep : float
        From :class:`Memory`.

    Returns
    -------
    array of float, shape (n,)
        A use does not speak for itself. Of uses at one time all orders are equally
        likely. nan in a stream without another record.

    Examples
    --------
    Three records missing between the last use of a lot and the first of the next:

    >>> lot = np.array([[0], [-1], [-1], [-1], [1]])
    >>> uses = Uses(np.zeros(5, np.int64), np.arange(5.0), lot)
    >>> chances(uses, lot[:, 0] == 0, keep=0.0)[1:4]
    array([0.75, 0.5 , 0.25])
    """
    result = np.full(len(uses), np.nan)
    for rows in _streams(uses):
        result[rows] = _in_one_stream(uses, rows, carries, keep)
    return result


def chances_at(uses: Uses, carries: Bools, keep: float, stream: int, times: Floats) -> Floats:
    """Chance that a use at some other times would have carried something.

    Parameters
    ----------
    uses, carries, keep
        As in :func:`chances`.
    stream : int
        Stream of the use.
    times : array of float, shape (t,)
        When it may have been.

    Returns
    -------
    array of float, shape (t,)
        nan where the stream has no record.
    """
    first, last = np.searchsorted(uses.stream, [stream, stream + 1])
    when = np.asarray(times, np.float64)
    if first == last:
        return np.full(len(when), np.nan)
    found = _Days.of(uses, slice(int(first), int(last)), carries)
    low = np.searchsorted(found.time, when, side="left")
    high = np.searchsorted(found.time, when, side="right")
    day = np.minimum(low, len(found.time) - 1)
    same = high > low
    before = np.concatenate([[0], np.cumsum(found.size)])[low]
    return found.ask(
        low,
        high,
        others=np.where(same, found.known[day], 0.0),
        carried=np.where(same, found.with_it[day], 0.0),
        middle=before + np.where(same, found.size[day] / 2.0, 0.0),
        moved=1.0,
        keep=keep,
    )


def _reach(keep: float) -> int:
    if keep <= 0.0:
        return 1
    return min(_LONGEST, 1 + int(np.floor(np.log(_FAINT) / np.log(keep))))


def _streams(uses: Uses) -> list[slice]:
    if not len(uses):
        return []
    starts = np.flatnonzero(np.r_[True, np.diff(uses.stream) != 0]).tolist()
    return [slice(a, b) for a, b in zip(starts, [*starts[1:], len(uses)], strict=True)]


@dataclass(frozen=True, eq=False)
class _Days:
    """Uses of one stream, counted by the times at which they were; one entry per time."""

    time: Floats
    size: Floats
    known: Floats
    with_it: Floats
    of_use: Ints

    @classmethod
    def of(cls, uses: Uses, rows: slice, carries: Bools) -> _Days:
        time, recorded = uses.time[rows], uses.recorded[rows]
        new = np.r_[True, np.diff(time) > 0.0]
        day = np.cumsum(new) - 1
        size, known, with_it = (
            np.bincount(day, weights).astype(np.float64)
            for weights in (None, recorded, carries[rows] & recorded)
        )
        return cls(time[new], size, known, with_it, day)

    def ask(
        self,
        low: Ints,
        high: Ints,
        *,
        others: Floats,
        carried: Floats,
        middle: Floats,
        moved: float,
        keep: float,
    ) -> Floats:
        """Chances of uses that stand after the first ``low`` times and before ``high``.

        ``others`` records at the same time, of which ``carried`` carried it, are in no
        known order with the use, whose place is ``middle`` on average; all that comes
        after it moves on by ``moved``.
        """
        start = np.cumsum(self.size) - self.size
        known = self.known > 0.0
        with np.errstate(invalid="ignore", divide="ignore"):
            mean = np.repeat((self.with_it / self.known)[known], self.known[known].astype(int))
            # Where the last recorded use of each time, and the first, stand on average.
            last = np.where(
                known, start + self.known * (self.size + 1) / (self.known + 1) - 1, -np.inf
            )
            first = np.where(known, start + (self.size + 1) / (self.known + 1) - 1, np.inf)
        until = np.concatenate([[0], np.cumsum(self.known)]).astype(np.int64)
        before = _faded(mean, keep, until[low])
        after = _faded(mean[::-1], keep, until[-1] - until[high])
        back = middle - np.concatenate([[-np.inf], np.maximum.accumulate(last)])[low]
        ahead = np.append(np.minimum.accumulate(first[::-1])[::-1], np.inf)[high] + moved - middle
        with np.errstate(invalid="ignore"):
            share = back / (back + ahead)  # of the record after
        share = np.where(others > 0.0, 0.5, share)
        share = np.where(np.isinf(back), 1.0, np.where(np.isinf(ahead), 0.0, share))
        edge = (1.0 - share) * np.nan_to_num(before) + share * np.nan_to_num(after)
        has_edge = np.isfinite(back) | np.isfinite(ahead)
        with np.errstate(invalid="ignore"):
            result: Floats = (carried + has_edge * edge) / (others + has_edge)
        return result


def _in_one_stream(uses: Uses, rows: slice, carries: Bools, keep: float) -> Floats:
    found = _Days.of(uses, rows, carries)
    recorded, day = uses.recorded[rows], found.of_use
    start = np.cumsum(found.size) - found.size
    return found.ask(
        day,
        day + 1,
        others=found.known[day] - recorded,
        carried=found.with_it[day] - (carries[rows] & recorded),
        middle=(start + (found.size - 1) / 2.0)[day],
        moved=0.0,
        keep=keep,
    )


def _faded(mean: Floats, keep: float, count: Ints) -> Floats:
    """Mean of the first so many records, the last weighing most; nan where there is none."""
    if not len(mean):
        return np.full(len(count), np.nan)
    total = lfilter([1.0], [1.0, -keep], mean)
    weight = lfilter([1.0], [1.0, -keep], np.ones(len(mean)))
    result: Floats = np.concatenate([[np.nan], total / weight])[count]
    return result


def _matches(uses: Uses, reach: int) -> tuple[Bytes, Bytes, Floats]:
    """Whether the neighbours of each record carried the same: 1 yes, 0 no, -1 no neighbour."""
    place = np.flatnonzero(uses.recorded)
    stream, values = uses.stream[place], uses.values[place]
    count = len(place)
    before = np.full((count, reach), -1, np.int8)
    for step in range(1, min(reach, count - 1) + 1):
        same = np.zeros(count - step, np.bool_)
        for column in range(values.shape[1]):
            mine = values[step:, column]
            same |= (mine >= 0) & (values[:-step] == mine[:, None]).any(axis=1)
        before[step:, step - 1] = np.where(stream[step:] == stream[:-step], same, -1)
    after = np.full((count, reach), -1, np.int8)
    for step in range(1, min(reach, count - 1) + 1):
        after[:-step, step - 1] = before[step:, step - 1]
    back = np.where(before[:, :1].ravel() >= 0, np.diff(place, prepend=place[:1]), np.inf)
    ahead = np.where(after[:, :1].ravel() >= 0, np.diff(place, append=place[-1:]), np.inf)
    with np.errstate(invalid="ignore"):
        share = ahead / (back + ahead)
    share = np.where(np.isinf(back), 0.0, np.where(np.isinf(ahead), 1.0, share))
    return before, after, share


def _weighted(match: Bytes, keep: float) -> Floats:
    weight = np.array([keep**step for step in range(match.shape[1])])
    total = (match >= 0) @ weight
    with np.errstate(invalid="ignore"):
        return np.where(total > 0.0, ((match == 1) @ weight) / total, 0.0)


def _between_recorded(uses: Uses) -> Bools:
    """Which records stand directly between two records of their stream."""
    recorded, stream = uses.recorded, uses.stream
    inner = np.zeros(len(uses), np.bool_)
    inner[1:-1] = (
        recorded[:-2] & recorded[2:] & (stream[:-2] == stream[1:-1]) & (stream[2:] == stream[1:-1])
    )
    result: Bools = inner[recorded]
    return result
