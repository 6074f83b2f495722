"""All measured conditions of a plant against the claims of one definition."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.conditions.ranks import RankTests, rank_tests
from tracegraph.analysis.conditions.season import Baselines, Calendar, calendar_of
from tracegraph.analysis.timing.followed import Followed, followed_hulls
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import UnknownNameError
from tracegraph.stats.arrays import Floats
from tracegraph.stats.multiplicity import adjust
from tracegraph.stats.risk_sets import ScoreTest
from tracegraph.store import Connection, Store


@dataclass(frozen=True, eq=False)
class Conditions:
    """Measured conditions, the least likely by chance first.

    Attributes
    ----------
    frame : DataFrame
        One row per condition: ``family_id``, ``family``, ``kind``, ``part``, ``step``,
        ``stage``, ``unit``, ``known`` (hulls at risk with a value), ``cases`` (affected
        among them), ``unknown`` and ``unknown_cases`` (at risk without), ``median`` (of
        hulls at risk), ``median_affected``, ``z``, ``p_value`` (rank test in risk sets,
        two-sided; positive z: affected hulls have higher values), ``q_bh`` (over all
        conditions tested), ``z_season``, ``p_season`` (model and month of the year
        allowed for), ``z_week``, ``p_week`` (deviation from the mean of the week),
        ``reading`` (a key of :data:`tracegraph.analysis.conditions.ranks.MEANINGS`).
        NaN where no case has a value.
    definition : CaseDefinition
        As settled on the data.
    data_version : str
        Version of the records.
    """

    frame: pd.DataFrame
    definition: CaseDefinition
    data_version: str


def rank_conditions(
    store: Store, definition: CaseDefinition, *, kinds: Sequence[str] = ()
) -> Conditions:
    """Test every measured condition as measured, without cutting it into classes.

    Parameters
    ----------
    store : Store
        The records.
    definition : CaseDefinition
        Which claims count.
    kinds : sequence of str, optional
        Kinds of families tested, such as ``ambient condition``; all when left out.

    Returns
    -------
    Conditions
        Conditions of which nothing can be said come last.

    Raises
    ------
    UnknownNameError
        If the definition names something that is not in the records, or there is no
        measured family of such a kind.
    """
    zone = store.meta("time_zone") or "UTC"
    rows = []
    with store.session() as session:
        settled = draw_cohort(session, definition).definition
        families = measured_families(session, kinds)
        hulls = followed_hulls(session)
        for (part, step), group in families.groupby(["part", "step"], sort=False):
            calendar = calendar_of(session, str(part), str(step), zone)
            baselines = Baselines.of(hulls, calendar)
            for family in group["family_id"]:
                values = values_of(session, int(family))
                rows.append(_row(int(family), hulls, values, calendar, baselines))
    tests = pd.DataFrame([row for row, _ in rows], columns=_COLUMNS)
    tests["q_bh"] = adjust(tests["p_value"].to_numpy(np.float64))
    tests["reading"] = pd.Series(
        [
            found.reading(q) if found is not None else "none"
            for (_, found), q in zip(rows, tests["q_bh"], strict=True)
        ],
        dtype="str",
    )
    frame = families.drop(columns="hulls").merge(tests, on="family_id")
    size = frame["z"].abs()
    frame = (
        frame.assign(size=size)
        .sort_values(["p_value", "size", "family_id"], ascending=[True, False, True])
        .drop(columns="size")
        .reset_index(drop=True)
    )
    return Conditions(frame, settled, store.version)


_COLUMNS = [
    "family_id",
    "known",
    "cases",
    "unknown",
    "unknown_cases",
    "median",
    "median_affected",
    "z",
    "p_value",
    "z_season",
    "p_season",
    "z_week",
    "p_week",
]


def measured_families(session: Connection, kinds: Sequence[str] = ()) -> pd.DataFrame:
    """Families whose answers are measured; see ``conditions/families.sql``.

    Raises
    ------
    UnknownNameError
        If there is no measured family of one of the kinds.
    """
    families = session.frame("conditions/families")
    known = set(families["kind"])
    for kind in kinds:
        if kind not in known:
            raise UnknownNameError("kind of measured condition", kind, sorted(known))
    return families[families["kind"].isin(list(kinds))] if kinds else families


def values_of(session: Connection, family_id: int) -> Floats:
    """Measured value of every hull in order of number, nan where there is none."""
    column = session.arrays("conditions/values", {"family_id": family_id})["value"]
    return np.ma.filled(column.astype(np.float64), np.nan)


def _row(
    family_id: int, hulls: Followed, values: Floats, calendar: Calendar, baselines: Baselines
) -> tuple[dict[str, float], RankTests | None]:
    known = hulls.at_risk & np.isfinite(values)
    case = hulls.month >= 0
    row: dict[str, float] = {
        "family_id": family_id,
        "known": int(known.sum()),
        "cases": int((known & case).sum()),
        "unknown": int((hulls.at_risk & ~known).sum()),
        "unknown_cases": int((~known & case).sum()),
        "median": float(np.median(values[known])) if known.any() else np.nan,
        "median_affected": np.nan,
    }
    found = None
    tests: tuple[ScoreTest | None, ...] = (None, None, None)
    if row["cases"]:
        row["median_affected"] = float(np.median(values[known & case]))
        found = rank_tests(hulls, values, calendar, baselines)
        tests = (found.plain, found.season, found.week)
    names = (("z", "p_value"), ("z_season", "p_season"), ("z_week", "p_week"))
    for (z, p), test in zip(names, tests, strict=True):
        row[z] = np.nan if test is None else test.z
        row[p] = np.nan if test is None else test.two_sided
    return row, found
