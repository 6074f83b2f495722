"""What the records before and after a missing one say of it.

Things are used up in order: what the uses before and after a use carried, it probably
carried too. With the nearest record on either side, a missing record k places after the
last use of one lot and before the first use of the next, g records missing, was on the
first lot with chance ``1 - k / (g + 1)``. Where drums of two lots are open side by side
more neighbours must be asked; how many is learned from the records that are there, each
hidden in turn.
"""

from __future__ import annotations

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


def learn_memory(uses: Uses, others: float | None = None) -> Memory:
    """Learn how many neighbours to ask, by hiding each record in turn.

    Parameters
    ----------
    uses : Uses
        The records.
    others : float, optional
        Number of things that a use out of order may have carried; all that were ever
        recorded when left out.

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
    before, after, share_before = _matches(uses)
    between = _between_recorded(uses)
    if others is None:
        others = len(np.unique(uses.values[uses.values >= 0])) - 1.0
    tried: list[Memory] = []
    for keep in MEMORIES:
        chance = share_before * _weighted(before, keep)
        chance = chance + (1.0 - share_before) * _weighted(after, keep)
        near = (before[:, : _reach(keep)] == 1) | (after[:, : _reach(keep)] == 1)
        found = near.any(axis=1)[between]
        out = int(np.count_nonzero(~found))
        stray = Memory(keep, out, len(found) - out, 0.0).stray
        score = float(np.log((1.0 - stray) * chance + stray / max(others, 1.0)).sum())
        tried.append(Memory(keep, out, len(found) - out, score))
    return max(tried, key=lambda memory: (round(memory.score, 6), -memory.keep))


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
    own_time, own_values = uses.time[first:last], uses.values[first:last]
    place = np.searchsorted(own_time, times)
    nothing = np.full((len(times), uses.values.shape[1]), -1)
    # Each time is asked on its own: the others must not stand between it and its neighbours.
    answers = np.empty(len(times))
    for number, (at, time) in enumerate(zip(place, times, strict=True)):
        one = Uses(
            np.zeros(len(own_time) + 1, np.int64),
            np.insert(own_time, at, time),
            np.insert(own_values, at, nothing[number], axis=0),
        )
        own = np.insert(carries[first:last], at, False)
        answers[number] = _in_one_stream(one, slice(0, len(one)), own, keep)[at]
    return answers


def _reach(keep: float) -> int:
    if keep <= 0.0:
        return 1
    return min(_LONGEST, 1 + int(np.floor(np.log(_FAINT) / np.log(keep))))


def _streams(uses: Uses) -> list[slice]:
    if not len(uses):
        return []
    starts = np.flatnonzero(np.r_[True, np.diff(uses.stream) != 0]).tolist()
    return [slice(a, b) for a, b in zip(starts, [*starts[1:], len(uses)], strict=True)]


def _in_one_stream(uses: Uses, rows: slice, carries: Bools, keep: float) -> Floats:
    time, recorded, carried = uses.time[rows], uses.recorded[rows], carries[rows]
    group = np.cumsum(np.r_[True, np.diff(time) > 0.0]) - 1
    size, known, with_it = (
        np.bincount(group, weights, minlength=int(group[-1]) + 1)
        for weights in (None, recorded, carried & recorded)
    )
    start = np.cumsum(size) - size
    mean = np.repeat(with_it[known > 0] / known[known > 0], known[known > 0].astype(np.int64))
    until = np.cumsum(known).astype(np.int64)
    before = _faded(mean, keep, until - known.astype(np.int64))
    after = _faded(mean[::-1], keep, until[-1] - until)
    # Where the last recorded use before, and the first after, stand on average.
    last = np.where(known > 0, start + known * (size + 1) / (known + 1) - 1, -np.inf)
    first = np.where(known > 0, start + (size + 1) / (known + 1) - 1, np.inf)
    last_before = np.r_[-np.inf, np.maximum.accumulate(last)[:-1]]
    first_after = np.r_[np.minimum.accumulate(first[::-1])[::-1][1:], np.inf]
    middle = start + (size - 1) / 2.0
    others = known[group] - recorded
    with np.errstate(invalid="ignore"):
        share = (middle - last_before) / (first_after - last_before)
    share = np.where(np.isinf(last_before), 1.0, np.where(np.isinf(first_after), 0.0, share))
    share = np.where(
        others > 0, np.where(np.isfinite(before + after)[group], 0.5, share[group]), share[group]
    )
    left, right = np.nan_to_num(before)[group], np.nan_to_num(after)[group]
    edge = (1.0 - share) * left + share * right
    has_edge = (np.isfinite(before) | np.isfinite(after))[group]
    asked = others + has_edge
    with np.errstate(invalid="ignore"):
        result: Floats = (with_it[group] - (carried & recorded) + has_edge * edge) / asked
    return result


def _faded(mean: Floats, keep: float, before: Ints) -> Floats:
    """Mean of the first so many records, the last weighing most; nan where there is none."""
    total = lfilter([1.0], [1.0, -keep], mean) if len(mean) else mean
    weight = lfilter([1.0], [1.0, -keep], np.ones(len(mean))) if len(mean) else mean
    faded = np.concatenate([[np.nan], total / weight])
    result: Floats = faded[before]
    return result


def _matches(uses: Uses) -> tuple[Bytes, Bytes, Floats]:
    """Whether the neighbours of each record carried the same: 1 yes, 0 no, -1 no neighbour."""
    place = np.flatnonzero(uses.recorded)
    stream, values = uses.stream[place], uses.values[place]
    count, reach = len(place), _reach(max(MEMORIES))
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
