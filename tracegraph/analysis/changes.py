"""What changed from the records that were in force before to those in force now."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from tracegraph.analysis.first_suspects import kept_first_suspects
from tracegraph.analysis.overview import Totals, pareto, totals
from tracegraph.store import Store

Keys = frozenset[tuple[str, ...]]


@dataclass(frozen=True, eq=False)
class Changes:
    """Two versions of the records side by side.

    Attributes
    ----------
    earlier, now : Totals
        How much each holds.
    earlier_loaded_at : str or None
        When the earlier build was made, as ISO 8601 text.
    set_aside : tuple of int
        Rows that could not be read, then and now.
    new_claims, gone_claims, new_hulls, gone_hulls : int
        Claim lines and hulls, told by their own numbers, that are in one version only.
    clusters : DataFrame
        One row per symptom of either version, most new hulls first: ``symptom``,
        ``hulls_then``, ``hulls_now`` (affected, each counted once), ``rise``,
        ``new_claims``, ``evidence_then``, ``evidence_now`` (level 0 to 4; missing where that
        version's clusters were not ranked, or the cluster was too small).
    """

    earlier: Totals
    now: Totals
    earlier_loaded_at: str | None
    set_aside: tuple[int, int]
    new_claims: int
    gone_claims: int
    new_hulls: int
    gone_hulls: int
    clusters: pd.DataFrame


def changes(earlier: Store, now: Store) -> Changes:
    """Compare two builds of one store.

    Parameters
    ----------
    earlier, now : Store
        The build before, and the one in force.

    Returns
    -------
    Changes
        Everything is read from the two builds; no cluster is ranked for it.
    """
    claims = [
        store.frame("changes/claims").set_index(["claim_no", "line_no"]) for store in (earlier, now)
    ]
    hulls = [frozenset(store.frame("changes/hulls")["hull_serial"]) for store in (earlier, now)]
    then, today = (frozenset(frame.index) for frame in claims)
    fresh = claims[1][claims[1].index.isin(today - then)]
    aside = [int(store.frame("changes/set_aside")["rows"].iloc[0]) for store in (earlier, now)]
    return Changes(
        earlier=totals(earlier),
        now=totals(now),
        earlier_loaded_at=earlier.meta("loaded_at"),
        set_aside=(aside[0], aside[1]),
        new_claims=len(fresh),
        gone_claims=len(claims[0]) - int(claims[0].index.isin(today).sum()),
        new_hulls=len(hulls[1] - hulls[0]),
        gone_hulls=len(hulls[0] - hulls[1]),
        clusters=_clusters(earlier, now, fresh["symptom"]),
    )


def _clusters(earlier: Store, now: Store, fresh: pd.Series[str]) -> pd.DataFrame:
    hulls = [pareto(store).set_index("symptom")["hulls"] for store in (earlier, now)]
    names = hulls[1].index.union(hulls[0].index, sort=False)
    frame = pd.DataFrame(
        {
            "hulls_then": hulls[0].reindex(names, fill_value=0),
            "hulls_now": hulls[1].reindex(names, fill_value=0),
            "new_claims": fresh.value_counts().reindex(names, fill_value=0),
        }
    )
    frame["rise"] = frame["hulls_now"] - frame["hulls_then"]
    for name, store in (("evidence_then", earlier), ("evidence_now", now)):
        levels = {
            symptom: found["evidence"] for symptom, found in kept_first_suspects(store).items()
        }
        frame[name] = pd.array([levels.get(symptom) for symptom in names], dtype="Int64")
    frame = frame.rename_axis("symptom").reset_index()
    return frame.sort_values(
        ["rise", "hulls_now"], ascending=False, kind="stable", ignore_index=True
    )
