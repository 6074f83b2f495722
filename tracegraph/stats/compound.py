"""Sums of a drawn number of amounts, each like those seen so far."""

from __future__ import annotations

import numpy as np

from tracegraph.stats.arrays import Floats, Ints


def compound_sums(numbers: Ints, amounts: Floats, rng: np.random.Generator) -> Floats:
    """Draw sums: so many amounts each, from a spread of amounts that is itself uncertain.

    Parameters
    ----------
    numbers : array of int, shape (d,)
        How many amounts each draw adds up.
    amounts : array of float, shape (n,)
        Amounts seen.
    rng : Generator
        Source of chance.

    Returns
    -------
    array of float, shape (d,)
        Each draw weighs the amounts seen by the Bayesian bootstrap [1]_ and adds up as many
        as its number says.

    Raises
    ------
    ValueError
        If no amount was seen.

    References
    ----------
    .. [1] D. B. Rubin, Annals of Statistics 9:130-134, 1981.

    Examples
    --------
    >>> compound_sums(np.array([0, 3]), np.array([2.0]), np.random.default_rng(0)).tolist()
    [0.0, 6.0]
    """
    if not len(amounts):
        raise ValueError("No amount was seen, so that no sum can be foreseen.")
    weights = rng.dirichlet(np.ones(len(amounts)), size=len(numbers))
    counted = rng.multinomial(numbers, weights)
    sums: Floats = counted @ amounts
    return sums
