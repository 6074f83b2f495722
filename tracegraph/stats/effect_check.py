"""Whether an action worked: claims after it against what was to be expected without it.

The effect before the action is a spread, not a number: a suspect is found because its claims
ran high, and taking the raw ratio at its word makes every action look as if it had worked.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import pdtr, xlogy
from scipy.stats import chi2

from tracegraph.stats.arrays import Floats

PRIOR_SD = 0.5
"""Spread of the log rate ratio that is to be expected of a suspect before its claims."""

ALPHA = 0.05
LEAST_EXPECTED = 3.0
CURED_BELOW = 1.5
EFFECTIVE, IMPROVED, NO_CHANGE, TOO_EARLY = "effective", "improved", "no change", "too early"
VERDICTS = (EFFECTIVE, IMPROVED, NO_CHANGE, TOO_EARLY)
_GRID = np.linspace(-6.0, 6.0, 481)


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
        Observed over expected if cured, and its 95 % upper limit (one-sided, exact).
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


def ratio_spread(
    observed: float, expected: float, *, prior_sd: float = PRIOR_SD
) -> tuple[Floats, Floats]:
    """Spread of a rate ratio, shrunken towards 1.

    Parameters
    ----------
    observed, expected : float
        Cases that carried the suspect before the action, and those expected without effect.
    prior_sd : float
        Spread of the log rate ratio before its claims were seen.

    Returns
    -------
    ratios, weight : array of float, shape (k,)
        Rate ratios and their weights, which add up to 1.
    """
    ratios = np.exp(_GRID)
    log_weight = xlogy(observed, ratios * max(expected, 1e-300)) - ratios * expected
    log_weight -= 0.5 * (_GRID / prior_sd) ** 2
    weight = np.exp(log_weight - log_weight.max())
    return ratios, weight / weight.sum()


def judge_effect(
    observed_before: int,
    expected_before: float,
    observed_after: int,
    base_carrying: float,
    base_other: float = 0.0,
    *,
    looks: int = 1,
    prior_sd: float = PRIOR_SD,
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
    looks : int
        Looks that were planned; the chance of a false "effective" is shared out among them.
    prior_sd : float
        See :func:`ratio_spread`.

    Returns
    -------
    EffectVerdict
        ``too early`` below 3 expected cases, and while the cases agree with both.

    References
    ----------
    .. [1] J. A. Hanley and A. Lippman-Hand, JAMA 249:1743-1745, 1983 (rule of three).
    .. [2] F. Garwood, Biometrika 28:437-442, 1936 (exact Poisson limits).

    Examples
    --------
    >>> judge_effect(40, 4.0, 0, 2.5).verdict
    'effective'
    >>> judge_effect(40, 4.0, 0, 0.2).verdict
    'too early'
    >>> judge_effect(40, 4.0, 9, 1.0).verdict
    'no change'
    """
    ratios, weight = ratio_spread(observed_before, expected_before, prior_sd=prior_sd)
    means = ratios * base_carrying + base_other
    unchanged = float(weight @ means)
    cured = base_carrying + base_other
    p_unchanged = float(weight @ pdtr(observed_after, means))
    p_cured = 1.0 - float(pdtr(observed_after - 1, cured)) if observed_after else 1.0
    high = float(chi2.ppf(0.95, 2 * observed_after + 2)) / 2.0
    after = observed_after / cured if cured > 0.0 else float("nan")
    after_high = high / cured if cured > 0.0 else float("inf")
    fewer = p_unchanged < ALPHA / looks
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
