"""Whether an action worked: claims after it against what was to be expected without it.

The effect before the action is a spread, not a number: a suspect is found because its claims
ran high, and taking the raw ratio at its word makes every action look as if it had worked.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.special import pdtr, xlogy

from tracegraph.stats.arrays import Floats

CAUSE_SD = 1.0
"""Spread of the log rate ratio of a level that does raise or lower claims, before any were seen."""

ALPHA = 0.05
LEAST_EXPECTED = 3.0
CURED_BELOW = 1.5
EFFECTIVE, IMPROVED, NO_CHANGE, TOO_EARLY = "effective", "improved", "no change", "too early"
VERDICTS = (EFFECTIVE, IMPROVED, NO_CHANGE, TOO_EARLY)
_GRID = np.linspace(-6.0, 6.0, 481)
_NO_EFFECT = int(np.flatnonzero(np.isclose(_GRID, 0.0))[0])


@dataclass(frozen=True)
class EffectVerdict:
    """The verdict and what it rests on.

    Attributes
    ----------
    verdict : str
        ``effective``, ``improved``, ``no change`` or ``too early``.
    observed : int
        Cases after the action.
    expected_if_unchanged, expected_if_cured : float
        Cases to be expected had nothing changed, and at the rate of hulls without the suspect.
    ratio_before : float
        Shrunken rate ratio before the action (mean of its spread).
    ratio_after, ratio_after_high : float
        Observed over expected if cured, and its 95 % upper limit (one-sided, mid-p).
    p_unchanged : float
        Chance of so few cases or fewer had nothing changed.
    p_cured : float
        Chance of so many or more at the rate without the suspect.
    """

    verdict: str
    observed: int
    expected_if_unchanged: float
    expected_if_cured: float
    ratio_before: float
    ratio_after: float
    ratio_after_high: float
    p_unchanged: float
    p_cured: float


def ratio_spread(observed: float, expected: float, levels: int) -> tuple[Floats, Floats]:
    """Spread of a rate ratio, shrunken towards 1.

    Parameters
    ----------
    observed, expected : float
        Cases that carried the suspect before the action, and those expected without effect.
    levels : int
        Levels of the suspect's family, of which it was picked out by its claims.

    Returns
    -------
    ratios, weight : array of float, shape (k,)
        Rate ratios and their weights, which add up to 1.

    Notes
    -----
    Before its claims were seen, a level had one chance in ``levels`` to be the one that
    makes a difference: log-normal with :data:`CAUSE_SD`; else its ratio was 1. So a suspect
    that only chance has raised is drawn all the way to 1, and a strong one hardly at all.
    """
    ratios = np.exp(_GRID)
    prior = np.exp(-0.5 * (_GRID / CAUSE_SD) ** 2)
    prior /= prior.sum() * levels
    prior[_NO_EFFECT] += 1.0 - 1.0 / levels
    log_weight = xlogy(observed, ratios * max(expected, 1e-300)) - ratios * expected
    weight = np.exp(log_weight - log_weight.max()) * prior
    return ratios, weight / weight.sum()


def highest_mean(observed: int) -> float:
    """Upper 95 % limit of a Poisson mean, one-sided, mid-p.

    Parameters
    ----------
    observed : int
        The count.

    References
    ----------
    .. [1] H. O. Lancaster, Journal of the American Statistical Association 56:223-234, 1961
       (mid-p; from memory).

    Examples
    --------
    >>> round(highest_mean(0), 3)
    2.303
    """

    def beyond(mean: float) -> float:
        fewer = float(pdtr(observed - 1, mean)) if observed else 0.0
        return 0.5 * (fewer + float(pdtr(observed, mean))) - ALPHA

    return float(brentq(beyond, observed, 3.0 * observed + 10.0))


def judge_effect(
    observed_before: int,
    expected_before: float,
    observed_after: int,
    base_carrying: float,
    base_other: float = 0.0,
    *,
    levels: int,
    looks: int = 1,
) -> EffectVerdict:
    """Set the cases after an action against both expectations.

    Parameters
    ----------
    observed_before : int
        Cases among hulls that carried the suspect before the action.
    expected_before : float
        Cases expected among them at the rate of hulls without it.
    observed_after : int
        Cases among hulls built under the action.
    base_carrying, base_other : float
        Cases expected among these at the rate without the suspect: the part that would
        have carried the suspect, and the rest.
    levels : int
        See :func:`ratio_spread`.
    looks : int
        Looks that were planned; the chance of a false "effective" is shared out among them.

    Returns
    -------
    EffectVerdict
        ``too early`` below 3 expected cases, while the cases agree with both, and where the
        suspect's ratio before the action may have been 1 after all (5 % or more).

    References
    ----------
    .. [1] J. A. Hanley and A. Lippman-Hand, JAMA 249:1743-1745, 1983 (rule of three).

    Examples
    --------
    >>> judge_effect(40, 4.0, 0, 2.5, levels=12).verdict
    'effective'
    >>> judge_effect(40, 4.0, 0, 0.2, levels=12).verdict
    'too early'
    >>> judge_effect(40, 4.0, 9, 1.0, levels=12).verdict
    'no change'
    """
    ratios, weight = ratio_spread(observed_before, expected_before, levels)
    means = ratios * base_carrying + base_other
    unchanged = float(weight @ means)
    cured = base_carrying + base_other
    p_unchanged = float(weight @ pdtr(observed_after, means))
    p_cured = 1.0 - float(pdtr(observed_after - 1, cured)) if observed_after else 1.0
    high = highest_mean(observed_after)
    after = observed_after / cured if cured > 0.0 else float("nan")
    after_high = high / cured if cured > 0.0 else float("inf")
    # Where chance may have raised the suspect there is nothing that could have been cured.
    raised = float(weight[: _NO_EFFECT + 1].sum()) < ALPHA
    fewer = raised and p_unchanged < ALPHA / looks
    if unchanged < LEAST_EXPECTED:
        verdict = TOO_EARLY
    elif fewer:
        verdict = EFFECTIVE if after_high < CURED_BELOW else IMPROVED
    else:
        verdict = NO_CHANGE if p_cured < ALPHA else TOO_EARLY
    return EffectVerdict(
        verdict, observed_after, unchanged, cured, float(weight @ ratios), after, after_high,
        p_unchanged, p_cured,
    )  # fmt: skip
