"""A yard as one of several plants: the same numbers as the others, and claims of its own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tracegraph.synthetic.build import Built
from tracegraph.synthetic.chance import Chance
from tracegraph.synthetic.yard import MAKER_CODE


def of_plant(built: Built, plant: str) -> Built:
    """The same yard in a plant of that name.

    Parameters
    ----------
    built : Built
        A yard.
    plant : str
        Name of the plant.

    Returns
    -------
    Built
        Every number is as it was, so that it collides with those of the other plants of the
        same seed; so are the lots, which the same suppliers sold to all of them. Claims fall
        otherwise, and hull identification numbers bear the plant's letter.
    """
    code = MAKER_CODE[:2] + next(filter(str.isalpha, plant.upper()), "P")
    hins = np.array([code + hin[len(code) :] for hin in built.hulls.hin], dtype=object)
    return replace(
        built,
        chance=Chance(built.chance.seed, plant),
        hulls=replace(built.hulls, hin=hins),
    )
