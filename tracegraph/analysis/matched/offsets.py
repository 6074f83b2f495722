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

import numpy as np
from scipy.special import gammaln

from tracegraph.analysis.matched.groups import Margins
from tracegraph.analysis.matched.groups import RiskGroups as RiskGroups
from tracegraph.stats.arrays import Floats

ROUNDS = 3
"""Rounds of hazard and weights; the third changes weights by less than a per cent."""

SWEEPS = 5
"""Passes over the margins in each round."""

JOINT_SWEEPS = 3
"""Passes with a level let in; they begin at the weights without it."""

SETTLING_SWEEPS = 12
"""Passes that bring the rate ratio of a level along."""

LARGEST = 400.0
"""Rate ratios are kept within this while weights settle."""

SLOPE_SPREAD = 2.0
"""Prior spread of the log rate ratio of the last build period to the first."""

SHAPES = np.array([1e-3, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0, 256.0, 1e5])
"""Gamma shapes tried for the spread of a margin; the variance of a factor is 1/shape. The
first is for causes set aside, whose factors are practically not shrunken."""

_CELLS = 2**17


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
    offsets = None
    for _ in range(ROUNDS):
        per_unit = groups.at_risk @ np.diff(groups.hazard(weight))
        work = _Work.begin(
            groups.margins, per_unit[None], nobody, groups.cases[None], np.ones((1, 1)), offsets
        )
        for _ in range(SWEEPS):
            work.sweep()
        weight = work.weight[0, 0]
        offsets = Offsets(
            weight,
            tuple(factor[0, 0] for factor in work.factors),
            tuple(float(shape[0, 0]) for shape in work.shapes),
            float(work.slope[0, 0]),
        )
    assert offsets is not None
    return offsets


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
    start: Offsets,
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
    start : Offsets
        Weights under no cause.
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
    for begin in range(0, len(exposed), size):
        rows = slice(begin, begin + size)
        work = _Work.begin(margins, known[rows], exposed[rows], cases[rows], every[rows], start)
        for _ in range(JOINT_SWEEPS):
            work.sweep()
        share[rows], weight[rows] = work.bound(), work.weight
    return JointFit(share, weight)


def settle_with_level(
    margins: Margins,
    start: Offsets,
    known: Floats,
    exposed: Floats,
    cases: Floats,
    exposed_cases: Floats,
) -> Floats:
    """Weights at the rate ratio that they and the level agree on, shape (n, g).

    Parameters
    ----------
    margins, start, known, exposed, cases
        As in :func:`fit_with_level`.
    exposed_cases : array of float, shape (n,)
        Cases among the hulls carrying the level.

    Returns
    -------
    array of float, shape (n, g)
        Of the groups, for each level.
    """
    work = _Work.begin(margins, known, exposed, cases, np.ones((len(known), 1)), start)
    others = cases.sum(axis=1) - exposed_cases
    for _ in range(SETTLING_SWEEPS):
        weight = work.weight[:, 0]
        inside = (weight * exposed).sum(axis=1)
        outside = (weight * (known - exposed)).sum(axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = exposed_cases * outside / (inside * others)
        ratio = np.nan_to_num(ratio, nan=1.0, posinf=LARGEST)
        work.set_ratio(known, exposed, np.clip(ratio, 1.0 / LARGEST, LARGEST)[:, None])
        work.sweep()
    result: Floats = work.weight[:, 0]
    return result


@dataclass(eq=False)
class _Work:
    """State of the sweeps over the margins; arrays begin with (n, r)."""

    margins: Margins
    base: Floats
    total: Floats
    indicators: list[Floats]
    by_code: list[Floats]
    tables: list[Floats]
    leaning: Floats
    factors: list[Floats]
    shapes: list[Floats]
    bounds: list[Floats]
    slope: Floats
    bend: Floats
    weight: Floats

    @classmethod
    def begin(
        cls,
        margins: Margins,
        known: Floats,
        exposed: Floats,
        cases: Floats,
        ratios: Floats,
        start: Offsets | None,
    ) -> _Work:
        base = _base(known, exposed, ratios)
        indicators = [np.eye(int(code.max()) + 1)[code] for code in margins.codes]
        by_code = [cases @ indicator for indicator in indicators]
        shape = ratios.shape
        if start is None:
            factors = [np.ones((*shape, indicator.shape[1])) for indicator in indicators]
            slope, weight = np.zeros(shape), np.ones(base.shape)
        else:
            factors = [np.broadcast_to(f, (*shape, len(f))) for f in start.factors]
            slope = np.full(shape, start.slope)
            weight = np.broadcast_to(start.weight, base.shape)
        return cls(
            margins=margins,
            base=base,
            total=cases.sum(axis=1)[:, None],
            indicators=indicators,
            by_code=by_code,
            tables=[_shape_table(count) for count in by_code],
            leaning=(cases @ margins.trend)[:, None],
            factors=factors,
            shapes=[np.zeros(shape) for _ in indicators],
            bounds=[np.zeros(shape) for _ in indicators],
            slope=slope,
            bend=np.zeros(shape),
            weight=weight,
        )

    def set_ratio(self, known: Floats, exposed: Floats, ratios: Floats) -> None:
        """Go on at other rate ratios."""
        self.base = _base(known, exposed, ratios)

    def sweep(self) -> None:
        """Bring the slope and the factors of every margin up to date, one after another."""
        if self.margins.has_trend:
            self._lean()
        for margin, indicator in enumerate(self.indicators):
            scale = self.total / (self.weight * self.base).sum(axis=2)
            code = self.margins.codes[margin]
            others = self.weight / self.factors[margin][:, :, code]
            expected = (others * self.base) @ indicator * scale[:, :, None]
            shape, bound = _best_shape(
                self.tables[margin], self.by_code[margin], expected, self.margins.free[margin]
            )
            factor = (self.by_code[margin][:, None, :] + shape[:, :, None]) / (
                expected + shape[:, :, None]
            )
            self.bounds[margin] = bound + (factor * expected).sum(axis=2)
            self.factors[margin], self.shapes[margin] = factor, shape
            self.weight = others * factor[:, :, code]

    def _lean(self) -> None:
        """One Newton step on the slope."""
        trend = self.margins.trend
        mean = self.weight * self.base
        mean *= (self.total / mean.sum(axis=2))[:, :, None]
        centre = mean @ trend
        self.bend = mean @ trend**2 - centre**2 / self.total
        pull = self.leaning - centre - self.slope / SLOPE_SPREAD**2
        step = np.clip(pull / (self.bend + SLOPE_SPREAD**-2), -1.0, 1.0)
        self.slope = self.slope + step
        self.weight = self.weight * np.exp(step[:, :, None] * trend)

    def bound(self) -> Floats:
        """Share of groups and priors in the evidence, shape (n, r)."""
        result: Floats = np.sum(self.bounds, axis=0)
        result = result + self.slope * self.leaning - 0.5 * (self.slope / SLOPE_SPREAD) ** 2
        return result - 0.5 * np.log1p(self.bend * SLOPE_SPREAD**2)


def _base(known: Floats, exposed: Floats, ratios: Floats) -> Floats:
    """Expected claims of each group at unit weight, shape (n, r, g)."""
    return known[:, None, :] + (ratios[:, :, None] - 1.0) * exposed[:, None, :]


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
