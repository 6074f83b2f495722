"""Pairs of levels that say more than their halves, for a reader."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd

from tracegraph.domain.kinds import PAIR
from tracegraph.report.evidence import evidence_table
from tracegraph.report.numbers import chance, plural
from tracegraph.report.reading import name_of, reading
from tracegraph.report.tables import DisplayTable

NAMED = 3
"""Pairs told in words."""


def pairs_sentences(frame: pd.DataFrame) -> tuple[str, ...]:
    """Which levels do more together than by themselves, in words.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.ranking.Ranking.frame` with pairs.
    """
    rows = [
        {str(key): value for key, value in row.items()}
        for row in frame[frame["kind"] == PAIR].to_dict("records")
    ]
    if not rows:
        return ("No two levels say more together than each does by itself.",)
    noticed = [row for row in rows if pd.notna(row["evidence"]) and row["evidence"] > 0]
    if noticed:
        return tuple(reading(row) for row in noticed[:NAMED])
    first = rows[0]
    text = f"{plural(len(rows), 'pair')} of levels say more than their halves"
    if pd.isna(first["evidence"]):
        return (f"{text}; how often chance makes a pair as strong is not worked out.",)
    return (
        f"{text}; none is beyond chance. The strongest: {name_of(first)} (chance anywhere "
        f"{chance(first['p_family'])}).",
    )


def pairs_table(frame: pd.DataFrame) -> DisplayTable:
    """The pairs of a ranking, best first.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.ranking.Ranking.frame` with pairs.
    """
    rows = frame[frame["kind"] == PAIR]
    caption = f"{plural(len(rows), 'pair')}. Expected and rate ratio are beyond what each half does"
    return replace(evidence_table(rows, None), caption=f"{caption} by itself.")
