"""Two suspects side by side: what each explains, and what it still explains given the other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.confounding.cells import FourCells, four_cells
from tracegraph.analysis.confounding.discriminating import Discriminating, discriminating_hulls
from tracegraph.analysis.confounding.folding import Conditional, given, scored
from tracegraph.analysis.confounding.stages import Place, may_allow_for
from tracegraph.analysis.confounding.strata import landmark_tables
from tracegraph.analysis.matched.search import Search
from tracegraph.stats.arrays import Ints
from tracegraph.stats.stratified import (
    CommonOddsRatios,
    Homogeneity,
    common_odds_ratios,
    homogeneity,
)


@dataclass(frozen=True, eq=False)
class Pairwise:
    """Everything that helps to tell two suspects apart.

    Attributes
    ----------
    cells : FourCells
        Hulls with both, the first only, the second only, neither.
    jaccard, phi : float
        Likeness of their hulls: share in common of either, and correlation.
    first_given_second, second_given_first : Conditional or None
        What one explains when the other is set aside; None where the other is a reading
        taken later and may be a consequence.
    common : CommonOddsRatios
        Mantel-Haenszel odds ratio of the first with the second as stratum, on the plain
        landmark table.
    same : Homogeneity
        Whether that odds ratio is the same with and without the second.
    apart : Discriminating
        Hulls on which they disagree.
    """

    cells: FourCells
    jaccard: float
    phi: float
    first_given_second: Conditional | None
    second_given_first: Conditional | None
    common: CommonOddsRatios
    same: Homogeneity
    apart: Discriminating


def side_by_side(
    found: Search,
    margins: tuple[str, ...],
    first: int,
    second: int,
    landmark: int,
    places: tuple[Place, Place] | None = None,
) -> Pairwise:
    """Set two suspects side by side.

    Parameters
    ----------
    found : Search
        A search over both.
    margins : tuple of str
        Differences that the baseline allows for.
    first, second : int
        Positions of the levels.
    landmark : int
        Month in service at which the plain table is drawn.
    places : tuple of Place, optional
        Where each stands in the order of building; without it neither is taken for a
        consequence of the other.

    Returns
    -------
    Pairwise
        Hulls of which both answers are known.
    """
    sets = found.sets
    population, exposure = sets.population, sets.exposure
    cells = four_cells(sets, found.baseline.weight, first, second)
    alone = scored(population, exposure, margins, np.array([first, second])).effects
    ratios = (float(alone.ratios.ratio[0]), float(alone.ratios.ratio[1]))
    tables = landmark_tables(
        population,
        exposure,
        first,
        exposure.carries(second).astype(np.int64),
        landmark,
        among=exposure.known(second),
    )

    def conditional(asked: int, other: int, forward: bool) -> Conditional | None:
        if places is not None:
            suspect, rival = places if forward else places[::-1]
            if not may_allow_for(suspect, rival):
                return None
        return given(population, exposure, margins, other, np.array([asked]))

    return Pairwise(
        cells=cells,
        jaccard=_jaccard(cells.hulls),
        phi=_phi(cells.hulls),
        first_given_second=conditional(first, second, True),
        second_given_first=conditional(second, first, False),
        common=common_odds_ratios(tables),
        same=homogeneity(tables),
        apart=discriminating_hulls(sets, found.baseline.weight, first, second, ratios),
    )


def _jaccard(hulls: Ints) -> float:
    either = int(hulls[:3].sum())
    return float(hulls[0]) / either if either else 0.0


def _phi(hulls: Ints) -> float:
    both, first, second, neither = (float(count) for count in hulls)
    product = (both + first) * (second + neither) * (both + second) * (first + neither)
    return (both * neither - first * second) / product**0.5 if product > 0.0 else float("nan")
