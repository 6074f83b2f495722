"""The list itself: which hulls, in which order they are acted on, and where they are."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from tracegraph.analysis.containing.bracket import Bracket
from tracegraph.analysis.containing.forecast import Forecast
from tracegraph.analysis.containing.grading import GRADES, TO_ACT_ON
from tracegraph.domain.holding import HOLD_STATES
from tracegraph.domain.records import PLACES

BESIDE = "beside the suspect and not shown clean by claims"


def with_bracket(grades: pd.DataFrame, bracket: Bracket) -> pd.DataFrame:
    """Grades with the neighbours that are not shown clean listed as possible.

    Parameters
    ----------
    grades : DataFrame
        ``grade``, ``probability``, ``reason`` by hull number.
    bracket : Bracket
        The neighbours.

    Returns
    -------
    DataFrame
        The same; the hulls added carry no chance, since it is not the level that they
        would carry.
    """
    beside = grades.index.isin(list(bracket.hull_ids)) & ~grades["grade"].isin(TO_ACT_ON)
    return grades.assign(
        grade=grades["grade"].mask(beside, "possible"),
        probability=grades["probability"].mask(beside, np.nan),
        reason=grades["reason"].mask(beside, BESIDE),
    )


def listed(
    hulls: pd.DataFrame,
    foreseen: Forecast | None,
    states: Mapping[str, str],
    severe: float,
    *,
    asked: bool,
) -> pd.DataFrame:
    """The hulls to act on, most urgent first.

    Parameters
    ----------
    hulls : DataFrame
        By hull number, with grade and what the records say.
    foreseen : Forecast or None
        Further claims.
    states : mapping of str to str
        State of the action by hull serial.
    severe : float
        Share of claims that may hurt someone.
    asked : bool
        Whether a definition said which hulls are affected.

    Returns
    -------
    DataFrame
        See :class:`~tracegraph.analysis.containment.Containment`.
    """
    frame = hulls.copy()
    affected = frame["affected"].astype("boolean")
    nothing = pd.Series(pd.NA, frame.index, dtype="boolean")
    frame["affected"] = affected if asked else nothing
    frame["months_in_service"] = frame["months_in_service"].astype("Int64")
    state = frame["hull_serial"].map(states).astype("object")
    frame["state"] = state.where(state.notna(), HOLD_STATES[0])
    frame["expected_claims"] = np.nan
    if foreseen is not None:
        means = foreseen.hulls.reindex(frame.index)
        frame["expected_claims"] = means["usual"] + means["excess"]
    frame["expected_severe"] = frame["expected_claims"] * severe
    place = frame["place"].map(PLACES.index).to_numpy()
    grade = frame["grade"].map(GRADES.index).to_numpy()
    urgent = -frame["expected_severe"].fillna(0.0).to_numpy(np.float64)
    serial = frame["hull_serial"].astype(str).to_numpy(object)
    frame = frame.iloc[np.lexsort((frame.index, serial, grade, urgent, place))]
    frame = frame.reset_index(drop=True)
    frame["priority"] = np.arange(1, len(frame) + 1)
    return frame[
        [
            "hull_serial", "hin", "model", "grade", "probability", "reason", "place", "dealer",
            "state", "built_on", "delivered_on", "delivered_imputed", "months_in_service",
            "affected", "claims", "expected_claims", "expected_severe", "priority",
        ]
    ]  # fmt: skip


def counts_of(graded: pd.DataFrame) -> pd.DataFrame:
    """All hulls by grade (rows) and place (columns), with ``total``."""
    table = pd.crosstab(graded["grade"], graded["place"])
    table = table.reindex(index=list(GRADES), columns=list(PLACES)).fillna(0).astype("int64")
    table["total"] = table.sum(axis=1)
    table.index.name, table.columns.name = "grade", None
    return table
