"""What stands behind each cluster: its first suspect, ranked cluster after cluster."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import pandas as pd

from tracegraph.analysis.overview import pareto
from tracegraph.analysis.ranking import rank
from tracegraph.domain.definition import CaseDefinition
from tracegraph.store import Store
from tracegraph.store.findings import keep_finding, kept_findings

CLUSTER_HULLS = 5
"""Fewest affected hulls that make a cluster worth ranking (common practice: 5 to 40)."""

FEW_RESAMPLES = 49
"""Resamples behind each first suspect: enough to tell 1 in 20, in a quarter of the time."""

COLUMNS = (
    "symptom", "safety_class", "affected", "at_risk", "families", "levels", "family", "level",
    "kind", "part", "affected_exposed", "exposed", "affected_unexposed", "unexposed",
    "p_fisher", "log10_p_fisher", "matched_cases", "expected", "score", "p_family", "evidence",
)  # fmt: skip
"""What is said about each cluster; from ``family`` on missing where nothing goes with harm."""

KIND = "first suspects, method 1"
"""Under this they are kept; it changes when the same records would give others."""

_WHOLE = ("safety_class", "evidence")

Found = Mapping[str, Any]
"""One cluster with its first suspect, by the names of :data:`COLUMNS`; plain values."""


def clusters(store: Store, fewest_hulls: int = CLUSTER_HULLS) -> list[tuple[str, int | None]]:
    """Symptoms that affect enough hulls to be ranked.

    Parameters
    ----------
    store : Store
        The records.
    fewest_hulls : int, default 5
        Fewest affected hulls that make a cluster.

    Returns
    -------
    list of tuple
        Symptom and gravest safety class (None: none written), most affected hulls first.
    """
    found = pareto(store)
    found = found[found["hulls"] >= fewest_hulls]
    return [
        (str(symptom), None if pd.isna(grave) else int(grave))
        for symptom, grave in zip(found["symptom"], found["safety_class"], strict=True)
    ]


def first_suspects(store: Store, fewest_hulls: int = CLUSTER_HULLS) -> Iterator[Found]:
    """First suspect of one cluster after another, by evidence, of those that go with harm.

    Each is kept beside the build, so that the same records are ranked once.

    Parameters
    ----------
    store : Store
        The records.
    fewest_hulls : int, default 5
        Fewest affected hulls that make a cluster.

    Yields
    ------
    mapping
        By the names of :data:`COLUMNS`, plain values; most affected hulls first.
    """
    kept = kept_first_suspects(store)
    for symptom, safety_class in clusters(store, fewest_hulls):
        if symptom not in kept:
            found = _first_suspect_of(store, symptom, safety_class)
            keep_finding(store.path, KIND, found)
            kept[symptom] = found
        yield kept[symptom]


def kept_first_suspects(store: Store) -> dict[str, Found]:
    """What is already known about the clusters of a build, by symptom."""
    return {
        str(found["symptom"]): found
        for found in kept_findings(store.path, KIND)
        if set(found) == set(COLUMNS)
    }


def factors_frame(found: Iterable[Found]) -> pd.DataFrame:
    """Clusters as a frame.

    Parameters
    ----------
    found : iterable of mapping
        From :func:`first_suspects`.

    Returns
    -------
    DataFrame
        :data:`COLUMNS`, one row per cluster in the order given.
    """
    frame = pd.DataFrame([dict(one) for one in found], columns=list(COLUMNS))
    numbers = [*COLUMNS[2:6], *COLUMNS[10:-1]]
    frame[numbers] = frame[numbers].apply(pd.to_numeric)
    return frame.astype(dict.fromkeys(_WHOLE, "Int64"))


def top_factors(store: Store, fewest_hulls: int = CLUSTER_HULLS) -> pd.DataFrame:
    """First suspect of every symptom that affects enough hulls.

    Parameters
    ----------
    store : Store
        The records.
    fewest_hulls : int, default 5
        Fewest affected hulls that make a cluster.

    Returns
    -------
    DataFrame
        As from :func:`factors_frame`, most affected hulls first.
    """
    return factors_frame(first_suspects(store, fewest_hulls))


def _first_suspect_of(store: Store, symptom: str, safety_class: int | None) -> Found:
    ranking = rank(store, CaseDefinition(symptoms=(symptom,)), resamples=FEW_RESAMPLES, rounds=1)
    found = {
        "symptom": symptom,
        "safety_class": safety_class,
        "affected": ranking.cohort.affected,
        "at_risk": ranking.cohort.at_risk,
        "families": ranking.families,
        "levels": ranking.levels,
    }
    tested = ranking.frame[ranking.frame["testable"] & ~ranking.frame["thin"]]
    harm = tested[tested["direction"] == "harm"]
    first = {} if harm.empty else harm.iloc[0].to_dict()
    return {name: found.get(name, _plain(first.get(name))) for name in COLUMNS}


def _plain(value: Any) -> Any:
    if value is None or value is pd.NA:
        return None
    value = value.item() if hasattr(value, "item") else value
    return None if isinstance(value, float) and not math.isfinite(value) else value
