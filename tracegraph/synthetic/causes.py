"""What a planted cause is: an entry of the answer key, and the failures behind it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracegraph.synthetic.build import SAMPLE_SIZE, Built
from tracegraph.synthetic.stock import Texts
from tracegraph.synthetic.weather import Values


@dataclass(frozen=True)
class KeyEntry:
    """One entry of the answer key.

    Attributes
    ----------
    symptom : str
        Symptom word.
    role : str
        "planted", "decoy" or "nothing".
    causes : tuple of (str, str or None)
        Family and level; no level where the level is a band that the reader draws.
    note : str
        What was done, in one or two sentences.
    """

    symptom: str
    role: str
    causes: tuple[tuple[str, str | None], ...]
    note: str


@dataclass(frozen=True)
class Planted:
    """A key entry and its failures.

    Attributes
    ----------
    entry : KeyEntry
        What the key says.
    exposed : ndarray of bool
        Hulls that carry the cause.
    extra : ndarray of float
        Chance of each hull to fail of it some day; zero for a decoy.
    age : tuple of float
        First age, scale and shape of a Weibull law, in months in service.
    zone : str
        Where it shows; "" for any zone of the symptom.
    letter_on : str
        Day on which the yard wrote to the owners of exposed hulls; "" for never.
    """

    entry: KeyEntry
    exposed: NDArray[np.bool_]
    extra: Values
    age: tuple[float, float, float] = (0, 1, 1)
    zone: str = ""
    letter_on: str = ""


Cause = Callable[[Built], Planted]


def innocent(
    built: Built,
    role: str,
    symptom: str,
    causes: tuple[tuple[str, str | None], ...],
    note: str,
    exposed: NDArray[np.bool_] | None = None,
) -> Planted:
    """An entry that makes nothing fail: a decoy, or a symptom without a cause."""
    nobody = np.zeros(built.count, dtype=bool)
    entry = KeyEntry(symptom, role, causes, note)
    return Planted(entry, nobody if exposed is None else exposed, np.zeros(built.count))


def nothing(symptom: str, note: str) -> Cause:
    """A symptom without a cause."""

    def cause(built: Built) -> Planted:
        return innocent(built, "nothing", symptom, (), note)

    return cause


def pick(
    built: Built, hull: NDArray[np.int64], level: Texts, at: float, low: float, high: float
) -> str:
    """Level with about a wanted number of hulls about a wanted place in the sequence.

    Parameters
    ----------
    built : Built
        The yard.
    hull, level : ndarray
        Pairs of hull and level.
    at : float
        Wanted place of the level's middle hull, from 0 (first built) to 1 (last built).
    low, high : float
        Wanted number of hulls; fewer in a yard smaller than the sample's.

    Returns
    -------
    str
        The level that misses least: a tenth of the sequence counts as much as three tenths
        of the wanted number.
    """
    small = min(built.count / SAMPLE_SIZE, 1.0)
    names, which, counts = np.unique(level.astype(str), return_inverse=True, return_counts=True)
    order = np.lexsort((hull, which))
    first = np.concatenate([[0], np.cumsum(counts)[:-1]])
    middle = hull[order][first + counts // 2] / built.count
    off = np.maximum(low * small - counts, 0) + np.maximum(counts - high * small, 0)
    miss = off / (small * (low + high) / 2) + 3 * np.abs(middle - at)
    return str(names[np.argmin(np.round(miss, 9))])
