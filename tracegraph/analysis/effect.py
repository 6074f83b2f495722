"""The effect check of an action: hulls built under it against those before, at the same age."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.naming import find_suspect
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError
from tracegraph.stats.arrays import Floats
from tracegraph.stats.effect_check import (
    LEAST_EXPECTED,
    EffectVerdict,
    judge_effect,
)
from tracegraph.store import Store
from tracegraph.store.queries import sql_text

HORIZON_MONTHS = 120
"""How far ahead the day of a verdict is looked for."""


@dataclass(frozen=True, eq=False)
class EffectCheck:
    """What became of the claims after an action.

    Attributes
    ----------
    verdict : EffectVerdict
        The verdict with its numbers.
    family, level : str
        The suspect acted on.
    acted_on : date
        Day of the action.
    first_built : date
        Day of building of the first hull under it.
    before, after : int
        Hulls that carried the suspect before; hulls built under the action.
    after_carrying : float
        Share of the latter that carries, or would have carried, the suspect.
    still_carried : bool
        Whether hulls under the action still carry the suspect (a mended mold), so that only
        they are followed; else all are (a lot withdrawn).
    levels : int
        Levels of the suspect's family, of which it was picked out.
    months : int
        Months in service that both sides were followed over at most.
    verdict_possible_on : date or None
        Day on which 3 cases would be expected had nothing changed; None: not within ten years.
    control : tuple of (int, float) or None
        Other claims on the hulls after the action, and those expected; None: there are none.
    as_of : date
        Last day of the data.
    definition : CaseDefinition
        As settled on the data.
    data_version : str
        Version of the records.
    """

    verdict: EffectVerdict
    family: str
    level: str
    acted_on: date
    first_built: date
    before: int
    after: int
    after_carrying: float
    still_carried: bool
    levels: int
    months: int
    verdict_possible_on: date | None
    control: tuple[int, float] | None
    as_of: date
    definition: CaseDefinition
    data_version: str


def check_effect(
    store: Store,
    definition: CaseDefinition,
    family: str,
    level: str,
    acted_on: date,
    *,
    first_built: date | None = None,
    looks: int = 1,
    people_reason: str | None = None,
) -> EffectCheck:
    """Hold the claims after an action against those before.

    Parameters
    ----------
    store : Store
        The records.
    definition : CaseDefinition
        Which claims count.
    family, level : str
        The suspect acted on.
    acted_on : date
        Day of the action.
    first_built : date, optional
        Day of building of the first hull truly built under it; the day of the action when
        left out. Hulls finished in between count neither way.
    looks : int
        Looks planned in advance.
    people_reason : str, optional
        Why a family of people is asked for.

    Returns
    -------
    EffectCheck
        The verdict, and what it rests on.

    Raises
    ------
    UnknownNameError
        If the suspect or a word of the definition is not in the records.
    DefinitionError
        If the first hull lies before the action, or no hull before it carries the suspect.
    """
    first = first_built or acted_on
    if first < acted_on:
        raise DefinitionError(
            f"The first hull under the action cannot be built before it; got {first} and "
            f"{acted_on}."
        )
    if looks < 1:
        raise DefinitionError(f"At least one look is planned; got {looks}.")
    with store.session() as session:
        suspect = find_suspect(session, family, level, people_reason=people_reason)
        keys = {"family_id": suspect.family_id, "level_id": suspect.level_id}
        settled = draw_cohort(session, definition).definition
        hulls = session.frame("cohort/effect_hulls", keys)
        levels = int(
            session.scalar(sql_text("cohort/effect_levels"), {"family_id": suspect.family_id})
        )
        words = session.rows("SELECT DISTINCT symptom FROM claim_index ORDER BY symptom")
        asked = {word.casefold() for word in settled.symptoms}
        others = tuple(str(word) for (word,) in words if word and str(word).casefold() not in asked)
        other_hulls = None
        if asked and others:
            draw_cohort(session, settled.resolved(symptoms=others, zones=(), components=()))
            other_hulls = session.frame("cohort/effect_hulls", keys)
    assert settled.cut_off is not None
    sides = split_hulls(hulls, acted_on, first)
    if sides.carrying.empty:
        raise DefinitionError(
            f"No hull in service built before {acted_on} is on record with {level} of {family}; "
            "there is nothing to compare with."
        )
    hazard = monthly_hazard(sides.plain)
    verdict = judge_sides(sides, hazard, levels=levels, looks=looks)
    control = None
    if other_hulls is not None:
        same = split_hulls(other_hulls, acted_on, first)
        before = pd.concat([same.plain, same.carrying])
        risk = monthly_hazard(before)
        control = (cases_within(same.after, len(risk)), expected_cases(same.after, risk))
    return EffectCheck(
        verdict, family, level, acted_on, first, len(sides.carrying), len(sides.after), sides.share,
        sides.still_carried, levels, len(hazard),
        verdict_day(sides, hazard, verdict.ratio_before, settled.cut_off),
        control, settled.cut_off, settled, store.version,
    )  # fmt: skip


@dataclass(frozen=True, eq=False)
class Sides:
    """Hulls before an action without and with the suspect, and those built under it.

    Attributes
    ----------
    plain, carrying, after : DataFrame
        ``follow_months``, ``case_month``, ``built_on``.
    share : float
        Share of ``after`` that carries, or would have carried, the suspect.
    still_carried : bool
        Whether ``after`` are the hulls that still carry it.
    """

    plain: pd.DataFrame
    carrying: pd.DataFrame
    after: pd.DataFrame
    share: float
    still_carried: bool


def split_hulls(hulls: pd.DataFrame, acted_on: date, first: date) -> Sides:
    """Lay hulls on the sides of an action.

    Parameters
    ----------
    hulls : DataFrame
        ``built_on``, ``follow_months``, ``case_month``, ``carries`` (missing: not recorded).
    acted_on, first : date
        Day of the action; day of building of the first hull under it.

    Returns
    -------
    Sides
        A suspect that no hull carries any more stands for the share of hulls that carried
        it between its first and its last one.
    """
    built = pd.to_datetime(hulls["built_on"])
    carries = hulls["carries"].astype("boolean")
    known = carries.notna()
    yes = carries.fillna(value=False).astype(bool)
    early = built < pd.Timestamp(acted_on)
    late = built >= pd.Timestamp(first)
    plain, carrying = hulls[early & known & ~yes], hulls[early & yes]
    still = hulls[late & yes]
    if len(still):
        return Sides(plain, carrying, still, 1.0, still_carried=True)
    span = pd.to_datetime(carrying["built_on"])
    among = early & known & built.between(span.min(), span.max())
    share = float(yes[among].mean()) if among.any() else 0.0
    return Sides(plain, carrying, hulls[late], share, still_carried=False)


def judge_sides(sides: Sides, hazard: Floats, *, levels: int, looks: int = 1) -> EffectVerdict:
    """The verdict on hulls laid on the sides of an action, at a hazard without the suspect.

    Parameters
    ----------
    sides : Sides
        Hulls before and after.
    hazard : array of float, shape (months,)
        See :func:`monthly_hazard`.
    levels : int
        Levels of the suspect's family.
    looks : int
        Looks planned in advance.
    """
    base = expected_cases(sides.after, hazard)
    return judge_effect(
        cases_within(sides.carrying, len(hazard)),
        expected_cases(sides.carrying, hazard),
        cases_within(sides.after, len(hazard)),
        base * sides.share,
        base * (1.0 - sides.share),
        levels=levels,
        looks=looks,
    )


def monthly_hazard(hulls: pd.DataFrame) -> Floats:
    """Chance of a first case in each month of service, from month 0, shape (months,).

    Parameters
    ----------
    hulls : DataFrame
        ``follow_months``, ``case_month``.

    Returns
    -------
    array of float
        Cases over hulls followed; as long as a hull was followed. Empty without hulls.
    """
    if hulls.empty:
        return np.zeros(0)
    follow = hulls["follow_months"].to_numpy(np.int64)
    case = hulls["case_month"].to_numpy(float, na_value=np.nan)
    failed = np.isfinite(case) & (case <= follow)
    left = np.where(failed, np.nan_to_num(case), follow).astype(np.int64)
    months = int(follow.max()) + 1
    at_risk = np.cumsum(np.bincount(left, minlength=months)[::-1])[::-1]
    cases = np.bincount(left[failed], minlength=months)
    hazard: Floats = cases / np.maximum(at_risk, 1)
    return hazard


def expected_cases(hulls: pd.DataFrame, hazard: Floats) -> float:
    """Cases expected at a hazard, each hull until its case or the end of its follow-up."""
    if hulls.empty or not len(hazard):
        return 0.0
    follow = hulls["follow_months"].to_numpy(np.int64)
    case = hulls["case_month"].to_numpy(float, na_value=np.nan)
    until = np.where(np.isfinite(case), np.fmin(case, follow), follow).astype(np.int64)
    return float(np.cumsum(hazard)[np.minimum(until, len(hazard) - 1)].sum())


def cases_within(hulls: pd.DataFrame, months: int) -> int:
    """Hulls with a case while followed, within so many months from month 0."""
    case = hulls["case_month"].to_numpy(float, na_value=np.nan)
    follow = hulls["follow_months"].to_numpy(np.int64)
    return int(((case <= follow) & (case < months)).sum())


def verdict_day(sides: Sides, hazard: Floats, ratio: float, as_of: date) -> date | None:
    """Day on which 3 cases would be expected had nothing changed.

    Parameters
    ----------
    sides : Sides
        Hulls on both sides.
    hazard : array of float, shape (months,)
        See :func:`monthly_hazard`.
    ratio : float
        Rate ratio before the action.
    as_of : date
        Last day of the data.

    Returns
    -------
    date or None
        Hulls go on being built and delivered as in the last year under the action; None
        when three are not reached within :data:`HORIZON_MONTHS`.
    """
    if not len(hazard):
        return None
    lift = sides.share * ratio + 1.0 - sides.share
    total = np.cumsum(hazard)
    built = pd.to_datetime(sides.after["built_on"])
    recent = built > pd.Timestamp(as_of) - pd.DateOffset(months=12)
    pace = float(recent.sum()) / 12.0
    last = len(hazard) - 1
    age = sides.after["follow_months"].to_numpy(np.int64)
    ahead = 0.0
    for month in range(HORIZON_MONTHS + 1):
        now = float(total[np.minimum(age + month, last)].sum())
        if month:
            ahead += pace * float(total[min(month - 1, last)])
        if lift * (now + ahead) >= LEAST_EXPECTED:
            return (pd.Timestamp(as_of) + pd.DateOffset(months=month)).date()
    return None
