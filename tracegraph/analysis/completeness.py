"""How much of what should have been written down was: the traceability score."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from tracegraph.store import Store


@dataclass(frozen=True)
class Completeness:
    """Expected and present records.

    Attributes
    ----------
    by_month : DataFrame
        One row per build month: ``built_month``, ``expected``, ``recorded``, ``score``
        (share, 0 to 1). Hulls without a build day stand under a missing month.
    by_family : DataFrame
        One row per build month and family: ``built_month``, ``family``, ``kind``,
        ``part``, ``step``, ``hulls``, ``recorded``, ``score``.
    by_hull : DataFrame
        One row per hull, poorest first: ``hull_serial``, ``model``, ``built_on``,
        ``expected``, ``recorded``, ``score``.
    data_version : str
        Version of the records.
    """

    by_month: pd.DataFrame
    by_family: pd.DataFrame
    by_hull: pd.DataFrame
    data_version: str


def completeness(store: Store) -> Completeness:
    """Score the records by month, question and hull.

    A record is expected of a hull when its model normally has that part, step and record.
    Only questions that a written record answers count, each once.

    Parameters
    ----------
    store : Store
        The records.

    Returns
    -------
    Completeness
        Three frames.
    """
    with store.session() as session:
        session.run("records/expected")
        by_family = session.frame("records/expected_by_family")
        by_hull = session.frame("records/expected_by_hull")
    by_family["score"] = by_family["recorded"] / by_family["hulls"]
    by_month = (
        by_family.groupby("built_month", dropna=False, sort=True)[["hulls", "recorded"]]
        .sum()
        .rename(columns={"hulls": "expected"})
        .reset_index()
    )
    by_month["score"] = by_month["recorded"] / by_month["expected"]
    return Completeness(by_month, by_family, by_hull, store.version)
