"""Time-matched numbers beside those of the plain table, in the order of evidence."""

from __future__ import annotations

import numpy as np
import pandas as pd

MATCHED_COLUMNS = (
    "matched_cases",
    "expected",
    "rate_ratio",
    "rate_ratio_low",
    "rate_ratio_high",
    "p_matched",
    "q_matched",
    "score",
    "p_family",
    "window_margin",
    "stretch_jaccard",
    "evidence",
    "round",
    "alias_group",
    "shortlisted",
    "aliases",
    "rests_on",
    "held_back_by",
)
"""What the order of evidence adds to each row."""


def by_evidence(frame: pd.DataFrame, matched: pd.DataFrame, names: pd.DataFrame) -> pd.DataFrame:
    """Join the time-matched numbers and sort by them, the rest in the order it had.

    Parameters
    ----------
    frame : DataFrame
        Rows in the order of Fisher, with ``level_id`` and ``rank``.
    matched : DataFrame
        From :func:`~tracegraph.analysis.matched.frame.suspects_frame`.
    names : DataFrame
        Indexed by ``level_id``: ``family``, ``level``.

    Returns
    -------
    DataFrame
        With :data:`MATCHED_COLUMNS`, ranked anew.
    """
    found = matched[list(MATCHED_COLUMNS)].astype(
        {"evidence": "Int64", "round": "Int64", "alias_group": "Int64"}
    )
    alike = names.loc[sorted({number for others in found["aliases"] for number, _ in others})]
    family, level = alike["family"].to_dict(), alike["level"].to_dict()
    named = [
        tuple((family[number], level[number], share) for number, share in aliases)
        for aliases in found["aliases"]
    ]
    found["aliases"] = pd.Series(named, index=found.index, dtype=object)
    joined = frame.join(found, on="level_id")
    joined["shortlisted"] = joined["shortlisted"].fillna(False).astype(bool)
    place = matched.index.get_indexer(pd.Index(joined["level_id"]))
    for name in ("aliases", "rests_on", "held_back_by"):
        joined[name] = joined[name].where(place >= 0, pd.Series([()] * len(joined), dtype=object))
    order = np.lexsort((joined["rank"], np.where(place < 0, len(matched), place)))
    joined = joined.iloc[order].reset_index(drop=True)
    joined["rank"] = np.arange(1, len(joined) + 1)
    return joined
