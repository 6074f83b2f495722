"""Baseline differences between models and between build periods, shrunken towards none.

Every hull expects claims in proportion to a weight: the product of one factor for each
margin (its model, its build period) and a steady change over the build periods. The
factors have gamma priors of mean 1 whose
spread comes from the data, so that a margin without real differences is left alone. A
real cause would be taken for a difference between models if it were not allowed for:
:func:`fit_with_level` estimates the weights jointly with the rate ratio of one level.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.special import gammaln

from tracegraph.analysis.matched.population import Population
from tracegraph.stats.arrays import Floats, Ints

PERIOD = "build period"
"""Margin whose codes are in order of time; a steady change over it is allowed for as well."""

ROUNDS = 3
"""Rounds of hazard and weights; the third changes weights by less than a per cent."""

SWEEPS = 5
"""Passes over the margins in each round."""

SLOPE_SPREAD = 2.0
"""Prior spread of the log rate ratio of the last build period to the first."""

SHAPES = np.array([1e-3, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0, 256.0, 1e5])
"""Gamma shapes tried for the spread of a margin; the variance of a factor is 1/shape. The
first is for causes set aside, whose factors are practically not shrunken."""

_CELLS = 2**22


@dataclass(frozen=True, eq=False)
class Margins:
    """Differences between groups that weights may have.

    Parameters
    ----------
    codes : tuple of array of int, shape (g,)
        For each margin, the code of each group.
    trend : array of float, shape (g,)
        Place of each group in the time of building; all 0 without one.
    free : tuple of bool
        For each margin, whether its factors are taken as they are, not shrunken.
    """

    codes: tuple[Ints, ...]
    trend: Floats
    free: tuple[bool, ...]

    @cached_property
    def has_trend(self) -> bool:
        """Whether groups differ in time."""
        return bool(np.ptp(self.trend) > 0.0)


@dataclass(frozen=True, eq=False)
class RiskGroups:
    """Hulls with one weight, counted by the risk sets in which they were.

    Parameters
    ----------
    group : array of int, shape (h,)
        Group of each hull: one for each combination of margins.
    codes : tuple of array of int, shape (g,)
        For each margin, the code of each group.
    at_risk : array of float, shape (g, m)
        Hulls of each group in the risk set of each case month.
    cases : array of float, shape (g,)
        Cases of each group.
    cases_in_month : array of float, shape (m,)
        Cases of each case month.
    trend : array of float, shape (g,)
        Place of each group in the time of building, from -0.5 to 0.5; all 0 without one.
    free : tuple of bool
        For each margin, whether its factors are not shrunken.
    """

    group: Ints
    codes: tuple[Ints, ...]
    at_risk: Floats
    cases: Floats
    cases_in_month: Floats
    trend: Floats
    free: tuple[bool, ...]

    @classmethod
    def of(cls, population: Population, margins: tuple[str, ...]) -> RiskGroups:
        """Count the hulls of a population by the named margins."""
        joined = np.zeros(len(population), np.int64)
        for name in margins:
            codes = population.margins[name]
            joined = joined * (int(codes.max(initial=0)) + 1) + codes
        found, group = np.unique(joined, return_inverse=True)
        first = np.zeros(len(found), np.int64)
        first[group] = np.arange(len(group))
        joined_sets = population.sets_joined
        months = len(population.months)
        risk = population.at_risk
        counts = np.bincount(
            group[risk] * (months + 1) + joined_sets[risk], minlength=len(found) * (months + 1)
        ).reshape(len(found), months + 1)
        cases = population.cases
        return cls(
            group=group.astype(np.int64),
            codes=tuple(population.margins[name][first] for name in margins),
            at_risk=after(counts.astype(np.float64)),
            cases=np.bincount(group[cases], minlength=len(found)).astype(np.float64),
            cases_in_month=np.bincount(joined_sets[cases], minlength=months + 1)[1:].astype(
                np.float64
            ),
            trend=_place(population.margins[PERIOD][first])
            if PERIOD in margins
            else np.zeros(len(found)),
            free=tuple(name in population.free for name in margins),
        )

    @cached_property
    def margins(self) -> Margins:
        """What the weights are estimated from."""
        return Margins(self.codes, self.trend, self.free)

    def hazard(self, weight: Floats) -> Floats:
        """Cumulative baseline rate at unit weight after 0, 1, … risk sets, shape (m + 1,)."""
        steps = self.cases_in_month / (weight @ self.at_risk)
        return np.concatenate([[0.0], np.cumsum(steps)])


def _place(codes: Ints) -> Floats:
    """Codes in order of time, spread from -0.5 to 0.5."""
    span = max(int(codes.max(initial=0)), 1)
    return codes / span - 0.5


def after(counts: Floats) -> Floats:
    """Turn counts by number of risk sets joined, 0 to m, into counts in each risk set.

    Examples
    --------
    >>> after(np.array([[5.0, 2.0, 1.0]]))
    array([[3., 1.]])
    """
    result: Floats = np.cumsum(counts[..., :0:-1], axis=-1)[..., ::-1]
    return result


@dataclass(frozen=True, eq=False)
class Offsets:
    """Weights of the groups without any cause.

    Parameters
    ----------
    weight : array of float, shape (g,)
        Expected claims relative to a hull without differences.
    factors : tuple of array of float
        For each margin, the shrunken factor of each code, the trend left out.
    shapes : tuple of float
        For each margin, the gamma shape; large: no spread.
    slope : float
        Change of the log rate from the first to the last build period.
    """

    weight: Floats
    factors: tuple[Floats, ...]
    shapes: tuple[float, ...]
    slope: float


def fit_offsets(groups: RiskGroups) -> Offsets:
    """Estimate the weights of groups under no cause.

    Parameters
    ----------
    groups : RiskGroups
        The hulls.

    Returns
    -------
    Offsets
        Posterior means, each margin given the others; all ones without cases.

    References
    ----------
    .. [1] D. Clayton and J. Kaldor, Biometrics 43:671-681, 1987 (gamma-Poisson shrinkage
       with the spread by marginal likelihood; from memory).
    """
    weight = np.ones(len(groups.cases))
    if not groups.codes or not groups.cases.any():
        ones = tuple(np.ones(int(codes.max(initial=0)) + 1) for codes in groups.codes)
        return Offsets(weight, ones, tuple(float(SHAPES[-1]) for _ in ones), 0.0)
    nobody = np.zeros((1, len(weight)))
    for _ in range(ROUNDS):
        per_unit = groups.at_risk @ np.diff(groups.hazard(weight))
        fit = _fit_block(
            groups.margins, per_unit[None], nobody, groups.cases[None], np.ones((1, 1))
        )
        weight = fit.weight[0, 0]
    return Offsets(
        weight,
        tuple(factor[0, 0] for factor in fit.factors),
        tuple(float(shape[0, 0]) for shape in fit.shapes),
        float(fit.slope[0, 0]),
    )


@dataclass(frozen=True, eq=False)
class JointFit:
    """Weights estimated jointly with one level at given rate ratios.

    Parameters
    ----------
    log_share : array of float, shape (n, r)
        What the groups of the cases and the priors add to the log marginal likelihood;
        the risk sets at ``weight`` add the rest.
    weight : array of float, shape (n, r, g)
        Weights of the groups.
    """

    log_share: Floats
    weight: Floats


def fit_with_level(
    margins: Margins,
    known: Floats,
    exposed: Floats,
    cases: Floats,
    ratios: Floats,
) -> JointFit:
    """Estimate weights jointly with one level, for many levels at once.

    Parameters
    ----------
    margins : Margins
        What the weights are estimated from.
    known : array of float, shape (n, g)
        Claims that the hulls of each group would expect at unit weight and no effect, of
        those of which it is known whether they carry the level.
    exposed : array of float, shape (n, g)
        The part of ``known`` that belongs to the hulls carrying the level.
    cases : array of float, shape (n, g)
        Cases among the known hulls.
    ratios : array of float, shape (r,) or (n, r)
        Rate ratios at which to fit.

    Returns
    -------
    JointFit
        Mean-field approximation: each margin has independent gamma posteriors given the
        others, and the evidence is its lower bound.
    """
    every = np.broadcast_to(ratios, (len(exposed), np.shape(ratios)[-1]))
    size = max(1, _CELLS // (every.shape[1] * exposed.shape[1]))
    share = np.empty(every.shape)
    weight = np.empty((*every.shape, exposed.shape[1]))
    for start in range(0, len(exposed), size):
        rows = slice(start, start + size)
        fit = _fit_block(margins, known[rows], exposed[rows], cases[rows], every[rows])
        share[rows], weight[rows] = fit.bound, fit.weight
    return JointFit(share, weight)


@dataclass(frozen=True, eq=False)
class _Fit:
    bound: Floats
    weight: Floats
    factors: list[Floats]
    shapes: list[Floats]
    slope: Floats


def _fit_block(
    margins: Margins, known: Floats, exposed: Floats, cases: Floats, ratios: Floats
) -> _Fit:
    """Share of groups and priors in the evidence, (n, r), and weights, (n, r, g)."""
    base = known[:, None, :] + (ratios[:, :, None] - 1.0) * exposed[:, None, :]
    total = cases.sum(axis=1)[:, None]
    indicators = [np.eye(int(code.max()) + 1)[code] for code in margins.codes]
    by_code = [cases @ indicator for indicator in indicators]
    tables = [_shape_table(count) for count in by_code]
    factors = [np.ones((*ratios.shape, indicator.shape[1])) for indicator in indicators]
    shapes = [np.zeros(ratios.shape) for _ in indicators]
    bounds = [np.zeros(ratios.shape) for _ in indicators]
    slope, weight = np.zeros(ratios.shape), np.ones(base.shape)
    bend = np.zeros(ratios.shape)
    leaning = (cases @ margins.trend)[:, None]
    for _ in range(SWEEPS if len(indicators) + margins.has_trend > 1 else 2):
        if margins.has_trend:
            mean = weight * base
            mean *= (total / mean.sum(axis=2))[:, :, None]
            centre = mean @ margins.trend
            bend = mean @ margins.trend**2 - centre**2 / total
            step = (leaning - centre - slope / SLOPE_SPREAD**2) / (bend + SLOPE_SPREAD**-2)
            step = np.clip(step, -1.0, 1.0)
            slope = slope + step
            weight = weight * np.exp(step[:, :, None] * margins.trend)
        for margin, indicator in enumerate(indicators):
            scale = total / (weight * base).sum(axis=2)
            others = weight / factors[margin][:, :, margins.codes[margin]]
            expected = (others * base) @ indicator * scale[:, :, None]
            shape, bounds[margin] = _best_shape(
                tables[margin], by_code[margin], expected, margins.free[margin]
            )
            factor = (by_code[margin][:, None, :] + shape[:, :, None]) / (
                expected + shape[:, :, None]
            )
            bounds[margin] = bounds[margin] + (factor * expected).sum(axis=2)
            factors[margin], shapes[margin] = factor, shape
            weight = others * factor[:, :, margins.codes[margin]]
    bound = np.sum(bounds, axis=0)
    bound += slope * leaning - 0.5 * (slope / SLOPE_SPREAD) ** 2
    bound -= 0.5 * np.log1p(bend * SLOPE_SPREAD**2)
    return _Fit(bound, weight, factors, shapes, slope)


def _best_shape(
    table: Floats, cases: Floats, expected: Floats, free: bool
) -> tuple[Floats, Floats]:
    """Gamma shape of highest marginal likelihood and its log likelihood, both (n, r)."""
    tried = range(1) if free else range(1, len(SHAPES))
    best = np.full(expected.shape[:2], -np.inf)
    chosen = np.zeros(expected.shape[:2])
    for number in tried:
        shape = SHAPES[number]
        spread = (cases[:, None, :] + shape) * np.log(expected + shape)
        likelihood = (table[:, None, :, number] - spread).sum(axis=2)
        better = likelihood > best
        best, chosen = np.where(better, likelihood, best), np.where(better, shape, chosen)
    return chosen, best


def _shape_table(cases: Floats) -> Floats:
    """Part of the log likelihood that depends on counts and shapes alone, shape (..., s)."""
    result: Floats = gammaln(cases[..., None] + SHAPES) - gammaln(SHAPES) + SHAPES * np.log(SHAPES)
    return result
