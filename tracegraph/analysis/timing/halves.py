"""Whether an excess sits early in service, late, or throughout."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.stats import binom

from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.poisson_binomial import CaseCounts

FEW = "few"
EARLY = "early"
LATE = "late"
THROUGHOUT = "throughout"
FEWER = "fewer"
NO_DIFFERENCE = "no difference"

MEANINGS: dict[str, str] = {
    FEW: "too few exposed cases to tell early from late",
    EARLY: "the excess comes early and then stops: a fault that shows in first use",
    LATE: "the excess grows with age: wear or degradation",
    THROUGHOUT: "the excess is as large early as late",
    FEWER: "exposed hulls fail less often",
    NO_DIFFERENCE: "exposed hulls fail about as often as others",
}
"""Each code in words."""

FEWEST_CASES = 4
LEVEL = 0.05


@dataclass(frozen=True, eq=False)
class Halves:
    """Exposed cases in the early and the late half of the cases, by age.

    Parameters
    ----------
    split : int
        Last month of the early half: the median age of all cases.
    last : int
        Last month with a case.
    cases, observed : array of int, shape (2,)
        Cases in each half; exposed ones.
    expected : array of float, shape (2,)
        Exposed cases expected when exposure does not matter.
    ratio, low, high : array of float, shape (2,)
        Rate ratio in each half with mid-p limits; nan where it cannot be estimated.
    p_value : float
        Exact chance of so uneven a split under one common rate ratio.
    reading : str
        A key of ``MEANINGS``.
    """

    split: int
    last: int
    cases: Ints
    observed: Ints
    expected: Floats
    ratio: Floats
    low: Floats
    high: Floats
    p_value: float
    reading: str


def compare_halves(age: Ints, case: Bools, exposed: Bools) -> Halves:
    """Split the cases at their median age and compare the excess of both halves.

    Parameters
    ----------
    age : array of int, shape (n,)
        Month of the first claim, else of the end of follow-up.
    case : array of bool, shape (n,)
        Which hulls had a claim.
    exposed : array of bool, shape (n,)
        Which hulls carry the level.

    Returns
    -------
    Halves
        Each case against the hulls at risk at its age.

    Examples
    --------
    Four exposed hulls fail at once, four others late.

    >>> age = np.array([1, 1, 2, 2, 20, 20, 21, 21] + [30] * 12)
    >>> case = np.arange(20) < 8
    >>> exposed = np.isin(np.arange(20), [0, 1, 2, 3, 8, 9, 10, 11])
    >>> halves = compare_halves(age, case, exposed)
    >>> halves.observed, halves.reading
    (array([4, 0]), 'early')
    """
    months = np.unique(age[case])
    if not len(months):
        nothing = np.zeros(2, np.int64)
        gap = np.full(2, np.nan)
        return Halves(0, 0, nothing, nothing, np.zeros(2), gap, gap, gap, 1.0, FEW)
    at_risk = len(age) - np.searchsorted(np.sort(age), months, side="left")
    with_level = int(exposed.sum()) - np.searchsorted(np.sort(age[exposed]), months, side="left")
    chance = with_level / at_risk
    split = int(np.quantile(age[case], 0.5, method="lower"))
    split = min(split, int(months[-2])) if len(months) > 1 else split
    late = months > split
    cases = np.bincount(np.searchsorted(months, age[case]), minlength=len(months))
    hits = np.bincount(np.searchsorted(months, age[case & exposed]), minlength=len(months))
    by_half = np.array([np.where(late, 0, cases), np.where(late, cases, 0)])
    observed = np.array([hits[~late].sum(), hits[late].sum()])
    counts = CaseCounts(observed, np.broadcast_to(chance, by_half.shape), by_half)
    ratios = counts.rate_ratios()
    p_value, earlier = _uneven(chance, by_half, observed)
    return Halves(
        split=split,
        last=int(months[-1]),
        cases=by_half.sum(axis=1),
        observed=observed,
        expected=counts.expected,
        ratio=ratios.ratio,
        low=ratios.mid_p_low,
        high=ratios.mid_p_high,
        p_value=p_value,
        reading=_read(observed, chance, cases, p_value, earlier),
    )


def _read(observed: Ints, chance: Floats, cases: Ints, p_value: float, earlier: bool) -> str:
    whole = CaseCounts(observed.sum(keepdims=True), chance[None, :], cases[None, :])
    exposed, expected = int(whole.observed[0]), float(whole.expected[0])
    if max(exposed, expected) < FEWEST_CASES:
        return FEW
    different = float(whole.tests().mid_p[0]) <= LEVEL
    if different and exposed < expected:
        return FEWER
    if p_value <= LEVEL:
        return EARLY if earlier else LATE
    return THROUGHOUT if different else NO_DIFFERENCE


def _uneven(chance: Floats, by_half: Ints, observed: Ints) -> tuple[float, bool]:
    """Exact two-sided p of the early count given both together, and whether it is high.

    Given the total the split does not depend on the common rate ratio: both counts belong
    to one exponential family.
    """
    total = int(observed.sum())
    early, late = (_law(chance, cases) for cases in by_half)
    first = np.arange(max(0, total - len(late) + 1), min(total, len(early) - 1) + 1)
    weight = early[first] * late[total - first]
    if not weight.sum() > 0.0:
        return 1.0, False
    weight = weight / weight.sum()
    own = float(weight[first == observed[0]][0])
    mean = float(weight @ first)
    p_value = float(weight[weight <= own * (1 + 1e-9)].sum())
    return min(1.0, p_value), bool(observed[0] > mean)


def _law(chance: Floats, cases: Ints) -> Floats:
    """Distribution of the number of exposed cases under no effect."""
    law = np.ones(1)
    for share, count in zip(chance.tolist(), cases.tolist(), strict=True):
        if count:
            law = np.convolve(law, binom.pmf(np.arange(count + 1), count, share))
    return law
