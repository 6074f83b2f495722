"""Whole-family tests for a reader and as plain values."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracegraph.report.tables import CHANCE, COUNT, TENTHS, DisplayTable


def families_table(found: pd.DataFrame, top: int | None = 20) -> DisplayTable:
    """Families by how unlikely chance is, each tested as a whole.

    Parameters
    ----------
    found : DataFrame
        As from :func:`tracegraph.analysis.factors.assess_families`.
    top : int or None, default 20
        How many rows; None: all.

    Returns
    -------
    DisplayTable
        One row per family.
    """
    shown = found if top is None else found.head(top)
    table = pd.DataFrame(
        {
            "factor": shown["family"],
            "kind": shown["kind"],
            "levels": shown["levels"],
            "hulls": shown["hulls"],
            "chi-square": shown["statistic"],
            "df": shown["df"],
            "p": shown["p_value"],
            "q": shown["q_bh"],
            "by": shown["method"],
        }
    )
    return DisplayTable(
        table.reset_index(drop=True),
        {
            "levels": COUNT,
            "hulls": COUNT,
            "chi-square": TENTHS,
            "df": COUNT,
            "p": CHANCE,
            "q": CHANCE,
        },
        caption=f"{len(shown)} of {len(found)} families.",
    )


def families_as_json(found: pd.DataFrame) -> list[dict[str, Any]]:
    """The same as plain values; what was not tested is null."""
    return [
        {str(key): None if pd.isna(value) else value for key, value in row.items()}
        for row in found.to_dict("records")
    ]
