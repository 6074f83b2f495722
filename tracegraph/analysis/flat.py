"""Rank the factors of one flat sheet, with the same counts and tests as the store's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from tracegraph.analysis.counting import count_exposure, level_names
from tracegraph.analysis.ranking import rank_counts
from tracegraph.exposure.flat import exposure_from_sheet
from tracegraph.store.reader import as_store


@dataclass(frozen=True)
class TableRanking:
    """Ranked factors of a flat sheet.

    Attributes
    ----------
    frame : DataFrame
        Columns of :attr:`tracegraph.analysis.ranking.Ranking.frame`.
    affected, at_risk : int
        Units with the outcome; units with a readable outcome.
    left_out : dict of str to int
        Rows that were not counted, by reason.
    families, levels : int
        How many were tested.
    unit, outcome : str
        Columns that were named.
    """

    frame: pd.DataFrame
    affected: int
    at_risk: int
    left_out: dict[str, int]
    families: int
    levels: int
    unit: str
    outcome: str


def rank_table(
    sheet: pd.DataFrame,
    unit: str,
    affected: str,
    *,
    yes: str | None = None,
    leave_out: Sequence[str] = (),
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

    Returns
    -------
    TableRanking
        Ordered as by :func:`tracegraph.analysis.ranking.rank`.

    Raises
    ------
    UnknownNameError
        If a column or the value ``yes`` is not in the sheet.
    FlatTableError
        If a unit comes twice or the outcome is not yes/no.

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
    laid_out = exposure_from_sheet(sheet, unit, affected, yes=yes, leave_out=leave_out)
    try:
        counts = count_exposure(laid_out.build)
        frame = rank_counts(counts, level_names(as_store(laid_out.build)))
        total = int(laid_out.build.scalar("SELECT coalesce(sum(affected), 0) FROM cohort"))
    finally:
        laid_out.build.close()
    tested = frame["testable"] & ~frame["thin"]
    missing = laid_out.outcome_missing
    return TableRanking(
        frame=frame,
        affected=total,
        at_risk=laid_out.units,
        left_out={"rows without unit or outcome": missing} if missing else {},
        families=int(frame.loc[tested, "family"].nunique()),
        levels=int(tested.sum()),
        unit=unit,
        outcome=affected,
    )
