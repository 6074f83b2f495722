"""A build window as the suspect: the hulls worked on within some days."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd

from tracegraph.analysis.containing.grading import (
    NO_PLACE,
    POSSIBLE,
    PROBABLE,
    Graded,
)
from tracegraph.analysis.containing.uses import days
from tracegraph.analysis.naming import Suspect
from tracegraph.domain.errors import DefinitionError, UnknownNameError
from tracegraph.stats.arrays import Floats
from tracegraph.store import Connection

WINDOW, BUILT = "window", "built"


def grade_window(
    session: Connection,
    first: date,
    last: date,
    hull_ids: pd.Index,
    *,
    work: tuple[str, str] | None = None,
    time_zone: str = "UTC",
) -> tuple[Graded, Floats]:
    """Grade every hull for having been worked on within some days.

    Parameters
    ----------
    session : Connection
        Line to a store.
    first, last : date
        The window, both days included.
    hull_ids : Index of int
        All hulls, in the order of their numbers.
    work : tuple of str, optional
        Part and step that must fall into the window; the day of building when left out.
    time_zone : str
        The site's own.

    Returns
    -------
    graded : Graded
        A hull without a day is placed by other work on it.
    day : array of float
        Day of each hull; nan where not known.

    Raises
    ------
    DefinitionError
        If the window ends before it begins.
    UnknownNameError
        If the records know no such step of such a part.
    """
    if last < first:
        raise DefinitionError(
            f"A window must not end before it begins; got {first} to {last}. Exchange them."
        )
    part, step = work or (None, None)
    if work is not None:
        _check(session, *work)
    asked = {"first": first, "last": last, "part": part, "step": step, "time_zone": time_zone}
    rows = session.frame("contain/in_window", asked).set_index("hull_id").reindex(hull_ids)
    day = days(rows["day"])
    inside = rows["inside"].fillna(False).to_numpy(bool)
    applies = rows["applies"].fillna(False).to_numpy(bool)
    missing = applies & ~inside & np.isnan(day)
    chance = np.full(len(rows), np.nan)
    if work is not None and missing.any():
        chance = _placed(session, hull_ids, missing, *work, first, last)
    with np.errstate(invalid="ignore"):
        grades = np.select(
            [inside, ~applies, ~missing, chance >= PROBABLE, ~(chance < POSSIBLE)],
            ["recorded", "not applicable", "cleared", "probable", "possible"],
            "remote",
        )
    probability = np.select([inside, ~applies, ~missing], [1.0, np.nan, 0.0], chance)
    reason = pd.Series(NO_PLACE, hull_ids, dtype="object")
    hulls = pd.DataFrame(
        {
            "grade": pd.Series(grades, hull_ids, dtype="object"),
            "probability": probability,
            "reason": reason.where(missing & np.isnan(chance), None),
        }
    )
    name = BUILT if work is None else ": ".join(work)
    suspect = Suspect(0, 0, name, f"{first} to {last}", WINDOW)
    return Graded(suspect, None, hulls, None), day


def _placed(
    session: Connection,
    hull_ids: pd.Index,
    missing: np.ndarray,
    part: str,
    step: str,
    first: date,
    last: date,
) -> Floats:
    """Chance that work not written down fell into the window, by other work on the hull."""
    asked = {"hull_ids": hull_ids[missing].tolist(), "part": part, "step": step}
    times = session.frame("contain/lags", asked)
    at = days(times["at"])
    begin, end = days([pd.Timestamp(first), pd.Timestamp(last)])
    within = pd.Series((at >= begin) & (at < end + 1.0)).groupby(times["hull_id"]).mean()
    return np.asarray(within.reindex(hull_ids), np.float64)


def _check(session: Connection, part: str, step: str) -> None:
    known = session.rows("SELECT DISTINCT part, step FROM operation_index WHERE part IS NOT NULL")
    if (part, step) not in known:
        raise UnknownNameError(
            "step", f"{part}: {step}", [f"{known_part}: {name}" for known_part, name in known]
        )
