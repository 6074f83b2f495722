"""How many more hulls will claim, the suspect's share apart from the usual."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracegraph.analysis.containing.rates import RATIOS, ClaimRates
from tracegraph.domain.errors import DefinitionError
from tracegraph.domain.records import PLACES
from tracegraph.stats.arrays import Floats, Ints
from tracegraph.stats.weibull import SHAPES, WeibullFit, cumulative_hazard, fit_weibull

DRAWS = 2000
POINTS = (0.1, 0.5, 0.9)
FEWEST_FOR_A_LAW = 5
"""With fewer cases no law is fitted, and nothing is said beyond the data."""


@dataclass(frozen=True, eq=False)
class Forecast:
    """Further first claims of the hulls listed.

    Attributes
    ----------
    until_month : int
        Month in service up to which they are counted, for each hull from where it is.
    data_month : int
        Month up to which claims were observed.
    extrapolated : bool
        Whether a Weibull law was carried on beyond the data.
    shape : float or None
        Shape of that law.
    claims : DataFrame
        By row ``total``, ``usual`` (would come without the suspect) and ``excess``:
        ``low``, ``middle``, ``high`` (10, 50 and 90 % points), ``mean``.
    places : DataFrame
        ``place``, ``hulls``, ``usual``, ``excess``: means by where the hulls are.
    hulls : DataFrame
        By hull number: ``usual``, ``excess``: means.
    drawn : array of int
        Further first claims in all, one number a draw.
    """

    until_month: int
    data_month: int
    extrapolated: bool
    shape: float | None
    claims: pd.DataFrame
    places: pd.DataFrame
    hulls: pd.DataFrame
    drawn: Ints


def forecast(
    rates: ClaimRates,
    listed: pd.DataFrame,
    *,
    until_month: int | None = None,
    seed: int = 0,
) -> Forecast:
    """Foresee further first claims by simulation.

    Each draw takes the rate ratio from its likelihood, gives the curve of claims gamma
    noise month by month, draws for each hull in doubt whether it carries the suspect, and
    draws the claims from Poisson laws.

    Parameters
    ----------
    rates : ClaimRates
        Claims so far.
    listed : DataFrame
        By hull number: ``probability``, ``place``, ``follow_months`` (whole months
        followed; null before delivery), ``affected``, ``gone`` (bool). Hulls that have
        claimed or are gone make no further first claim. One that carries nothing that
        can be told counts as carrying it.
    until_month : int, optional
        Month in service up to which claims are counted; where the data end when left out.
    seed : int, default 0
        Same seed, same result.

    Returns
    -------
    Forecast
        Counts with 10, 50 and 90 % points.

    Raises
    ------
    DefinitionError
        If more months are asked for than the data hold and there are too few cases to
        carry a law on, or the month is below 1.
    """
    until = rates.last_month if until_month is None else until_month
    if until < 1:
        raise DefinitionError(
            f"Further claims can be counted up to month 1 or later; got {until}. Name a later one."
        )
    law = _law(rates) if until > rates.last_month else None
    months = np.arange(until + 1)
    rng = np.random.default_rng(seed)
    still = listed[~(listed["affected"] | listed["gone"])]
    follow = still["follow_months"].fillna(-1).to_numpy(np.int64).clip(-1, until)
    weight = rates.weight[rates.place_of(still.index)]
    chance = still["probability"].fillna(1.0).to_numpy(np.float64)
    ratio = rng.choice(RATIOS, DRAWS, p=rates.belief())
    cases = rng.gamma(rates.cases, size=(DRAWS, len(rates.cases)))
    steps = np.stack([rates.steps(r, c) for r, c in zip(ratio, cases, strict=True)])
    each = _by_month(rates, steps, ratio, law, months, rng)
    usual, carried = _drawn_mass(each, follow, weight, chance, rng)
    excess = np.maximum(ratio - 1.0, 0.0) * carried
    spared = np.maximum(1.0 - ratio, 0.0) * carried
    came, more = rng.poisson(np.maximum(usual - spared, 0.0)), rng.poisson(excess)
    middle = rates.usual_ratio
    typical = _by_month(rates, rates.steps(middle)[None, :], np.array([middle]), law, months, None)[
        0
    ]
    gained = _beyond(typical[None, :], follow)[0]
    means = pd.DataFrame(
        {"usual": weight * gained, "excess": weight * gained * chance * max(middle - 1.0, 0.0)},
        index=still.index,
    )
    return Forecast(
        until_month=until,
        data_month=rates.last_month,
        extrapolated=law is not None,
        shape=None if law is None else law.shape,
        claims=_summary({"total": came + more, "usual": came, "excess": more}),
        places=_by_place(still, means),
        hulls=means.reindex(listed.index).fillna(0.0),
        drawn=came + more,
    )


def _law(rates: ClaimRates) -> WeibullFit:
    if rates.cases.sum() < FEWEST_FOR_A_LAW:
        raise DefinitionError(
            f"The records end at month {rates.last_month} in service, and {rates.cases.sum():.0f} "
            f"cases are too few to carry a law beyond it ({FEWEST_FOR_A_LAW} are needed). Ask for "
            "an earlier month."
        )
    mass = rates.without + rates.usual_ratio * rates.with_it
    later = np.arange(1, rates.last_month + 1)
    at = np.searchsorted(rates.months, later)
    # Between months with cases the risk sets shrink from one to the next.
    risk = np.append(mass, 0.0)[np.minimum(at, len(mass))]
    counted = np.zeros(len(later))
    inside = (rates.months >= 1) & (rates.months <= rates.last_month)
    counted[rates.months[inside] - 1] = rates.cases[inside]
    counted[0] += rates.cases[rates.months == 0].sum()
    risk = np.where(counted > 0.0, np.maximum(risk, 1e-9), risk)
    return fit_weibull(np.arange(rates.last_month + 1), counted, risk)


def _by_month(
    rates: ClaimRates,
    steps: Floats,
    ratio: Floats,
    law: WeibullFit | None,
    months: Ints,
    rng: np.random.Generator | None,
) -> Floats:
    """Baseline rate of each month from 0 on, shape (draws, months)."""
    each = np.zeros((len(steps), len(months)))
    inside = rates.months < len(months)
    each[:, rates.months[inside]] = steps[:, inside]
    if law is None:
        return each
    ages = np.arange(rates.last_month, len(months))
    if rng is None:
        shape, scale = np.array([law.shape]), np.array([law.scale])
    else:
        weight = np.exp(law.log_likelihood - law.log_likelihood.max())
        drawn = rng.choice(len(SHAPES), len(steps), p=weight / weight.sum())
        shape = SHAPES[drawn]
        noise = rng.gamma(law.failures, size=len(steps)) / law.failures
        scale = law.scales[drawn] * noise ** (-1.0 / shape)
    mass = rates.without.sum() + rates.usual_ratio * rates.with_it.sum()
    moved = mass / (rates.without.sum() + ratio * rates.with_it.sum())
    beyond = np.diff(cumulative_hazard(ages[None, :], shape[:, None], scale[:, None]), axis=1)
    each[:, rates.last_month + 1 :] = beyond * moved[:, None]
    return each


def _beyond(each: Floats, follow: Ints) -> Floats:
    """Rate gained after the month to which each hull was followed, shape (draws, hulls)."""
    total = np.concatenate([np.zeros((len(each), 1)), np.cumsum(each, axis=1)], axis=1)
    result: Floats = total[:, -1:] - total[:, follow + 1]
    return result


def _drawn_mass(
    each: Floats, follow: Ints, weight: Floats, chance: Floats, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Expected usual claims, and those of the hulls that carry the suspect, per draw."""
    months = np.arange(each.shape[1])

    def expected(hulls: Floats) -> Floats:
        by_follow = np.bincount(follow + 1, hulls, minlength=len(months) + 1)
        result: Floats = each @ np.cumsum(by_follow)[: len(months)]
        return result

    usual, sure = expected(weight), expected(np.where(chance >= 1.0, weight, 0.0))
    doubt = np.flatnonzero((chance > 0.0) & (chance < 1.0))
    for hull in doubt:
        gained = weight[hull] * each[:, follow[hull] + 1 :].sum(axis=1)
        sure = sure + gained * (rng.random(len(each)) < chance[hull])
    return usual, sure


def _summary(draws: dict[str, Ints]) -> pd.DataFrame:
    rows = {
        name: [*np.quantile(values, POINTS), float(values.mean())] for name, values in draws.items()
    }
    return pd.DataFrame.from_dict(rows, orient="index", columns=["low", "middle", "high", "mean"])


def _by_place(still: pd.DataFrame, means: pd.DataFrame) -> pd.DataFrame:
    grouped = means.groupby(still["place"].astype("str")).sum()
    counted = still.groupby(still["place"].astype("str")).size()
    table = grouped.assign(hulls=counted).reindex(list(PLACES)).fillna(0.0)
    table.index.name = "place"
    return table.astype({"hulls": "int64"})[["hulls", "usual", "excess"]].reset_index()
