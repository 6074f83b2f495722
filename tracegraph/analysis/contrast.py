"""Affected hulls against unaffected ones of the same model, built in the same days.

What the affected hulls share may be what every boat of those weeks shares. Beside each
stand a few unaffected hulls, alike in model and age and near in the order of building.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.comparison import hull_numbers
from tracegraph.analysis.naming import require_reason
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError
from tracegraph.domain.kinds import PEOPLE
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.poisson_binomial import CaseCounts
from tracegraph.store import Connection, Store

PER_HULL = 4
"""Unaffected hulls beside each affected one; more add little."""


@dataclass(frozen=True, eq=False)
class Contrast:
    """Affected hulls beside matched unaffected ones.

    Attributes
    ----------
    definition : CaseDefinition
        As settled on the data.
    pairs : DataFrame
        ``affected``, ``unaffected`` (serials), ``days`` (between their building; signed).
    unmatched : tuple of str
        Affected hulls beside which no unaffected one could be put.
    levels : DataFrame
        One row per level that an affected hull carries, the most telling first:
        ``family``, ``level``, ``kind``, ``part``, ``step``, ``affected_with``,
        ``affected_known``, ``unaffected_with``, ``unaffected_known``, ``expected``
        (affected hulls with it, were it no matter), ``rate_ratio`` with its limits
        ``rate_ratio_low`` and ``rate_ratio_high``, ``p_greater`` (mid-p of one level looked
        at alone; thousands are looked at, so it proves nothing by itself).
    people_reason : str or None
        Why families of people are shown; None: they are left out.
    data_version : str
        Version of the records.
    """

    definition: CaseDefinition
    pairs: pd.DataFrame
    unmatched: tuple[str, ...]
    levels: pd.DataFrame
    people_reason: str | None
    data_version: str


def contrast(
    store: Store,
    definition: CaseDefinition,
    *,
    hulls: Sequence[str] = (),
    per_hull: int = PER_HULL,
    people_reason: str | None = None,
) -> Contrast:
    """Put unaffected hulls beside the affected ones and compare what they carry.

    Parameters
    ----------
    store : Store
        The records.
    definition : CaseDefinition
        Which hulls are affected.
    hulls : sequence of str, optional
        Some of the affected hulls, as typed; all when left out.
    per_hull : int, default 4
        Unaffected hulls beside each.
    people_reason : str, optional
        Why families of people should be shown.

    Returns
    -------
    Contrast
        Each unaffected hull stands beside one affected hull at most. It has the same
        model, was followed at least to the month of the claim, and was built nearest.

    Raises
    ------
    DefinitionError
        If no hull is affected, one of those named is not, or ``per_hull`` is below 1.
    UnknownHullError
        If a number names no hull, or several.
    """
    if per_hull < 1:
        raise DefinitionError(f"per_hull must be 1 or more; got {per_hull}.")
    if people_reason is not None:
        require_reason(people_reason)
    people = {"people": people_reason is not None, "people_kind": PEOPLE}
    with store.session() as session:
        settled = draw_cohort(session, definition).definition
        frame = session.frame("trace/matching")
        affected = _affected(session, frame, hulls)
        beside = match(frame, affected, per_hull)
        chosen = sorted({*beside["affected"], *beside["unaffected"]})
        families = session.frame("trace/compare_families", people)
        answers = session.frame("trace/compare_answers", people | {"hull_ids": chosen})
    serial = frame.set_index("hull_id")["hull_serial"]
    alone = affected[~affected.isin(beside["affected"])]
    return Contrast(
        definition=settled,
        pairs=pd.DataFrame(
            {
                "affected": beside["affected"].map(serial),
                "unaffected": beside["unaffected"].map(serial),
                "days": beside["days"],
            }
        ),
        unmatched=tuple(serial[alone]),
        levels=_levels(answers, families, beside),
        people_reason=people_reason,
        data_version=store.version,
    )


def match(frame: pd.DataFrame, affected: pd.Series, per_hull: int) -> pd.DataFrame:
    """Unaffected hulls for each affected one, the nearest first, none of them twice.

    Parameters
    ----------
    frame : DataFrame
        ``hull_id``, ``model``, ``built_on``, ``case_month`` (null: unaffected),
        ``follow_months``.
    affected : Series of int
        Hulls to be matched.
    per_hull : int
        How many to each.

    Returns
    -------
    DataFrame
        ``affected``, ``unaffected``, ``days``. In rounds, so that every affected hull gets
        its first before any gets its second; within a round the affected hull with the
        fewest hulls to choose from goes first.
    """
    by_id = frame.set_index("hull_id")
    free = by_id[by_id["case_month"].isna()]
    choices: dict[int, list[tuple[float, int]]] = {}
    for hull in affected:
        own = by_id.loc[hull]
        like = free[(free["model"] == own["model"]) & (free["follow_months"] >= own["case_month"])]
        days = (like["built_on"] - own["built_on"]).dt.days
        order = np.lexsort((like.index, days.abs()))
        choices[int(hull)] = [(float(days.iloc[n]), int(like.index[n])) for n in order]
    taken: set[int] = set()
    rows: list[tuple[int, int, float]] = []
    turns = sorted(choices, key=lambda hull: (len(choices[hull]), hull))
    for _ in range(per_hull):
        for hull in turns:
            found = next(((d, other) for d, other in choices[hull] if other not in taken), None)
            if found is not None:
                taken.add(found[1])
                rows.append((hull, found[1], found[0]))
    pairs = pd.DataFrame(rows, columns=["affected", "unaffected", "days"])
    pairs = pairs.sort_values(["affected", "days"], key=abs, kind="stable", ignore_index=True)
    return pairs.astype({"affected": "int64", "unaffected": "int64", "days": "int64"})


def _affected(session: Connection, frame: pd.DataFrame, hulls: Sequence[str]) -> pd.Series:
    cases = frame.loc[
        frame["case_month"].notna() & (frame["case_month"] <= frame["follow_months"]), "hull_id"
    ]
    if hulls:
        named = hull_numbers(session, hulls)
        outside = [serial for number, serial in named.items() if number not in set(cases)]
        if outside:
            raise DefinitionError(
                f"Hull {outside[0]} is not affected under this definition, so nothing can be put "
                "beside it. Leave it out, or widen the definition."
            )
        cases = cases[cases.isin(list(named))]
    if cases.empty:
        raise DefinitionError("No hull is affected under this definition. Widen it.")
    return cases


def _levels(answers: pd.DataFrame, families: pd.DataFrame, beside: pd.DataFrame) -> pd.DataFrame:
    columns = [
        "family", "level", "kind", "part", "step", "affected_with", "affected_known",
        "unaffected_with", "unaffected_known", "expected", "rate_ratio", "rate_ratio_low",
        "rate_ratio_high", "p_greater",
    ]  # fmt: skip
    sets = sorted(beside["affected"].unique())
    hulls = [*sets, *beside["unaffected"]]
    which_set = np.concatenate(
        [np.arange(len(sets)), np.searchsorted(sets, beside["affected"].to_numpy())]
    ).astype(np.int64)
    case = np.arange(len(hulls)) < len(sets)
    place = {hull: n for n, hull in enumerate(hulls)}
    rows: list[tuple[Any, Any, Any]] = []
    held: list[Bools] = []
    told: list[Bools] = []
    for family_id, group in answers.groupby("family_id"):
        complete = np.zeros(len(hulls), np.bool_)
        own = group.drop_duplicates("hull_id")
        complete[own.loc[own["complete"].fillna(False), "hull_id"].map(place).to_numpy()] = True
        carried = group.dropna(subset=["level_id"])
        for (level_id, level), of_level in carried.groupby(["level_id", "level"]):
            with_it = np.zeros(len(hulls), np.bool_)
            with_it[of_level["hull_id"].map(place).to_numpy()] = True
            if with_it[case].any():
                rows.append((family_id, level_id, level))
                held.append(with_it)
                told.append(complete | with_it)
    if not rows:
        return pd.DataFrame(columns=columns)
    with_it, known = np.stack(held), np.stack(told)
    counts = _counted(with_it, known, case, which_set, len(sets))
    tests, ratios = counts.tests(), counts.rate_ratios()
    frame = pd.DataFrame(
        {
            "family_id": [row[0] for row in rows],
            "level_id": [row[1] for row in rows],
            "level": [row[2] for row in rows],
            "affected_with": (with_it & case).sum(axis=1),
            "affected_known": (known & case).sum(axis=1),
            "unaffected_with": (with_it & ~case).sum(axis=1),
            "unaffected_known": (known & ~case).sum(axis=1),
            "expected": counts.expected,
            "rate_ratio": ratios.ratio,
            "rate_ratio_low": ratios.mid_p_low,
            "rate_ratio_high": ratios.mid_p_high,
            "p_greater": tests.mid_p_greater,
        }
    ).merge(families, on="family_id")
    order = ["p_greater", "family_id", "level_id"]
    return frame.sort_values(order, kind="stable", ignore_index=True)[columns]


def _counted(with_it: Bools, known: Bools, case: Bools, which_set: Ints, sets: int) -> CaseCounts:
    """Observed cases of each level, with the share of each set that carries it."""
    member = np.zeros((len(case), sets))
    member[np.arange(len(case)), which_set] = 1.0
    carrying, asked = with_it.astype(np.float64) @ member, known.astype(np.float64) @ member
    usable = (known[:, case]) & (asked >= 2.0)  # the affected hull and one beside it
    chance: Floats = np.where(usable, carrying / np.maximum(asked, 1.0), 0.0)
    observed = (with_it[:, case] & usable).sum(axis=1).astype(np.int64)
    return CaseCounts(observed, chance, usable.astype(np.int64))
