"""What a cluster has cost, what it may still cost, and what containing it costs by place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracegraph.analysis.cluster import Cases
from tracegraph.analysis.containing.forecast import POINTS
from tracegraph.analysis.containment import Containment
from tracegraph.analysis.matched.familywise import seed_from
from tracegraph.domain.errors import DefinitionError
from tracegraph.domain.holding import FINISHED
from tracegraph.domain.records import PLACES
from tracegraph.stats.arrays import Floats
from tracegraph.stats.compound import compound_sums

FEWEST_COSTS = 3
"""With fewer hulls whose costs are all written down, nothing is foreseen."""

NO_PLACE = "not recorded"


@dataclass(frozen=True)
class ExpectedCost:
    """Cost of the further first claims of the hulls listed.

    Attributes
    ----------
    low, middle, high, mean : float
        10, 50 and 90 % points of the draws, and their mean.
    hulls_low, hulls_middle, hulls_high : float
        The same points of the further hulls that claim.
    until_month : int
        Month in service up to which they are counted.
    still_at_risk : int
        Hulls on the list that have not claimed.
    rests_on : int
        Hulls whose costs stand for those to come.
    """

    low: float
    middle: float
    high: float
    mean: float
    hulls_low: float
    hulls_middle: float
    hulls_high: float
    until_month: int
    still_at_risk: int
    rests_on: int


@dataclass(frozen=True, eq=False)
class CaseCost:
    """What a cluster and its containment cost.

    Attributes
    ----------
    claims, claims_without_cost : int
        Claim lines that count; those of them without a cost.
    to_date : float or None
        Sum of the costs written down; None when none is.
    expected : ExpectedCost or None
        What is still to come; None when it cannot be foreseen.
    expected_reason : str
        Why it cannot; else empty.
    places : DataFrame
        One row per place with hulls on the list: ``place``, ``hulls``, ``open`` (neither
        inspected clear, nor corrected, nor refused), ``rate`` (cost per hull as given; NaN
        when none was), ``cost`` (of all), ``cost_open`` (of the open ones).
    contain_all, contain_open : float or None
        Sums over the places; None when a rate is missing.
    contain_reason : str
        Which rate is missing; else empty.
    """

    claims: int
    claims_without_cost: int
    to_date: float | None
    expected: ExpectedCost | None
    expected_reason: str
    places: pd.DataFrame
    contain_all: float | None
    contain_open: float | None
    contain_reason: str


def case_cost(cases: Cases, found: Containment, rates: Mapping[str, float]) -> CaseCost:
    """Add up what is known, and foresee what can be.

    Parameters
    ----------
    cases : Cases
        The affected hulls with the cost of their claims.
    found : Containment
        The hulls that carry the suspect, under the same definition, each with the state of
        the action.
    rates : mapping of str to float
        Cost of dealing with one hull, by place, in the unit of the claims' costs.

    Returns
    -------
    CaseCost
        The same for the same records.

    Raises
    ------
    DefinitionError
        If a rate belongs to no place or is negative.

    Notes
    -----
    Further first claims are drawn as in
    :func:`~tracegraph.analysis.containing.forecast.forecast`. Each draw weighs the hulls
    whose costs are all written down by the Bayesian bootstrap and adds up as many of them as
    hulls claim. A hull's cost to date may still rise; nothing is added for that.
    """
    for place, rate in rates.items():
        if place not in PLACES or not 0.0 <= rate < np.inf:
            raise DefinitionError(
                f"A rate is the cost per hull at one of {', '.join(PLACES)}, 0 or more; got "
                f"{place!r} at {rate}. Mend it."
            )
    frame = cases.frame
    written = frame["cost"].dropna()
    full = frame[frame["claims_with_cost"] == frame["claims"]]
    expected, reason = _expected(cases, found, full["cost"].to_numpy(np.float64))
    places = _by_place(found.hulls, rates)
    lacking = places.loc[places["rate"].isna(), "place"].tolist()
    whole = not lacking
    return CaseCost(
        claims=int(frame["claims"].sum()),
        claims_without_cost=int((frame["claims"] - frame["claims_with_cost"]).sum()),
        to_date=float(written.sum()) if len(written) else None,
        expected=expected,
        expected_reason=reason,
        places=places,
        contain_all=float(places["cost"].sum()) if whole else None,
        contain_open=float(places["cost_open"].sum()) if whole else None,
        contain_reason="" if whole else f"no rate was given for {', '.join(lacking)}",
    )


def _expected(cases: Cases, found: Containment, costs: Floats) -> tuple[ExpectedCost | None, str]:
    foreseen = found.forecast
    if foreseen is None:
        return None, "there is no claim from which further ones could be foreseen"
    if len(costs) < FEWEST_COSTS:
        return None, (
            f"the cost of all claims is written down for {len(costs)} affected hulls; "
            f"{FEWEST_COSTS} are needed"
        )
    words = [cases.data_version, cases.definition.fingerprint(), found.family, found.level, "cost"]
    rng = np.random.default_rng(seed_from(*words))
    sums = compound_sums(foreseen.drawn, costs, rng)
    low, middle, high = np.quantile(sums, POINTS)
    low_hulls, middle_hulls, high_hulls, _ = foreseen.claims.loc["total"].to_numpy(np.float64)
    return ExpectedCost(
        low=float(low),
        middle=float(middle),
        high=float(high),
        mean=float(sums.mean()),
        hulls_low=float(low_hulls),
        hulls_middle=float(middle_hulls),
        hulls_high=float(high_hulls),
        until_month=foreseen.until_month,
        still_at_risk=int((~found.hulls["affected"].fillna(value=False).astype(bool)).sum()),
        rests_on=len(costs),
    ), ""


def _by_place(hulls: pd.DataFrame, rates: Mapping[str, float]) -> pd.DataFrame:
    place = hulls["place"].astype("object").fillna(NO_PLACE)
    still = ~hulls["state"].isin(FINISHED)
    table = pd.DataFrame(
        {
            "place": [*PLACES, NO_PLACE],
            "hulls": [int((place == name).sum()) for name in (*PLACES, NO_PLACE)],
            "open": [int((still & (place == name)).sum()) for name in (*PLACES, NO_PLACE)],
            "rate": [float(rates.get(name, np.nan)) for name in (*PLACES, NO_PLACE)],
        }
    )
    table = table[table["hulls"] > 0].reset_index(drop=True)
    return table.assign(
        cost=table["hulls"] * table["rate"], cost_open=table["open"] * table["rate"]
    )
