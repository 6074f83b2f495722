"""What a manager asks first: how often, of what, and at what cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError
from tracegraph.store import Store

MARKS: tuple[int, ...] = (3, 6, 12, 24)
"""Months in service at which rates are read."""

COMPLETE_SHARE = 0.9
"""A build month is complete at a mark when this share of the hulls that can reach it has."""


@dataclass(frozen=True)
class Rates:
    """Claims per 100 hulls by month of building.

    Attributes
    ----------
    frame : DataFrame
        One row per build month and mark: ``built_month`` (first day; rows without a build
        date are left out), ``mark`` (months in service), ``built``, ``delivered``,
        ``followed``, ``affected``, ``waiting`` (hulls that may still reach the mark),
        ``rate`` (affected per 100 hulls followed; NaN when none is), ``complete`` (bool).
    undated : int
        Hulls without a build date.
    definition : CaseDefinition
        As settled on the data.
    data_version : str
        Version of the records.
    """

    frame: pd.DataFrame
    undated: int
    definition: CaseDefinition
    data_version: str


@dataclass(frozen=True)
class Totals:
    """How much the records hold.

    Attributes
    ----------
    hulls, delivered, claims, hulls_with_claims : int
        Counts.
    cost : float or None
        Sum of the costs written on claims; None when none is.
    first_built_on, last_built_on, last_opened_on : date or None
        Ends of the records.
    data_version : str
        Version of the records.
    """

    hulls: int
    delivered: int
    claims: int
    hulls_with_claims: int
    cost: float | None
    first_built_on: date | None
    last_built_on: date | None
    last_opened_on: date | None
    data_version: str


def claim_rates(
    store: Store,
    definition: CaseDefinition | None = None,
    marks: Sequence[int] = MARKS,
) -> Rates:
    """First claims per 100 hulls at given months in service, by month of building.

    Only hulls followed to the mark count, in the denominator and in the numerator alike:
    a young hull has not had time to fail.

    Parameters
    ----------
    store : Store
        The records.
    definition : CaseDefinition, optional
        Which claims count; all symptoms when left out.
    marks : sequence of int
        Months in service, each at least 1.

    Returns
    -------
    Rates
        The frame and what was asked.

    Raises
    ------
    DefinitionError
        If a mark is below 1, or the records hold no claim.
    """
    if any(mark < 1 for mark in marks):
        raise DefinitionError(f"marks must be months of 1 or more; got {list(marks)}.")
    with store.session() as session:
        cohort = draw_cohort(session, definition or CaseDefinition())
        frame = session.frame(
            "overview/rates", cohort.definition.parameters() | {"marks": list(marks)}
        )
    undated = frame["built_month"].isna()
    without_date = frame.loc[undated & (frame["mark"] == min(marks, default=0)), "built"].sum()
    frame = frame[~undated].reset_index(drop=True)
    followed = frame["followed"]
    frame["rate"] = (100.0 * frame["affected"] / followed).where(followed > 0)
    can_reach = followed + frame["waiting"]
    frame["complete"] = (followed > 0) & (followed >= COMPLETE_SHARE * can_reach)
    return Rates(frame, int(without_date), cohort.definition, store.version)


def pareto(store: Store) -> pd.DataFrame:
    """Symptoms by hulls affected.

    Parameters
    ----------
    store : Store
        The records.

    Returns
    -------
    DataFrame
        Most hulls first: ``symptom``, ``hulls`` (distinct), ``claims`` (lines),
        ``claims_without_hull``, ``cost`` (sum where written; NaN when none is),
        ``claims_with_cost``, ``safety_class`` (gravest; missing when none is written),
        ``first_failed_on``, ``last_opened_on``, ``share`` (of all hull and symptom
        pairs), ``running_share``.
    """
    frame = store.frame("overview/pareto")
    total = frame["hulls"].sum()
    frame["share"] = frame["hulls"] / total if total else 0.0
    frame["running_share"] = frame["share"].cumsum()
    frame["safety_class"] = frame["safety_class"].astype("Int64")
    return frame


def totals(store: Store) -> Totals:
    """Counts and ends of the records."""
    row = store.frame("overview/totals").iloc[0]
    return Totals(
        hulls=int(row["hulls"]),
        delivered=int(row["delivered"]),
        claims=int(row["claims"]),
        hulls_with_claims=int(row["hulls_with_claims"]),
        cost=None if pd.isna(row["cost"]) else float(row["cost"]),
        first_built_on=_day(row["first_built_on"]),
        last_built_on=_day(row["last_built_on"]),
        last_opened_on=_day(row["last_opened_on"]),
        data_version=store.version,
    )


def _day(value: Any) -> date | None:
    return None if pd.isna(value) else pd.Timestamp(value).date()
