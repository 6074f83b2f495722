"""How sure it is of each hull that it carries what is asked about.

Only evidence clears: another level written down for every use. A missing record never
does; its chance comes from the uses before and after it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracegraph.analysis.containing.chances import Chances, chances_of
from tracegraph.analysis.containing.uses import uses_in_time
from tracegraph.analysis.naming import Suspect, parent_lot
from tracegraph.stats.arrays import Bools
from tracegraph.store import Connection

GRADES: tuple[str, ...] = (
    "recorded",
    "probable",
    "possible",
    "remote",
    "cleared",
    "not applicable",
)
"""How sure it is that a hull carries the level. The first three need action."""

TO_ACT_ON = GRADES[:3]

LOT_KINDS = frozenset({"material lot", "drum"})

PROBABLE, POSSIBLE = 0.5, 0.01
"""Chances from which a hull without a record is probable, and possible."""

NO_PLACE = "no record of it, and none to place its use in time by; not estimated"
NO_NEIGHBOUR = "no record of it, and none of the uses before or after; not estimated"


@dataclass(frozen=True, eq=False)
class Graded:
    """One level, graded over all hulls.

    Attributes
    ----------
    suspect : Suspect
        The level.
    parent : Suspect or None
        The lot that a drum is part of.
    hulls : DataFrame
        By hull number, every hull: ``grade``, ``probability`` (1 recorded, 0 cleared,
        null where it cannot be told or does not apply), ``reason`` (why it is null).
    chances : Chances or None
        What neighbours told; None when nothing had to be asked.
    """

    suspect: Suspect
    parent: Suspect | None
    hulls: pd.DataFrame
    chances: Chances | None


def grade(session: Connection, suspect: Suspect, hull_ids: pd.Index) -> Graded:
    """Grade every hull for one level.

    Parameters
    ----------
    session : Connection
        Line to a store.
    suspect : Suspect
        The level.
    hull_ids : Index of int
        All hulls.

    Returns
    -------
    Graded
        One row per hull.
    """
    answers = _answers(session, suspect, [suspect.family_id])
    applies, carries, complete = _marked(answers, hull_ids)
    missing = applies & ~carries & ~complete
    parent = parent_lot(session, suspect)
    if parent is not None:
        lots = _answers(session, parent, [parent.family_id])
        _, lot_carries, lot_complete = _marked(lots, hull_ids)
        missing &= ~(lot_complete & ~lot_carries)
    chances, told = None, pd.Series(dtype="float64")
    if missing.any() or suspect.kind in LOT_KINDS:  # a lot's balance asks of all its uses
        chances, told = _told(session, suspect, hull_ids[missing])
    chance = told.reindex(hull_ids).to_numpy(np.float64)
    with np.errstate(invalid="ignore"):
        grades = np.select(
            [carries, ~applies, ~missing, chance >= PROBABLE, ~(chance < POSSIBLE)],
            ["recorded", "not applicable", "cleared", "probable", "possible"],
            "remote",
        )
    silent = pd.Series(
        np.where(hull_ids.isin(told.index), NO_NEIGHBOUR, NO_PLACE), hull_ids, dtype="object"
    )
    hulls = pd.DataFrame(
        {
            "grade": pd.Series(grades, hull_ids, dtype="object"),
            "probability": np.select([carries, ~applies, ~missing], [1.0, np.nan, 0.0], chance),
            "reason": silent.where(missing & np.isnan(chance), None),
        }
    )
    return Graded(suspect, parent, hulls, chances)


def union(members: list[Graded]) -> pd.DataFrame:
    """Grade hulls for carrying any of several levels that cannot be told apart.

    Parameters
    ----------
    members : list of Graded
        At least one.

    Returns
    -------
    DataFrame
        ``grade``, ``probability``, ``reason`` by hull number: the surest grade over the
        levels; cleared only when cleared of each level that applies. A hull carries one of
        them unless it carries none, each taken on its own.
    """
    first = members[0].hulls
    if len(members) == 1:
        return first
    place = np.stack([one.hulls["grade"].map(GRADES.index) for one in members]).min(axis=0)
    chance = np.stack([one.hulls["probability"].to_numpy(np.float64) for one in members])
    told = np.stack([one.hulls["reason"].isna() for one in members]).all(axis=0)
    joint = 1.0 - np.prod(1.0 - np.nan_to_num(chance), axis=0)
    applies = place < GRADES.index("not applicable")
    probability = np.where(applies & (told | (place == 0)), joint, np.nan)
    by_chance = np.select([joint >= PROBABLE, joint >= POSSIBLE], [1, 2], len(GRADES) - 1)
    reasons = pd.concat([one.hulls["reason"] for one in members], axis=1).bfill(axis=1).iloc[:, 0]
    return pd.DataFrame(
        {
            "grade": np.array(GRADES, object)[np.minimum(place, by_chance)],
            "probability": probability,
            "reason": reasons.where(np.isnan(probability)),
        },
        index=first.index,
    )


def _answers(session: Connection, suspect: Suspect, family_ids: list[int]) -> pd.DataFrame:
    asked = {"level_id": suspect.level_id, "family_ids": family_ids}
    return session.shared_frame("answered", asked)


def _marked(answers: pd.DataFrame, hull_ids: pd.Index) -> tuple[Bools, Bools, Bools]:
    """Hulls that the question applies to, that carry the level, whose record is complete."""
    hull = answers["hull_id"]
    return (
        hull_ids.isin(hull),
        hull_ids.isin(hull[answers["carries"].fillna(False)]),
        hull_ids.isin(hull[answers["complete"].fillna(False)]),
    )


def _told(session: Connection, suspect: Suspect, missing: pd.Index) -> tuple[Chances, pd.Series]:
    """What neighbours tell of the hulls whose record is missing."""
    parts = session.frame("contain/questions", {"family_id": suspect.family_id})
    if len(parts) > 1:  # asked of any part: the questions it rolls up know where and when
        parts = parts[parts["family_id"] != suspect.family_id].reset_index(drop=True)
    answers = _answers(session, suspect, parts["family_id"].tolist())
    incomplete = answers[~answers["complete"] & answers["hull_id"].isin(missing)]
    chances = chances_of(session, uses_in_time(session, suspect, parts, incomplete))
    told = chances.of_hulls()
    return chances, told[told.index.isin(missing)]
