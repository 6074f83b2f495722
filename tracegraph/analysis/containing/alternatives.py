"""Suspects that cannot be told apart: what each would leave to hold, and where they differ."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracegraph.analysis.containing.grading import TO_ACT_ON, Graded
from tracegraph.analysis.containing.rates import ClaimRates

_PLACES = ["plant", "transit", "dealer", "owner"]


def alternatives(members: list[Graded], listed: pd.Index) -> pd.DataFrame:
    """What would be held if one of the suspects were shown to be the cause.

    Parameters
    ----------
    members : list of Graded
        The suspects.
    listed : Index of int
        Hulls of the union.

    Returns
    -------
    DataFrame
        One row per suspect: ``family``, ``level``, ``recorded``, ``listed`` (recorded,
        probable and possible), ``alone`` (recorded here and cleared of, or not asked
        about, all others), ``released`` (hulls of the union that would be let go).
    """
    rows = []
    for number, one in enumerate(members):
        grades = one.hulls["grade"]
        others = [other.hulls["grade"] for n, other in enumerate(members) if n != number]
        alone = grades.eq("recorded")
        for other in others:
            alone &= other.isin(["cleared", "not applicable"])
        held = int(grades.isin(TO_ACT_ON).sum())
        rows.append(
            {
                "family": one.suspect.family, "level": one.suspect.level,
                "recorded": int(grades.eq("recorded").sum()), "listed": held,
                "alone": int(alone.sum()), "released": len(listed) - held,
            }
        )  # fmt: skip
    return pd.DataFrame(rows)


def telling_hulls(
    members: list[Graded], hulls: pd.DataFrame, rates: ClaimRates | None
) -> pd.DataFrame:
    """Hulls that carry one of the suspects and surely not the others: inspect these.

    Parameters
    ----------
    members : list of Graded
        The suspects.
    hulls : DataFrame
        Every hull by its number: ``hull_serial``, ``model``, ``place``, ``dealer``,
        ``months_in_service``, ``affected``, ``claims``.
    rates : ClaimRates or None
        Claims so far, if a definition was given.

    Returns
    -------
    DataFrame
        ``hull_serial``, ``carries`` (family: level), ``model``, ``place``, ``dealer``,
        ``months_in_service``, ``affected``, ``claims``, ``expected_if_cause`` and
        ``expected_if_not`` (claims so far; nan without a definition). Within each suspect
        the nearest place first, then the hulls whose expected claims differ most. Empty
        for one suspect, and where only retained samples, a laboratory or a deliberate
        build can tell.
    """
    columns = [
        "hull_serial", "carries", "model", "place", "dealer", "months_in_service", "affected",
        "claims", "expected_if_cause", "expected_if_not",
    ]  # fmt: skip
    if len(members) < 2:
        return pd.DataFrame(columns=columns)
    frames = []
    for number, one in enumerate(members):
        alone = one.hulls["grade"].eq("recorded")
        for n, other in enumerate(members):
            if n != number:
                alone &= other.hulls["grade"].isin(["cleared", "not applicable"])
        frame = hulls[alone].assign(carries=f"{one.suspect.family}: {one.suspect.level}")
        usual = np.full(len(frame), np.nan)
        if rates is not None:
            usual = rates.expected()[rates.place_of(frame.index)]
        ratio = 1.0 if rates is None else max(1.0, rates.usual_ratio)
        frame = frame.assign(expected_if_cause=usual * ratio, expected_if_not=usual)
        place = frame["place"].map(_PLACES.index)
        order = np.lexsort((frame["hull_serial"].astype(str), -np.nan_to_num(usual), place))
        frames.append(frame.iloc[order])
    return pd.concat(frames, ignore_index=True)[columns]
