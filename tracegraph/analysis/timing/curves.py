"""Claims against months in service, for hulls that carry a level and hulls that do not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import ndtri

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.naming import Suspect, find_suspect
from tracegraph.analysis.timing.halves import Halves, compare_halves
from tracegraph.domain.definition import CaseDefinition
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.log_rank import log_rank
from tracegraph.stats.recurrence import mean_cumulative
from tracegraph.stats.survival import nelson_aalen
from tracegraph.store import Store

FEWEST_AT_RISK = 5
"""Curves stop where fewer exposed hulls are at risk."""

EXPOSED, NOT_EXPOSED, NOT_RECORDED = "exposed", "not exposed", "not recorded"


@dataclass(frozen=True, eq=False)
class ServiceCurves:
    """Claims against months in service, exposed and not exposed apart.

    Attributes
    ----------
    first : DataFrame
        First claims (Nelson and Aalen): one row per group and whole month from 0 to the
        last that is shown: ``group`` (exposed, not exposed), ``month``, ``at_risk``,
        ``claims`` (in that month), ``per_hull`` (cumulative hazard), ``low``, ``high``
        (95 %, log scale; 0 and missing before the first claim).
    every : DataFrame
        All claims (mean cumulative function), same columns; ``per_hull`` is the mean
        number of claims of a hull up to that month, the limits are Lawless and Nadeau's.
    tests : DataFrame
        Log-rank of first claims over all months: ``compared`` (all hulls, within
        models), ``observed``, ``expected`` (among the exposed), ``chi_square``,
        ``p_value``.
    halves : DataFrame
        Early and late service time: ``half``, ``from_month``, ``to_month``, ``cases``,
        ``observed`` (exposed cases), ``expected``, ``rate_ratio``, ``rate_ratio_low``,
        ``rate_ratio_high`` (95 %, mid-p).
    p_halves : float
        Exact chance that the exposed cases fall so unevenly on the two halves when the
        rate ratio is the same in both.
    reading : str
        A key of :data:`tracegraph.analysis.timing.halves.MEANINGS`.
    first_stops_at, every_stops_at : int or None
        Last month shown in each frame: the last at which five exposed hulls are at risk.
        None, and an empty frame, when there is none.
    exposed, not_exposed, not_recorded : int
        Hulls at risk by what is known of them.
    not_recorded_cases : int
        The affected among hulls whose record is missing.
    suspect : Suspect
        The level.
    definition : CaseDefinition
        As settled on the data.
    data_version : str
        Version of the records.
    """

    first: pd.DataFrame
    every: pd.DataFrame
    tests: pd.DataFrame
    halves: pd.DataFrame
    p_halves: float
    reading: str
    first_stops_at: int | None
    every_stops_at: int | None
    exposed: int
    not_exposed: int
    not_recorded: int
    not_recorded_cases: int
    suspect: Suspect
    definition: CaseDefinition
    data_version: str


def service_curves(
    store: Store,
    definition: CaseDefinition,
    family: str,
    level: str,
    *,
    people_reason: str | None = None,
) -> ServiceCurves:
    """Compare claims over service time between hulls with and without a level.

    Parameters
    ----------
    store : Store
        The records.
    definition : CaseDefinition
        Which claims count.
    family, level : str
        The suspect, as typed.
    people_reason : str, optional
        Why a family of people is asked for.

    Returns
    -------
    ServiceCurves
        Hulls whose record is missing are counted apart and are in neither curve.

    Raises
    ------
    UnknownNameError
        If there is no such family or level, or the definition names something unknown.
    DefinitionError
        If the family is one of people and no reason is given.
    """
    with store.session() as session:
        suspect = find_suspect(session, family, level, people_reason=people_reason)
        settled = draw_cohort(session, definition).definition
        hulls = session.frame(
            "timing/states", {"family_id": suspect.family_id, "level_id": suspect.level_id}
        )
        claims = session.frame("timing/claims", settled.parameters())
    failed = hulls["case_month"].notna()
    unknown = hulls["state"] == NOT_RECORDED
    known = hulls["state"].isin((EXPOSED, NOT_EXPOSED)).to_numpy()
    kept = hulls[known].reset_index(drop=True)
    carries = (kept["state"] == EXPOSED).to_numpy()
    case = kept["case_month"].notna().to_numpy()
    age = kept["case_month"].fillna(kept["follow_months"]).to_numpy(np.int64)
    halves = compare_halves(age, case, carries)
    first, first_stop = _both(carries, lambda group: _first(age[group], case[group]))
    every, every_stop = _both(carries, lambda group: _every(kept[group], claims))
    return ServiceCurves(
        first=first,
        every=every,
        tests=_tests(age, case, carries, kept["model"]),
        halves=_halves_frame(halves),
        p_halves=halves.p_value,
        reading=halves.reading,
        first_stops_at=first_stop,
        every_stops_at=every_stop,
        exposed=int(carries.sum()),
        not_exposed=int((~carries).sum()),
        not_recorded=int(unknown.sum()),
        not_recorded_cases=int((unknown & failed).sum()),
        suspect=suspect,
        definition=settled,
        data_version=store.version,
    )


@dataclass(frozen=True, eq=False)
class _Steps:
    """A step curve at the months where it changes, with those followed."""

    follow: Floats
    month: Floats
    claims: Ints
    estimate: Floats
    error: Floats


def _first(age: Ints, case: Bools) -> _Steps:
    curve = nelson_aalen(age, case)
    return _Steps(
        age.astype(np.float64), curve.age, curve.failed, curve.estimate, curve.standard_error
    )


def _every(hulls: pd.DataFrame, claims: pd.DataFrame) -> _Steps:
    place = pd.Series(np.arange(len(hulls)), index=hulls["hull_id"])
    own = claims[claims["hull_id"].isin(place.index)]
    follow = hulls["follow_months"].to_numpy(np.float64)
    curve = mean_cumulative(follow, place.loc[own["hull_id"]], own["month"])
    return _Steps(follow, curve.age, curve.events, curve.estimate, curve.robust_error)


def _both(carries: Bools, make: Callable[[Bools], _Steps]) -> tuple[pd.DataFrame, int | None]:
    """Both groups month by month, and the last month with five exposed hulls at risk."""
    exposed, others = make(carries), make(~carries)
    stop = None
    if len(exposed.follow) >= FEWEST_AT_RISK:
        stop = int(np.sort(exposed.follow)[-FEWEST_AT_RISK])
    months = np.arange(0 if stop is None else stop + 1)
    frame = pd.concat(
        [_monthly(EXPOSED, exposed, months), _monthly(NOT_EXPOSED, others, months)],
        ignore_index=True,
    )
    return frame[frame["at_risk"] > 0].reset_index(drop=True), stop


def _monthly(name: str, steps: _Steps, months: Ints) -> pd.DataFrame:
    place = np.searchsorted(steps.month, months, side="right")
    estimate = np.concatenate([[0.0], steps.estimate])[place]
    error = np.concatenate([[0.0], steps.error])[place]
    claims = np.zeros(len(months), np.int64)
    shown = steps.month < len(months)
    claims[steps.month[shown].astype(np.int64)] = steps.claims[shown]
    at_risk = len(steps.follow) - np.searchsorted(np.sort(steps.follow), months, side="left")
    begun = estimate > 0.0
    factor = np.exp(float(ndtri(0.975)) * error / np.where(begun, estimate, 1.0))
    return pd.DataFrame(
        {
            "group": pd.Series([name] * len(months), dtype="str"),
            "month": months,
            "at_risk": at_risk,
            "claims": claims,
            "per_hull": estimate,
            "low": estimate / factor,
            "high": np.where(begun, estimate * factor, np.nan),
        }
    )


def _tests(age: Ints, case: Bools, carries: Bools, model: pd.Series) -> pd.DataFrame:
    rows = []
    for compared, strata in (("all hulls", None), ("within models", model.to_numpy())):
        result = log_rank(age, case, carries.astype(np.int64), strata=strata)
        exposed = np.flatnonzero(result.groups == 1)
        rows.append(
            {
                "compared": compared,
                "observed": float(result.observed[exposed].sum()),
                "expected": float(result.expected[exposed].sum()),
                "chi_square": result.chi_square,
                "p_value": result.p_value,
            }
        )
    return pd.DataFrame(rows)


def _halves_frame(halves: Halves) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "half": pd.Series(["early", "late"], dtype="str"),
            "from_month": [0, halves.split + 1],
            "to_month": [halves.split, halves.last],
            "cases": halves.cases,
            "observed": halves.observed,
            "expected": halves.expected,
            "rate_ratio": halves.ratio,
            "rate_ratio_low": halves.low,
            "rate_ratio_high": halves.high,
        }
    )
