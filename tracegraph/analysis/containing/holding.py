"""What became of the hulls on a list, counted so that the states always add up."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from tracegraph.domain.holding import HOLD_STATES, REACHED
from tracegraph.domain.records import PLACES


@dataclass(frozen=True)
class ReportCounts:
    """The counts that a defect report to the agency asks for (forms CG-4917, CG-4918).

    Attributes
    ----------
    may_contain : int
        Hulls that may contain the defect: all that are listed.
    purchasers_notified : int
        Hulls with an owner who was told.
    dealers_notified : int
        Dealers who hold a listed hull and were told of each.
    dealers : int
        Dealers who hold a listed hull.
    corrected, inspected_clear, refused, unreachable : int
        Hulls in these states.
    """

    may_contain: int
    purchasers_notified: int
    dealers_notified: int
    dealers: int
    corrected: int
    inspected_clear: int
    refused: int
    unreachable: int


def state_counts(hulls: pd.DataFrame) -> pd.DataFrame:
    """Listed hulls by state (rows) and place (columns), with ``total``.

    Parameters
    ----------
    hulls : DataFrame
        ``state``, ``place``: one row per hull listed.

    Returns
    -------
    DataFrame
        One row for each of the six states; the cells add up to the hulls listed.
    """
    table = pd.crosstab(hulls["state"], hulls["place"])
    table = table.reindex(index=list(HOLD_STATES), columns=list(PLACES)).fillna(0).astype("int64")
    table["total"] = table.sum(axis=1)
    table.index.name, table.columns.name = "state", None
    return table


def report_counts(hulls: pd.DataFrame) -> ReportCounts:
    """Counts for a defect report.

    Parameters
    ----------
    hulls : DataFrame
        ``state``, ``place``, ``dealer``: one row per hull listed.

    Returns
    -------
    ReportCounts
        A purchaser counts as notified when the hull's state could not have come about
        without; a dealer, when that is so of every listed hull at the dealer's.
    """
    told = hulls["state"].isin(REACHED)
    state = hulls["state"]
    at_dealers = hulls["place"].isin(["transit", "dealer"]) & hulls["dealer"].notna()
    by_dealer = told[at_dealers].groupby(hulls.loc[at_dealers, "dealer"]).all()
    return ReportCounts(
        may_contain=len(hulls),
        purchasers_notified=int((told & hulls["place"].eq("owner")).sum()),
        dealers_notified=int(by_dealer.sum()),
        dealers=len(by_dealer),
        corrected=int(state.eq("corrected").sum()),
        inspected_clear=int(state.eq("inspected clear").sum()),
        refused=int(state.eq("refused").sum()),
        unreachable=int(state.eq("unreachable").sum()),
    )
