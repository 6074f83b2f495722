"""Weibull law of the age at the first failure, from counts by age."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tracegraph.stats.arrays import Floats

SHAPES: Floats = np.geomspace(0.2, 8.0, 201)
"""Shapes that are tried."""


@dataclass(frozen=True, eq=False)
class WeibullFit:
    """Likelihood of each shape, with the scale that suits it best.

    Attributes
    ----------
    shape, scale : float
        Maximum likelihood estimates; below 1 failures come early, above 1 they come with
        wear. The scale is in the unit of age.
    scales : array of float, shape (s,)
        Best scale at each of :data:`SHAPES`.
    log_likelihood : array of float, shape (s,)
        Up to a constant.
    failures : float
        Failures counted.
    """

    shape: float
    scale: float
    scales: Floats
    log_likelihood: Floats
    failures: float

    def cumulative(self, age: ArrayLike) -> Floats:
        """Cumulative hazard at some ages, ``(age / scale) ** shape``."""
        return cumulative_hazard(age, self.shape, self.scale)


def cumulative_hazard(age: ArrayLike, shape: ArrayLike, scale: ArrayLike) -> Floats:
    """Cumulative hazard of a Weibull law.

    Examples
    --------
    >>> round(float(cumulative_hazard(20.0, 2.0, 10.0)), 1)
    4.0
    """
    ages = np.maximum(np.asarray(age, np.float64), 0.0)
    result: Floats = (ages / np.asarray(scale)) ** np.asarray(shape)
    return result


def fit_weibull(edges: ArrayLike, failures: ArrayLike, at_risk: ArrayLike) -> WeibullFit:
    """Fit a Weibull law to failures counted between ages.

    Parameters
    ----------
    edges : array of float, shape (k + 1,)
        Ages between which failures were counted, ascending from 0 or more.
    failures : array of float, shape (k,)
        Failures in each interval.
    at_risk : array of float, shape (k,)
        Units at risk in each interval, weighted if they differ.

    Returns
    -------
    WeibullFit
        Failures are taken as Poisson with the hazard gained over the interval times the
        units at risk.

    Raises
    ------
    ValueError
        If there is no failure, or no unit at risk where one failed.

    References
    ----------
    .. [1] J. F. Lawless, Statistical Models and Methods for Lifetime Data, 1982, ch. 4.

    Examples
    --------
    A constant hazard of 0.02 a month, seen to month 30:

    >>> fit = fit_weibull(range(31), [20.0] * 30, [1000.0] * 30)
    >>> round(fit.shape, 2), round(1 / fit.scale, 3)
    (1.0, 0.02)
    """
    ages, count, risk = (np.asarray(x, np.float64) for x in (edges, failures, at_risk))
    if count.sum() <= 0.0 or (risk[count > 0.0] <= 0.0).any():
        raise ValueError("A Weibull law needs at least one failure, each among units at risk.")
    shapes = np.append(SHAPES, 1.0)
    for _ in range(2):  # once on the grid, once more with the best point between the grid's
        gained = np.diff(ages[None, :] ** shapes[:, None], axis=1)  # times scale ** -shape
        mass = gained @ risk
        rate = count.sum() / mass
        expected = rate[:, None] * gained * risk
        with np.errstate(divide="ignore", invalid="ignore"):
            terms = np.where(count > 0.0, count * np.log(expected), 0.0)
        log_likelihood = terms.sum(axis=1) - expected.sum(axis=1)
        grid = log_likelihood[:-1]
        shapes[-1] = _peak(np.log(SHAPES), grid)
    scales = rate ** (-1.0 / shapes)
    return WeibullFit(
        float(shapes[-1]), float(scales[-1]), scales[:-1], log_likelihood[:-1], float(count.sum())
    )


def _peak(x: Floats, y: Floats) -> float:
    """Top of the parabola through the highest point and its neighbours, on the log scale."""
    top = int(np.clip(np.argmax(y), 1, len(y) - 2))
    left, middle, right = y[top - 1 : top + 2]
    bend = left - 2.0 * middle + right
    move = 0.5 * (left - right) / bend if bend < 0.0 else 0.0
    return float(np.exp(x[top] + np.clip(move, -1.0, 1.0) * (x[1] - x[0])))
