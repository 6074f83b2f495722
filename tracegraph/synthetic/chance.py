"""Where all chance comes from: one seed, a separate stream of numbers for every topic."""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Chance:
    """Random numbers by topic.

    A change in one topic leaves all others as they were.

    Attributes
    ----------
    seed : int
        The one seed.
    plant : str
        Name of the plant; empty where there is one.
    """

    seed: int
    plant: str = ""

    def of(self, topic: str) -> np.random.Generator:
        """Generator of one topic.

        >>> a, b = Chance(1).of("weather"), Chance(1).of("weather")
        >>> bool(a.random() == b.random())
        True
        """
        return np.random.default_rng([self.seed, zlib.crc32((self.plant + topic).encode())])
