"""One measured condition from all sides: raw, in bands, cut where the claims differ most."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.conditions.parts import best_cut_in_risk_sets, parted, uneven
from tracegraph.analysis.conditions.plain import plain_cut, plain_tests
from tracegraph.analysis.conditions.ranks import rank_tests
from tracegraph.analysis.conditions.season import (
    Baselines,
    calendar_of,
    weekly_deviation,
)
from tracegraph.analysis.conditions.table import measured_families
from tracegraph.analysis.matched.familywise import seed_from
from tracegraph.analysis.timing.followed import Followed, followed_hulls
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import UnknownNameError
from tracegraph.stats.arrays import Bools, Floats
from tracegraph.store import Connection, Store

RESAMPLES = 999

TAIL = 0.1
"""Share of the hulls in either tail that is looked at beside the bands."""


@dataclass(frozen=True, eq=False)
class Condition:
    """What one measured condition has to do with the claims of one definition.

    Attributes
    ----------
    hulls : DataFrame
        Hulls at risk: ``hull_id``, ``hull_serial``, ``model``, ``place``, ``at`` (time of
        the work), ``value``, ``low``, ``high`` (mean and range over the operations of the
        hull; NaN where nothing was measured), ``week_deviation``, ``affected`` (bool),
        ``expected`` (its share of the cases if the condition did not matter: each case is
        shared out among the hulls at risk at its age that have a value).
    tests : DataFrame
        Rank test in risk sets: ``allowed_for`` (nothing, model and month, week),
        ``z``, ``p_value`` (two-sided), ``p_higher``, ``p_lower``, ``cases``.
    plain : DataFrame
        Permutation tests on the landmark table; see
        :func:`tracegraph.analysis.conditions.plain.plain_tests`.
    bands : DataFrame
        Bands fixed on the whole production, then both tails: ``band``, ``kind`` (band,
        tail), ``low``, ``high`` (edges, the upper excluded; NaN where open), ``hulls``,
        ``observed``, ``expected``, ``rate_ratio`` (against all other hulls) with
        ``rate_ratio_low``, ``rate_ratio_high`` (95 %, mid-p). Models allowed for.
    p_bands : float
        Resampled chance that cases spread so unevenly over the bands, high and low ends
        alike.
    cuts : DataFrame
        The best of all cuts: ``population`` (risk sets, risk sets with season, landmark),
        ``cut`` (last value of the lower side), ``side`` (below, above: where claims are
        more frequent), ``z``, ``p_value`` (of the search; resampled in risk sets, exact on
        the landmark table), ``cuts`` tried, ``hulls``, ``observed``, ``expected`` on that
        side (missing on the landmark table).
    known, unknown, unknown_cases : int
        Hulls at risk with a value, without, and the affected among these.
    family, unit : str
        The condition.
    resamples : int
        How often claims were dealt out anew.
    definition : CaseDefinition
        As settled on the data.
    data_version : str
        Version of the records.
    """

    hulls: pd.DataFrame
    tests: pd.DataFrame
    plain: pd.DataFrame
    bands: pd.DataFrame
    p_bands: float
    cuts: pd.DataFrame
    known: int
    unknown: int
    unknown_cases: int
    family: str
    unit: str | None
    resamples: int
    definition: CaseDefinition
    data_version: str


def examine_condition(
    store: Store, definition: CaseDefinition, family: str, *, resamples: int = RESAMPLES
) -> Condition:
    """Look at one measured condition from all sides.

    Parameters
    ----------
    store : Store
        The records.
    definition : CaseDefinition
        Which claims count.
    family : str
        A measured family, as typed.
    resamples : int, default 999
        How often claims are dealt out anew for the cuts and the bands.

    Returns
    -------
    Condition
        The same for the same records, definition and family.

    Raises
    ------
    UnknownNameError
        If there is no measured family of that name, or the definition names something
        unknown.
    """
    zone = store.meta("time_zone") or "UTC"
    with store.session() as session:
        chosen = _find(session, family)
        settled = draw_cohort(session, definition).definition
        number = int(chosen["family_id"])
        hulls = followed_hulls(session)
        names = session.frame("conditions/hulls")
        measured = session.frame("conditions/values", {"family_id": number})
        edges = session.frame("conditions/bands", {"family_id": number})
        calendar = calendar_of(session, str(chosen["part"]), str(chosen["step"]), zone)
    baselines = Baselines.of(hulls, calendar)
    values = measured["value"].to_numpy(np.float64, na_value=np.nan)
    known = hulls.at_risk & np.isfinite(values)
    part = hulls.among(known)
    found = rank_tests(hulls, values, calendar, baselines)
    seed = seed_from(store.version, settled.fingerprint(), str(chosen["family"]))
    members, bands = _members(edges, values, known)
    in_bands = members[(bands["kind"] == "band").to_numpy()]
    landmark = names["affected"].notna().to_numpy()
    affected = names["affected"].fillna(False).to_numpy(np.bool_)[landmark]
    frame = names.drop(columns="affected").assign(
        at=calendar.at,
        value=values,
        low=measured["low"],
        high=measured["high"],
        week_deviation=weekly_deviation(values, calendar.week),
        affected=hulls.month >= 0,
        expected=part.expected(np.ones(len(hulls))),
    )
    return Condition(
        hulls=frame[hulls.at_risk].reset_index(drop=True),
        tests=pd.DataFrame(
            [
                {
                    "allowed_for": allowed,
                    "z": test.z,
                    "p_value": test.two_sided,
                    "p_higher": test.greater,
                    "p_lower": test.less,
                    "cases": test.cases,
                }
                for allowed, test in (
                    ("nothing", found.plain),
                    ("model and month", found.season),
                    ("week", found.week),
                )
            ]
        ),
        plain=plain_tests(values[landmark], affected),
        bands=_with_ratios(bands, part, members, baselines.model),
        p_bands=uneven(part, in_bands, baselines.model, resamples=resamples, seed=seed),
        cuts=_cuts(part, values, baselines, values[landmark], affected, resamples, seed),
        known=int(known.sum()),
        unknown=int((hulls.at_risk & ~known).sum()),
        unknown_cases=int((~known & (hulls.month >= 0)).sum()),
        family=str(chosen["family"]),
        unit=None if pd.isna(chosen["unit"]) else str(chosen["unit"]),
        resamples=resamples,
        definition=settled,
        data_version=store.version,
    )


def _find(session: Connection, family: str) -> pd.Series:
    families = measured_families(session)
    names = families["family"].tolist()
    wanted = " ".join(family.split()).casefold()
    for place, name in enumerate(names):
        if name.casefold() == wanted:
            return families.iloc[place]
    raise UnknownNameError("measured condition", family, names)


def _members(edges: pd.DataFrame, values: Floats, known: Bools) -> tuple[Bools, pd.DataFrame]:
    """Hulls of each band and of both tails, and what these are called."""
    low = edges["low"].fillna(-np.inf).to_numpy(np.float64)
    high = edges["high"].fillna(np.inf).to_numpy(np.float64)
    names, kinds = edges["level"].tolist(), ["band"] * len(edges)
    if known.any():
        ends = np.quantile(values[known], [TAIL, 1.0 - TAIL])
        low = np.concatenate([low, [-np.inf, ends[1]]])
        high = np.concatenate([high, [np.nextafter(ends[0], np.inf), np.inf]])
        names, kinds = [*names, "lowest tenth", "highest tenth"], [*kinds, "tail", "tail"]
    inside = known & (values >= low[:, None]) & (values < high[:, None])
    bands = pd.DataFrame(
        {
            "band": pd.Series(names, dtype="str"),
            "kind": pd.Series(kinds, dtype="str"),
            "low": np.where(np.isfinite(low), low, np.nan),
            "high": np.where(np.isfinite(high), high, np.nan),
        }
    )
    return inside, bands


def _with_ratios(
    bands: pd.DataFrame, hulls: Followed, members: Bools, weight: Floats
) -> pd.DataFrame:
    parts = parted(hulls, members, weight)
    ratios = parts.counts.rate_ratios()
    return bands.assign(
        hulls=parts.hulls,
        observed=parts.counts.observed,
        expected=parts.counts.expected,
        rate_ratio=ratios.ratio,
        rate_ratio_low=ratios.mid_p_low,
        rate_ratio_high=ratios.mid_p_high,
    )


def _cuts(
    hulls: Followed,
    values: Floats,
    baselines: Baselines,
    landmark_values: Floats,
    affected: Bools,
    resamples: int,
    seed: int,
) -> pd.DataFrame:
    rows = []
    total, cases = int(hulls.at_risk.sum()), len(hulls.cases)
    for name, weight in (
        ("risk sets", baselines.model),
        ("risk sets with season", baselines.season),
    ):
        best = best_cut_in_risk_sets(hulls, values, weight, resamples=resamples, seed=seed)
        below = best.z > 0.0
        rows.append(
            {
                "population": name,
                "cut": best.cut,
                "side": "below" if below else "above",
                "z": best.z,
                "p_value": best.p_value,
                "cuts": best.cuts,
                "hulls": best.hulls if below else total - best.hulls,
                "observed": best.observed if below else cases - best.observed,
                "expected": best.expected if below else cases - best.expected,
            }
        )
    plain = plain_cut(landmark_values, affected)
    rows.append(
        {
            "population": "landmark",
            "cut": plain.cut,
            "side": "below" if plain.z > 0.0 else "above",
            "z": plain.z,
            "p_value": plain.p_value,
            "cuts": plain.cuts,
        }
    )
    return pd.DataFrame(rows).astype({"hulls": "Int64", "observed": "Int64"})
