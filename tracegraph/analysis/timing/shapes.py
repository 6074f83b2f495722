"""Other shapes that claims may take along the building order: a ramp, or a comb.

All gains are log-likelihoods over one rate everywhere, and so compare with those of
stretches (:mod:`tracegraph.analysis.timing.scan`).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.stats import binom

from tracegraph.analysis.timing.scan import Line, gain
from tracegraph.stats.arrays import Bools, Floats, Ints

LONGEST_SHARE = 0.5
"""A comb's tooth is at most half of its cycle."""

_CLASSES = 400
_SLOPES = np.arange(0.0, 12.01, 0.1)
_RISES = np.geomspace(0.1, 1000.0, 60)


@dataclass(frozen=True)
class RampFit:
    """The best steady change along a row.

    Parameters
    ----------
    growth : float
        Rate at the end of the row over rate at its beginning; above 1 when it rises.
    gain : float
        Log-likelihood gained over one rate everywhere.
    """

    growth: float
    gain: float


class Ramp:
    """Rates that rise or fall steadily from the beginning of a row to its end.

    Both a constant percentage (``exp(b x)``) and a constant amount (``1 + b x``) are
    tried, in either direction, x running from 0 to 1 over the places.

    Parameters
    ----------
    line : Line
        The row.
    """

    def __init__(self, line: Line) -> None:
        self._count = max(1, min(_CLASSES, line.places))
        self._class = np.arange(line.places) * self._count // max(1, line.places)
        x = (np.arange(self._count) + 0.5) / self._count
        steep = _SLOPES[:, None] * x
        along, back = (np.log1p(_RISES[:, None] * way) for way in (x, 1.0 - x))
        self._log_rate = np.concatenate([steep, -steep, along, back])
        self._growth = np.concatenate(
            [np.exp(_SLOPES), np.exp(-_SLOPES), 1.0 + _RISES, 1.0 / (1.0 + _RISES)]
        )
        expected = np.bincount(self._class, np.diff(line.before), self._count)
        self._mean = np.log(np.exp(self._log_rate) @ (expected / max(line.total, 1e-300)))

    def gains(self, samples: Ints) -> Floats:
        """Largest gain of each sample, shape (b,); places of its cases in rows."""
        result: Floats = self._all(samples).max(axis=1)
        return result

    def best(self, places: Ints) -> RampFit:
        """The best ramp of one sample."""
        value = self._all(places[None, :])[0]
        number = int(np.argmax(value))
        return RampFit(float(self._growth[number]), float(value[number]))

    def _all(self, samples: Ints) -> Floats:
        rows, cases = samples.shape
        cell = np.arange(rows)[:, None] * self._count + self._class[samples]
        counts = np.bincount(cell.ravel(), minlength=rows * self._count).astype(np.float64)
        result: Floats = counts.reshape(rows, -1) @ self._log_rate.T - cases * self._mean
        return result


@dataclass(frozen=True, eq=False)
class Fold:
    """The row laid over itself again and again: weekdays, months, pulls since a service.

    Parameters
    ----------
    name : str
        ``weekday``, ``season`` or ``service cycle``.
    labels : tuple of str
        Names of the bins, in order.
    bins : array of int, shape (h,)
        Bin of each hull; -1 where it is not known.
    turn : array of int, shape (h,)
        Which turn of the cycle each hull belongs to.
    closed : bool
        Whether the last bin is followed by the first of the next turn.
    """

    name: str
    labels: tuple[str, ...]
    bins: Ints
    turn: Ints
    closed: bool

    @cached_property
    def starts(self) -> Ints:
        """First bin of every arc, array of int, shape (a,)."""
        return np.array([start for start, _ in self._spans], np.int64)

    @cached_property
    def arcs(self) -> Ints:
        """Runs of neighbouring bins, array of 0 and 1, shape (a, k)."""
        size = len(self.labels)
        rows = np.zeros((len(self._spans), size), np.int64)
        for row, (start, length) in zip(rows, self._spans, strict=True):
            row[(start + np.arange(length)) % size] = 1
        return rows

    def label(self, arc: int) -> str:
        """Name of one arc."""
        start, length = self._spans[arc]
        names = [self.labels[(start + step) % len(self.labels)] for step in range(length)]
        if self.closed and length > 1:
            return f"{names[0]} to {names[-1]}"
        return ", ".join(names)

    @cached_property
    def _spans(self) -> list[tuple[int, int]]:
        size = len(self.labels)
        return [
            (start, length)
            for length in range(1, max(1, int(size * LONGEST_SHARE)) + 1)
            for start in range(size if self.closed else size - length + 1)
        ]


@dataclass(frozen=True)
class Tooth:
    """The run of bins with the most excess.

    Parameters
    ----------
    label : str
        First and last bin.
    observed : int
        Cases in it.
    cases : int
        Cases whose bin is known.
    expected : float
        Expected in it given the cases of each turn.
    gain : float
        Log-likelihood gained over one rate within each turn.
    turns : int
        Turns of the cycle with a case in it.
    p_without_strongest : float
        Chance of as many cases in it once the turn with the most excess is left out; 1
        when no turn is left.
    """

    label: str
    observed: int
    cases: int
    expected: float
    gain: float
    turns: int
    p_without_strongest: float


class Comb:
    """Excess that comes back with every turn of a cycle.

    Within each turn the cases are compared with what the turn's own hulls expect, so that a
    bad year does not accuse the months that it happened to hold.

    Parameters
    ----------
    fold : Fold
        The cycle.
    expected : array of float, shape (h,)
        Claims expected of each hull.
    """

    def __init__(self, fold: Fold, expected: Floats) -> None:
        self.fold = fold
        self._expected = np.where(fold.bins >= 0, expected, 0.0)
        self._turn = np.unique(fold.turn, return_inverse=True)[1].astype(np.int64)
        self._share = self._shares(self._turn)

    def gains(self, samples: Ints) -> Floats:
        """Largest gain of each sample, shape (b,); hulls of its cases in rows."""
        result: Floats = self._all(*self._counts(samples)).max(axis=1)
        return result

    def best(self, hulls: Ints) -> Tooth:
        """The run of bins that gains the most; the first among equals."""
        observed, expected = self._counts(hulls[None, :])
        gains = self._all(observed, expected)[0]
        arc = int(np.argmax(gains))
        inside = self.fold.arcs[arc]
        turns, chance = self._again(hulls, inside.astype(np.bool_), int(self.fold.starts[arc]))
        return Tooth(
            label=self.fold.label(arc),
            observed=int(observed[0] @ inside),
            cases=int(observed.sum()),
            expected=float(expected[0] @ inside),
            gain=float(gains[arc]),
            turns=turns,
            p_without_strongest=chance,
        )

    def _shares(self, turn: Ints) -> Floats:
        """Share of each bin in the claims expected in each turn, shape (t, k)."""
        bins = len(self.fold.labels)
        cell = turn * bins + np.maximum(self.fold.bins, 0)
        mass = np.bincount(cell, self._expected, (int(turn.max(initial=0)) + 1) * bins)
        mass = mass.reshape(-1, bins)
        total = mass.sum(axis=1, keepdims=True)
        result: Floats = np.divide(mass, total, out=np.zeros_like(mass), where=total > 0.0)
        return result

    def _counts(self, samples: Ints) -> tuple[Ints, Floats]:
        """Cases in each bin, and expected there given the cases of each turn, shape (b, k)."""
        rows, bins = len(samples), len(self.fold.labels)
        spare = bins + 1  # hulls of unknown bin fall into the last column
        cell = np.arange(rows)[:, None] * spare + self.fold.bins[samples] % spare
        counts = np.bincount(cell.ravel(), minlength=rows * spare).reshape(rows, spare)
        known = (self.fold.bins >= 0)[samples]
        turn = np.where(known, self._turn[samples], len(self._share))
        shares = np.concatenate([self._share, np.zeros((1, bins))])
        return counts[:, :-1], shares[turn].sum(axis=1)

    def _all(self, observed: Ints, expected: Floats) -> Floats:
        arcs = self.fold.arcs.T
        result: Floats = gain(observed @ arcs, expected @ arcs, observed.sum(axis=1)[:, None])
        return result

    def _again(self, hulls: Ints, tooth: Bools, start: int) -> tuple[int, float]:
        """Turns with a case in the tooth; chance of the cases of all turns but the strongest."""
        bins = self.fold.bins
        turn = self._turn
        if self.fold.closed:  # a tooth across the end of a turn belongs to where it begins
            turn = np.unique(turn - (bins < start), return_inverse=True)[1].astype(np.int64)
        share = self._shares(turn)[:, tooth].sum(axis=1)
        cases = hulls[bins[hulls] >= 0]
        inside = np.bincount(turn[cases], tooth[bins[cases]].astype(float), len(share))
        strongest = int(
            np.argmax(inside - np.bincount(turn[cases], share[turn[cases]], len(share)))
        )
        rest = cases[turn[cases] != strongest]
        turns = int((inside > 0).sum())
        if not len(rest):
            return turns, 1.0
        found = int(tooth[bins[rest]].sum())
        return turns, float(binom.sf(found - 1, len(rest), share[turn[rest]].mean()))
