"""When along the building order claims began to come, and whether that has ended."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.matched.familywise import seed_from
from tracegraph.analysis.naming import Suspect, find_suspect
from tracegraph.analysis.timing.folds import calendar_folds, service_fold
from tracegraph.analysis.timing.followed import Followed, followed_hulls
from tracegraph.analysis.timing.looking import Look, look
from tracegraph.analysis.timing.scan import NARROW_DROP, WIDE_DROP
from tracegraph.analysis.timing.shapes import Fold
from tracegraph.domain.definition import CaseDefinition
from tracegraph.store import Connection, Store

RESAMPLES = 499

CLOCKS = ("worked", "fitted", "pulled", "built")
"""By what hulls may stand in a row, in order of preference."""

_COVERAGE = {NARROW_DROP: 0.80, WIDE_DROP: 0.95}


@dataclass(frozen=True, eq=False)
class Onset:
    """Claims along the order in which a step was done.

    Attributes
    ----------
    hulls : DataFrame
        One row per hull in the row, in its order: ``hull_id``, ``hull_serial``,
        ``model``, ``place``, ``at`` (UTC; a day when the clock is ``built``), ``state``
        (exposed, not exposed, not recorded; missing without a suspect), ``affected``
        (bool), ``expected`` (claims it expects over its follow-up), ``observed_so_far``,
        ``expected_so_far`` (both cumulated up to and including it), ``inside`` (bool: in
        the best stretch).
    shapes : DataFrame
        One row per shape looked for: ``shape`` (stretch, step, ramp, weekday, season,
        service cycle), ``label`` (bins of a comb), ``first_at``, ``last_at`` (ends of a
        stretch), ``observed``, ``expected``, ``rate_ratio`` (inside over outside; end over
        beginning for a ramp), ``gain`` (log-likelihood), ``p_value`` (resampled),
        ``p_gumbel`` (fitted law), ``turns`` (of a comb with a case in it),
        ``p_without_strongest`` (of a comb). Missing where it makes no sense.
    limits : DataFrame
        Where the best stretch may begin and end: ``edge`` (start, end), ``drop`` (in
        log-likelihood), ``coverage`` (share of simulated rows that held the true start),
        ``earliest``, ``latest`` (times), ``earliest_hull``, ``latest_hull`` (serials).
    reading : str
        A key of :data:`tracegraph.analysis.timing.reading.MEANINGS`.
    p_any : float
        Chance that any shape is as unlikely when nothing happened.
    clock : str
        By what the hulls stand in the row, one of ``CLOCKS``.
    cases, at_risk : int
        Hulls in the row.
    left_out, left_out_cases : int
        Hulls at risk without a time, and the affected among them.
    resamples : int
        How often chance was tried.
    suspect : Suspect or None
        Whose step gave the order.
    definition : CaseDefinition
        As settled on the data.
    data_version : str
        Version of the records.
    """

    hulls: pd.DataFrame
    shapes: pd.DataFrame
    limits: pd.DataFrame
    reading: str
    p_any: float
    clock: str
    cases: int
    at_risk: int
    left_out: int
    left_out_cases: int
    resamples: int
    suspect: Suspect | None
    definition: CaseDefinition
    data_version: str


def onset(
    store: Store,
    definition: CaseDefinition,
    family: str | None = None,
    level: str | None = None,
    *,
    resamples: int = RESAMPLES,
    people_reason: str | None = None,
) -> Onset:
    """Look along the building order for a beginning and an end of claims.

    Parameters
    ----------
    store : Store
        The records.
    definition : CaseDefinition
        Which claims count.
    family, level : str, optional
        A suspect: hulls stand in the order in which its step was done on its part, else
        were fitted, pulled or built. Without one, in the order of building.
    resamples : int, default 499
        How often chance is tried; the smallest p-value is one over one more.
    people_reason : str, optional
        Why a family of people is asked for.

    Returns
    -------
    Onset
        The same for the same records, definition and suspect.

    Raises
    ------
    UnknownNameError
        If there is no such family or level, or the definition names something unknown.
    DefinitionError
        If the family is one of people and no reason is given.
    """
    zone = store.meta("time_zone") or "UTC"
    with store.session() as session:
        suspect = None
        if family is not None and level is not None:
            suspect = find_suspect(session, family, level, people_reason=people_reason)
        settled = draw_cohort(session, definition).definition
        rows = session.frame("timing/order", _numbers(suspect))
        hulls = followed_hulls(session)
        part = _part_of(session, suspect)
        cycle = session.frame("timing/service_cycle", {"part": part}) if part else None
    if suspect is not None:
        hulls = hulls.among(rows["state"].notna().to_numpy())
    clock = _clock(rows, hulls)
    at = rows[f"{clock}_at"]
    local = at if clock == "built" else at.dt.tz_localize("UTC").dt.tz_convert(zone)
    folds: list[Fold] = calendar_folds(local.dt.tz_localize(None))
    if cycle is not None:
        turn = cycle["turn"].fillna(0).to_numpy(np.int64)
        fold = service_fold(cycle["pulls"].to_numpy(np.float64, na_value=np.nan), turn)
        folds += [fold] if fold is not None else []
    moments = at.astype("datetime64[us]").astype("int64").to_numpy(np.float64)
    when = np.where(at.isna(), np.nan, moments)
    names = ("", "") if suspect is None else (suspect.family, suspect.level)
    words = (store.version, settled.fingerprint(), *names)
    found = look(hulls, when, folds=folds, resamples=resamples, seed=seed_from(*words))
    gone = hulls.at_risk & ~found.taking_part
    ordered = _ordered(rows, at, hulls, found)
    return Onset(
        hulls=ordered,
        shapes=_shapes(found, ordered),
        limits=_limits(found, ordered),
        reading=found.code,
        p_any=found.p_any,
        clock=clock,
        cases=len(found.cases),
        at_risk=int(found.taking_part.sum()),
        left_out=int(gone.sum()),
        left_out_cases=int((gone & (hulls.month >= 0)).sum()),
        resamples=resamples,
        suspect=suspect,
        definition=settled,
        data_version=store.version,
    )


def _numbers(suspect: Suspect | None) -> dict[str, Any]:
    return {
        "family_id": None if suspect is None else suspect.family_id,
        "level_id": None if suspect is None else suspect.level_id,
    }


def _part_of(session: Connection, suspect: Suspect | None) -> str | None:
    """Part that the suspect's family belongs to."""
    if suspect is None:
        return None
    families = session.frame("contain/families").set_index("family_id")
    return str(families.loc[suspect.family_id, "part"])


def _clock(rows: pd.DataFrame, hulls: Followed) -> str:
    """The first clock that has a time for at least half of the hulls at risk."""
    known = rows.loc[hulls.at_risk, [f"{clock}_at" for clock in CLOCKS]].notna().mean()
    enough = [clock for clock in CLOCKS if known[f"{clock}_at"] >= 0.5]
    return enough[0] if enough else CLOCKS[-1]


def _ordered(rows: pd.DataFrame, at: pd.Series, hulls: Followed, found: Look) -> pd.DataFrame:
    """Hulls in the row, with both curves."""
    frame = rows[["hull_id", "hull_serial", "model", "place", "state"]].assign(
        at=at, affected=hulls.month >= 0, expected=found.expected, spot=found.line.place
    )
    frame = frame[found.taking_part].sort_values(["spot", "hull_serial"], ignore_index=True)
    frame["observed_so_far"] = frame["affected"].cumsum()
    frame["expected_so_far"] = frame["expected"].cumsum()
    stretch = found.stretch
    frame["inside"] = (
        frame["spot"].between(stretch.first, stretch.last) if stretch is not None else False
    )
    return frame


def _shapes(found: Look, ordered: pd.DataFrame) -> pd.DataFrame:
    when = ordered.drop_duplicates("spot").set_index("spot")["at"]
    count = len(found.cases)
    rows: list[dict[str, Any]] = []
    for name, stretch in (("stretch", found.stretch), ("step", found.step)):
        if stretch is not None:
            rows.append(
                {
                    "shape": name,
                    "first_at": when[stretch.first],
                    "last_at": when[stretch.last],
                    "observed": stretch.observed,
                    "expected": stretch.expected,
                    "rate_ratio": stretch.rate_ratio(count),
                    "gain": stretch.gain,
                }
            )
    if found.ramp is not None:
        rows.append({"shape": "ramp", "rate_ratio": found.ramp.growth, "gain": found.ramp.gain})
    for name, tooth in found.teeth.items():
        rest = tooth.cases - tooth.observed
        away = (tooth.cases - tooth.expected) / rest if rest else np.inf
        rows.append(
            {
                "shape": name,
                "label": tooth.label,
                "observed": tooth.observed,
                "expected": tooth.expected,
                "rate_ratio": tooth.observed / tooth.expected * away if tooth.observed else 0.0,
                "gain": tooth.gain,
                "turns": tooth.turns,
                "p_without_strongest": tooth.p_without_strongest,
            }
        )
    columns = {
        "shape": "str",
        "label": "str",
        "first_at": "datetime64[us]",
        "last_at": "datetime64[us]",
        "observed": "Int64",
        "expected": "float64",
        "rate_ratio": "float64",
        "gain": "float64",
        "turns": "Int64",
        "p_without_strongest": "float64",
    }
    frame = pd.DataFrame(rows, columns=list(columns)).astype(columns)
    chances = [found.chances[name] for name in frame["shape"]]
    frame["p_value"] = pd.Series([c.p_value for c in chances], dtype="float64")
    frame["p_gumbel"] = pd.Series([c.p_gumbel for c in chances], dtype="float64")
    return frame


def _limits(found: Look, ordered: pd.DataFrame) -> pd.DataFrame:
    first = ordered.drop_duplicates("spot").set_index("spot")
    last = ordered.drop_duplicates("spot", keep="last").set_index("spot")
    rows = [
        {
            "edge": edge,
            "drop": drop,
            "coverage": _COVERAGE[drop],
            "earliest": first.loc[low, "at"],
            "latest": last.loc[high, "at"],
            "earliest_hull": first.loc[low, "hull_serial"],
            "latest_hull": last.loc[high, "hull_serial"],
        }
        for drop, ends in found.limits.items()
        for edge, (low, high) in zip(("start", "end"), ends, strict=True)
    ]
    columns = {
        "edge": "str",
        "drop": "float64",
        "coverage": "float64",
        "earliest": "datetime64[us]",
        "latest": "datetime64[us]",
        "earliest_hull": "str",
        "latest_hull": "str",
    }
    return pd.DataFrame(rows, columns=list(columns)).astype(columns)
