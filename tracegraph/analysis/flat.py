"""Rank the factors of one flat sheet, with the same counts and tests as the store's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracegraph.analysis.counting import count_exposure, level_names
from tracegraph.analysis.plain_tests import rank_counts
from tracegraph.domain.errors import FlatTableError
from tracegraph.exposure.flat import FlatSheet, exposure_from_sheet
from tracegraph.stats.contingency import TableArrays
from tracegraph.stats.stratified import common_odds_ratios
from tracegraph.store.reader import as_store

MOST_STRATA = 500


@dataclass(frozen=True)
class TableRanking:
    """Ranked factors of a flat sheet.

    Attributes
    ----------
    frame : DataFrame
        Columns of :attr:`tracegraph.analysis.ranking.Ranking.frame`; with strata also
        ``stratified_odds_ratio`` (Mantel and Haenszel) with ``_low`` and ``_high``
        (Robins, Breslow and Greenland), ``p_stratified`` (Cochran, Mantel and Haenszel,
        uncorrected) and ``informative_strata``.
    affected, at_risk : int
        Units with the outcome; units with a readable outcome.
    left_out : dict of str to int
        Rows that were not counted, by reason.
    families, levels : int
        How many were tested.
    unit, outcome : str
        Columns that were named.
    stratify : tuple of str
        Columns whose combinations were held constant.
    """

    frame: pd.DataFrame
    affected: int
    at_risk: int
    left_out: dict[str, int]
    families: int
    levels: int
    unit: str
    outcome: str
    stratify: tuple[str, ...] = ()


def rank_table(
    sheet: pd.DataFrame,
    unit: str,
    affected: str,
    *,
    yes: str | None = None,
    leave_out: Sequence[str] = (),
    stratify: Sequence[str] = (),
) -> TableRanking:
    """Rank the factor columns of a sheet with one row per unit.

    Parameters
    ----------
    sheet : DataFrame
        One row per unit: a unit column, a yes/no outcome, factor columns.
    unit, affected : str
        Columns with the unit's name and the outcome.
    yes : str, optional
        The value of the outcome that means affected.
    leave_out : sequence of str
        Columns that are no factors.
    stratify : sequence of str
        Columns to hold constant; units are compared within their combinations.

    Returns
    -------
    TableRanking
        Ordered as by :func:`tracegraph.analysis.ranking.rank`; with strata by the
        stratified test, levels that go with harm inside the strata first.

    Raises
    ------
    UnknownNameError
        If a column or the value ``yes`` is not in the sheet.
    FlatTableError
        If a unit comes twice, the outcome is not yes/no, or there are too many strata.

    Examples
    --------
    >>> import pandas as pd
    >>> sheet = pd.DataFrame({
    ...     "cup": range(8), "said milk": list("YYYNNNNY"), "milk first": list("YYYYNNNN"),
    ... })
    >>> ranked = rank_table(sheet, "cup", "said milk")
    >>> ranked.frame[["family", "affected_exposed", "exposed"]].values.tolist()
    [['milk first', 3, 4]]
    >>> round(float(ranked.frame["p_harm"][0]), 6)
    0.242857
    """
    laid_out = exposure_from_sheet(
        sheet, unit, affected, yes=yes, leave_out=leave_out, stratify=stratify
    )
    try:
        counts = count_exposure(laid_out.build)
        frame = rank_counts(counts, level_names(as_store(laid_out.build)))
        total = int(laid_out.build.scalar("SELECT coalesce(sum(affected), 0) FROM cohort"))
        if stratify:
            frame = _by_strata(laid_out, frame)
    finally:
        laid_out.build.close()
    tested = frame["testable"] & ~frame["thin"]
    left_out = {
        "rows without unit or outcome": laid_out.outcome_missing,
        "units without a stratum, in the stratified numbers": laid_out.stratum_missing,
    }
    return TableRanking(
        frame=frame,
        affected=total,
        at_risk=laid_out.units,
        left_out={reason: count for reason, count in left_out.items() if count},
        families=int(frame.loc[tested, "family"].nunique()),
        levels=int(tested.sum()),
        unit=unit,
        outcome=affected,
        stratify=tuple(stratify),
    )


def _by_strata(laid_out: FlatSheet, frame: pd.DataFrame) -> pd.DataFrame:
    """Add the stratified test to each level and order by it."""
    if laid_out.strata > MOST_STRATA:
        raise FlatTableError(
            f"At most {MOST_STRATA} strata can be compared; the columns to hold constant make "
            f"{laid_out.strata}. Name fewer columns, or coarser ones."
        )
    level, tables = [], []
    for stratum in range(laid_out.strata):
        laid_out.build.run("rank/one_stratum", {"stratum": stratum})
        counts = count_exposure(laid_out.build)
        level.append(counts.level_id)
        tables.append(np.stack(counts.tables.counts))
    place = pd.Index(frame["level_id"]).get_indexer(pd.Index(np.concatenate(level)))
    a, b, c, d = np.concatenate(tables, axis=1)
    found = common_odds_ratios(
        TableArrays(exposed_cases=a, exposed_controls=b, unexposed_cases=c, unexposed_controls=d),
        place,
    )
    size = len(found.odds_ratio)
    added = pd.DataFrame(
        {
            "stratified_odds_ratio": found.odds_ratio,
            "stratified_odds_ratio_low": found.low,
            "stratified_odds_ratio_high": found.high,
            "p_stratified": np.where(found.informative > 0, found.p_value, np.nan),
            "informative_strata": found.informative,
        },
        index=frame.index[:size],
    )
    joined = frame.join(added)
    order = joined.assign(
        harm=~(joined["stratified_odds_ratio"] > 1), none=joined["p_stratified"].isna()
    ).sort_values(["none", "harm", "p_stratified", "rank"], kind="stable")
    joined = joined.loc[order.index].reset_index(drop=True)
    joined["rank"] = np.arange(1, len(joined) + 1)
    return joined
