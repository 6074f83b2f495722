"""Whether a suspect looks the same within models and half-years as over all of them.

A crude table may show the opposite of what every stratum shows (Simpson's paradox); and a
suspect that matters in one model alone is another finding than one that matters in all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.confounding.folding import scored
from tracegraph.analysis.matched.population import ExposureMatrix, Population
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.contingency import TableArrays
from tracegraph.stats.odds_ratio import odds_ratios
from tracegraph.stats.stratified import (
    CommonOddsRatios,
    Homogeneity,
    common_odds_ratios,
    homogeneity,
)

APART = 1.5
"""Factor between crude and matched ratio from which the table is said to mislead."""


@dataclass(frozen=True, eq=False)
class Forest:
    """The suspect within each stratum; every array has one entry per stratum.

    Parameters
    ----------
    code : array of int
        Code of the stratum in its margin.
    observed : array of int
        Cases that carry the suspect.
    expected : array of float
        Expected ones, each case against hulls of its own stratum.
    ratio, low, high : array of float
        Rate ratio with mid-p 95 % limits; nan where no case can go either way.
    """

    code: Ints
    observed: Ints
    expected: Floats
    ratio: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True)
class Crude:
    """The plain landmark table of a suspect beside the matched rate ratio.

    Attributes
    ----------
    odds_ratio : float
        Of the whole table (conditional maximum likelihood).
    rate_ratio : float
        Of the time-matched method.
    common : CommonOddsRatios
        Mantel-Haenszel over the strata.
    same : Homogeneity
        Whether the strata agree (Breslow-Day with Tarone's adjustment).
    """

    odds_ratio: float
    rate_ratio: float
    common: CommonOddsRatios
    same: Homogeneity

    @property
    def misleading(self) -> bool:
        """Whether crude and matched ratio lie far apart or on different sides of 1."""
        one, other = self.odds_ratio, self.rate_ratio
        if not (np.isfinite(one) and np.isfinite(other)) or min(one, other) <= 0.0:
            return False
        sides = (one - 1.0) * (other - 1.0) < 0.0
        return bool(sides or max(one / other, other / one) > APART)


def forest(population: Population, exposure: ExposureMatrix, level: int, margin: str) -> Forest:
    """Compare each case with hulls of its own stratum only.

    Parameters
    ----------
    population, exposure
        Over the same hulls.
    level : int
        Position of the suspect.
    margin : str
        What makes the strata: ``model`` or ``build period``.

    Returns
    -------
    Forest
        Strata with a case, in order of code.
    """
    codes = population.margins[margin]
    rows = []
    for code in np.unique(codes[population.case]):
        inside = codes == code
        found = scored(population.among(inside), exposure, (), np.array([level])).effects
        ratios = found.ratios
        rows.append(
            (
                int(code),
                int(found.counts.observed[0]),
                float(found.expected[0]),
                float(ratios.ratio[0]),
                float(ratios.mid_p_low[0]),
                float(ratios.mid_p_high[0]),
            )
        )
    columns = list(zip(*rows, strict=True)) if rows else [()] * 6
    return Forest(
        np.array(columns[0], np.int64),
        np.array(columns[1], np.int64),
        *(np.array(column, np.float64) for column in columns[2:]),
    )


def crude_and_matched(
    population: Population,
    exposure: ExposureMatrix,
    level: int,
    margins: tuple[str, ...],
    rate_ratio: float,
    landmark: int,
) -> Crude:
    """Set the plain landmark table beside the matched rate ratio.

    Parameters
    ----------
    population, exposure
        Over the same hulls.
    level : int
        Position of the suspect.
    margins : tuple of str
        What makes the strata of the Mantel-Haenszel table.
    rate_ratio : float
        Of the time-matched method.
    landmark : int
        Month in service at which the table is drawn.

    Returns
    -------
    Crude
        Hulls followed to the landmark, of which it is known whether they carry the level.
    """
    stratum = np.zeros(len(population), np.int64)
    for name in margins:
        codes = population.margins[name]
        stratum = stratum * (int(codes.max(initial=0)) + 1) + codes
    whole = landmark_tables(population, exposure, level, np.zeros_like(stratum), landmark)
    strata = landmark_tables(population, exposure, level, stratum, landmark)
    return Crude(
        odds_ratio=float(odds_ratios(whole).conditional[0]),
        rate_ratio=rate_ratio,
        common=common_odds_ratios(strata),
        same=homogeneity(strata),
    )


def landmark_tables(
    population: Population,
    exposure: ExposureMatrix,
    level: int,
    stratum: Ints,
    landmark: int,
    *,
    among: Bools | None = None,
) -> TableArrays:
    """Draw the plain table of a level at a landmark, one for each stratum.

    Parameters
    ----------
    population, exposure
        Over the same hulls.
    level : int
        Position of the level.
    stratum : array of int, shape (h,)
        Stratum of each hull.
    landmark : int
        Month in service.
    among : array of bool, shape (h,), optional
        Hulls that take part; all when left out.

    Returns
    -------
    TableArrays
        Hulls followed to the landmark, of which it is known whether they carry the level,
        by stratum in ascending order.
    """
    _, place = np.unique(stratum, return_inverse=True)
    size = int(place.max(initial=0)) + 1
    followed = (population.follow_months >= landmark) & exposure.known(level)
    if among is not None:
        followed &= among
    case = population.case & (population.exit_month <= landmark)
    carried = exposure.carries(level)

    def count(marked: Bools) -> Ints:
        return np.bincount(place[marked], minlength=size).astype(np.int64)

    return TableArrays.from_margins(
        exposed_cases=count(followed & case & carried),
        exposed=count(followed & carried),
        cases=count(followed & case),
        total=count(followed),
    )
