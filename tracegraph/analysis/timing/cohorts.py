"""Claims by month of building and months in service: who has been followed for what.

A young build month has few claims because it is young. The triangle greys what has not been
seen yet, and observed claims are set against those that hulls followed as long would have.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.matched.differences import codes
from tracegraph.analysis.timing.followed import Followed
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.rates import garwood
from tracegraph.store import Store

COMPLETE, PARTIAL, NOT_YET = "complete", "partial", "not yet"


@dataclass(frozen=True, eq=False)
class BuildCohorts:
    """Build months against months in service.

    Attributes
    ----------
    cells : DataFrame
        One row per build period and stretch of service time: ``built_month`` (first day),
        ``from_month``, ``to_month`` (months in service, both inside), ``followed`` (hulls
        followed to the end of the cell), ``waiting`` (hulls that may still be),
        ``hull_months`` (months in the cell of hulls without an earlier claim), ``claims``
        (first claims in it), ``per_100`` (claims per 100 hulls over the whole cell; NaN
        without a hull-month), ``so_far`` (per 100, summed over the cells up to it),
        ``state`` (complete: nobody waits; partial; not yet: nobody was followed to its
        end).
    months : DataFrame
        One row per build period: ``built_month`` (first day), ``hulls``, ``delivered``,
        ``observed`` (first claims), ``expected`` (of hulls of the same models followed as
        long), ``ratio`` (NaN when nothing is expected), ``low``, ``high`` (95 %, exact Poisson),
        ``maturity`` (share of the claims expected up to the last month that the
        follow-up so far covers).
    width : int
        Months in service to a cell.
    period : int
        Months of building to a row.
    undated : int
        Hulls without a build date; in no row, but in the comparison.
    definition : CaseDefinition
        As settled on the data.
    data_version : str
        Version of the records.
    """

    cells: pd.DataFrame
    months: pd.DataFrame
    width: int
    period: int
    undated: int
    definition: CaseDefinition
    data_version: str


PERIODS = (1, 2, 3, 4, 6, 12)
"""Months of building that may make a row: those that part a year evenly."""


def build_cohorts(
    store: Store, definition: CaseDefinition, *, width: int = 1, period: int = 1
) -> BuildCohorts:
    """Lay first claims out by month of building and months in service.

    Parameters
    ----------
    store : Store
        The records.
    definition : CaseDefinition
        Which claims count.
    width : int, default 1
        Months in service to a cell. The first cell begins with the day of delivery.
    period : int, default 1
        Months of building to a row, counted from January; one of :data:`PERIODS`.

    Returns
    -------
    BuildCohorts
        Both frames and what was asked.

    Raises
    ------
    UnknownNameError
        If the definition names something that is not in the records.
    DefinitionError
        If the width is below 1, or the period does not part a year evenly.
    """
    if width < 1:
        raise DefinitionError(f"width must be a whole number of months, 1 or more; got {width}.")
    if period not in PERIODS:
        raise DefinitionError(
            f"period must be {', '.join(map(str, PERIODS[:-1]))} or {PERIODS[-1]} months of "
            f"building, which part a year evenly; got {period}."
        )
    with store.session() as session:
        settled = draw_cohort(session, definition).definition
        rows = session.frame("timing/build_months", settled.parameters())
    rows["built_month"] = _first_month(rows["built_month"], period)
    undated = rows["built_month"].isna()
    count = rows["hulls"].to_numpy(np.int64)
    repeat = np.repeat(np.arange(len(rows)), count)
    hulls = _hulls(rows.iloc[repeat])
    month_of = rows["built_month"].iloc[repeat].reset_index(drop=True)
    return BuildCohorts(
        cells=_cells(rows[~undated], width),
        months=_months(month_of, hulls),
        width=width,
        period=period,
        undated=int(count[undated.to_numpy()].sum()),
        definition=settled,
        data_version=store.version,
    )


def _first_month(month: pd.Series[pd.Timestamp], period: int) -> pd.Series[pd.Timestamp]:
    """First day of the period in which each month lies."""
    number = month.to_numpy("datetime64[M]").astype(np.int64)  # from January 1970
    first = (number - number % period).astype("datetime64[M]").astype("datetime64[s]")
    return pd.Series(first, index=month.index).where(month.notna())


def _hulls(rows: pd.DataFrame) -> Followed:
    return Followed.of(
        rows["follow_months"].to_numpy(np.int64),
        rows["case_month"].fillna(-1).to_numpy(np.int64),
        {"model": codes(rows["model"].to_numpy())},
    )


def _cells(rows: pd.DataFrame, width: int) -> pd.DataFrame:
    names, place = np.unique(rows["built_month"].to_numpy("datetime64[s]"), return_inverse=True)
    follow = rows["follow_months"].to_numpy(np.int64)
    count = rows["hulls"].to_numpy(np.int64)
    longest = int(follow.max(initial=-1))
    cells = max(0, -(-longest // width))
    ends = (np.arange(cells) + 1) * width
    case = rows["case_month"].fillna(-1).to_numpy(np.int64)
    leaves = np.where(case >= 0, np.maximum(case, 1), follow)  # delivery day: first month
    grows = rows["can_grow"].to_numpy(np.bool_) | (follow < 0)
    reached = follow[:, None] >= ends
    inside = np.clip(leaves[:, None] - (ends - width), 0, width)
    claimed = (case[:, None] >= 0) & (leaves[:, None] <= ends) & (leaves[:, None] > ends - width)

    def total(per_row: Ints | Bools) -> Ints:
        result = np.zeros((len(names), cells), np.int64)
        np.add.at(result, place, per_row * count[:, None])
        return result

    followed, waiting = total(reached), total(~reached & grows[:, None])
    hull_months, claims = total(inside), total(claimed)
    with np.errstate(invalid="ignore", divide="ignore"):
        per_100 = np.where(hull_months > 0, 100.0 * width * claims / hull_months, np.nan)
    state = np.where(followed == 0, NOT_YET, np.where(waiting > 0, PARTIAL, COMPLETE))
    so_far = np.where(np.isnan(per_100), np.nan, np.nancumsum(per_100, axis=1))
    return pd.DataFrame(
        {
            "built_month": np.repeat(names, cells),
            "from_month": np.tile(np.where(ends == width, 0, ends - width + 1), len(names)),
            "to_month": np.tile(ends, len(names)),
            "followed": followed.ravel(),
            "waiting": waiting.ravel(),
            "hull_months": hull_months.ravel(),
            "claims": claims.ravel(),
            "per_100": per_100.ravel(),
            "so_far": so_far.ravel(),
            "state": pd.Series(state.ravel(), dtype="str"),
        }
    )


def _months(month_of: pd.Series, hulls: Followed) -> pd.DataFrame:
    """Observed and expected claims of each build month, hulls of one model compared."""
    weight = hulls.weights(("model",))
    expected = hulls.expected(weight)
    whole = float(hulls.steps(weight).sum()) * weight
    frame = (
        pd.DataFrame(
            {
                "built_month": month_of,
                "hulls": 1,
                "delivered": hulls.at_risk.astype(np.int64),
                "observed": (hulls.month >= 0).astype(np.int64),
                "expected": expected,
                "whole": whole,
            }
        )
        .groupby("built_month", as_index=False)
        .sum()
    )
    some = frame["expected"] > 0.0
    scale = frame["expected"].where(some, 1.0).to_numpy(np.float64)
    low, high = garwood(frame["observed"].to_numpy(np.int64), scale)

    def shown(values: Floats | pd.Series) -> pd.Series:
        return pd.Series(values, index=frame.index).where(some)

    frame["ratio"] = shown(frame["observed"] / scale)
    frame["low"], frame["high"] = shown(low), shown(high)
    frame["maturity"] = (frame["expected"] / frame["whole"]).where(frame["whole"] > 0.0)
    return frame.drop(columns="whole")
