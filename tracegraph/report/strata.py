"""Suspects of a flat sheet compared within strata, for a reader."""

from __future__ import annotations

import pandas as pd

from tracegraph.report.numbers import count, interval
from tracegraph.report.tables import CHANCE, COUNT, RATIO, DisplayTable


def stratified_table(frame: pd.DataFrame, top: int | None = 20) -> DisplayTable:
    """Suspects compared within strata, beside the numbers without them.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.flat.TableRanking.frame` with strata.
    top : int or None, default 20
        How many rows; None: all.

    Returns
    -------
    DisplayTable
        One row per suspect.
    """
    shown = frame if top is None else frame.head(top)
    limits = zip(
        shown["stratified_odds_ratio_low"], shown["stratified_odds_ratio_high"], strict=True
    )
    table = pd.DataFrame(
        {
            "rank": shown["rank"],
            "factor": shown["family"],
            "level": shown["level"],
            "affected, exposed": shown["affected_exposed"],
            "exposed": shown["exposed"],
            "affected, others": shown["affected_unexposed"],
            "others": shown["unexposed"],
            "odds ratio, all together": shown["odds_ratio"],
            "Fisher p": shown["p_fisher"],
            "odds ratio within strata": shown["stratified_odds_ratio"],
            "95 % interval": pd.Series(
                [interval(low, high) for low, high in limits], index=shown.index, dtype="str"
            ),
            "p within strata": shown["p_stratified"],
            "strata that tell": shown["informative_strata"],
        }
    )
    counts = ("rank", "affected, exposed", "exposed", "affected, others", "others")
    return DisplayTable(
        table.reset_index(drop=True),
        {
            **dict.fromkeys((*counts, "strata that tell"), COUNT),
            **dict.fromkeys(("odds ratio, all together", "odds ratio within strata"), RATIO),
            **dict.fromkeys(("Fisher p", "p within strata"), CHANCE),
        },
        caption=f"The first {count(len(table))} of {count(len(frame))} levels.",
    )
