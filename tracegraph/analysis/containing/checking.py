"""Which check suits a suspect: the balance of a lot or of pulls, the walk to its neighbours."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracegraph.analysis.containing.balance import MassBalance, mass_balance, pull_balance
from tracegraph.analysis.containing.bracket import (
    DAYS,
    PULLS,
    Bracket,
    bracket_lots,
    bracket_sequence,
)
from tracegraph.analysis.containing.grading import Graded
from tracegraph.analysis.containing.rates import ClaimRates
from tracegraph.analysis.containing.uses import material_of, uses_in_time
from tracegraph.stats.arrays import Floats
from tracegraph.store import Connection


def balance_of(session: Connection, graded: Graded) -> MassBalance | None:
    """Balance of a lot, or of the pulls of a mold; None for other suspects.

    Parameters
    ----------
    session : Connection
        Line to a store.
    graded : Graded
        The suspect. A drum's balance is that of its lot.
    """
    suspect = graded.suspect
    if suspect.kind == "mold":
        return pull_balance(session, suspect.level, graded.chances)
    if suspect.kind not in {"material lot", "drum"}:
        return None
    parts = session.frame("contain/questions", {"family_id": suspect.family_id})
    material = material_of(suspect, parts.iloc[-1])
    if material is None:
        return None
    lot = suspect.level.rpartition("/")[0] if suspect.kind == "drum" else suspect.level
    return mass_balance(session, suspect, material, lot, graded.chances)


def bracket_of(session: Connection, graded: Graded, rates: ClaimRates) -> Bracket | None:
    """Neighbours of a lot, or of the stretch of pulls that claimed; None for other suspects.

    Parameters
    ----------
    session : Connection
        Line to a store.
    graded : Graded
        The suspect.
    rates : ClaimRates
        Claims so far.
    """
    suspect = graded.suspect
    parts = session.frame("contain/questions", {"family_id": suspect.family_id})
    if suspect.kind in {"material lot", "component lot"}:
        if len(parts) > 1:
            parts = parts[parts["family_id"] != suspect.family_id].reset_index(drop=True)
        nobody = pd.DataFrame({"family_id": [], "hull_id": []})
        found = uses_in_time(session, suspect, parts, nobody)
        return bracket_lots(session, suspect, found, rates)
    if suspect.kind != "mold":
        return None
    asked = {"mold_no": suspect.level, "part": parts["part"].iloc[0]}
    pulls = session.frame("contain/pulls", asked)
    place = rates.place_of(pulls["hull_id"])
    claimed = np.flatnonzero(rates.case[place])
    inside = np.zeros(len(pulls), np.bool_)
    if len(claimed):
        inside[claimed[0] : claimed[-1] + 1] = True
    return bracket_sequence(
        PULLS, pulls["pull"].to_numpy(np.float64), pulls["hull_id"].to_numpy(np.int64),
        inside, rates,
    )  # fmt: skip


def bracket_of_window(graded: Graded, day: Floats, rates: ClaimRates) -> Bracket:
    """Days before and after a window, out to those shown clean.

    Parameters
    ----------
    graded : Graded
        The window.
    day : array of float
        Day of each hull; nan where not known.
    rates : ClaimRates
        Claims so far.
    """
    dated = np.isfinite(day) & graded.hulls["grade"].ne("not applicable").to_numpy(bool)
    inside = graded.hulls["grade"].eq("recorded").to_numpy(bool)[dated]
    return bracket_sequence(
        DAYS, day[dated], graded.hulls.index.to_numpy(np.int64)[dated], inside, rates
    )
