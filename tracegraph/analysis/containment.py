"""Every hull that carries a suspect, or may carry it, and where it is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pandas as pd

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.naming import Suspect, find_suspect, parent_lot
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.records import PLACES
from tracegraph.store import Connection, Store
from tracegraph.store.queries import sql_text

GRADES: tuple[str, ...] = ("recorded", "probable", "possible", "cleared", "not applicable")
"""How sure it is that a hull carries the level. Only the first three need action."""

_REASONS = {
    "lot": "its lot was written down, the drum was not; not estimated",
    "part": "one of several uses was not written down; not estimated",
    "none": "no record of it for this hull; not estimated",
}


@dataclass(frozen=True, eq=False)
class Containment:
    """The hulls to act on for one suspect.

    Attributes
    ----------
    family, level, kind : str
        The suspect.
    hulls : DataFrame
        One row per hull that carries the level or may carry it, surest first, then plant,
        transit, dealer, owner: ``hull_serial``, ``hin``, ``model``, ``grade``,
        ``probability`` (1.0 when recorded; null when not estimated), ``reason`` (why it is
        null), ``place``, ``dealer``, ``state`` (of the action; ``unknown`` until a case
        file says more), ``built_on``, ``delivered_on``, ``delivered_imputed`` (bool),
        ``months_in_service`` (whole months, null before delivery), ``affected`` (bool;
        null without a definition), ``claims`` (lines that match the definition's words;
        all lines without one).
    counts : DataFrame
        All hulls of the records by grade (rows) and place (columns), with ``total``. The
        cells add up to the number of hulls.
    ranges : DataFrame
        For each model the enclosing range of numbers: ``model``, ``basis`` (recorded, or
        recorded or possible), ``number`` (HIN or hull serial), ``first``, ``last``,
        ``hulls_in_range`` = ``recorded`` + ``possible`` + ``not_exposed``, and
        ``without_number`` (hulls listed that have none).
    parent : tuple of str or None
        Family and level of the lot that a drum is part of.
    definition : CaseDefinition or None
        Which claims make a hull affected, as settled on the data.
    as_of : date or None
        Last day of service counted.
    data_version : str
        Version of the records.
    """

    family: str
    level: str
    kind: str
    hulls: pd.DataFrame
    counts: pd.DataFrame
    ranges: pd.DataFrame
    parent: tuple[str, str] | None
    definition: CaseDefinition | None
    as_of: date | None
    data_version: str


def contain(
    store: Store,
    family: str,
    level: str,
    *,
    definition: CaseDefinition | None = None,
    as_of: date | None = None,
    people_reason: str | None = None,
) -> Containment:
    """List every hull that carries a level, or may carry it.

    A hull is *recorded* when the level stands in its records; *possible* when a record of
    that family is missing; *cleared* when every record of that family is there and names
    other levels. A missing record never clears. A hull whose drum is not known is cleared
    all the same when its lots are all written down and the drum's lot is not among them.
    *Not applicable* are hulls of models that do not have that part and step.

    Parameters
    ----------
    store : Store
        The records.
    family, level : str
        The suspect, as typed.
    definition : CaseDefinition, optional
        Says which hulls are affected; the hulls of all models are listed all the same.
    as_of : date, optional
        Day up to which months in service are counted; the latest day on which a claim
        was opened when left out.
    people_reason : str, optional
        Why a family of people is asked for.

    Returns
    -------
    Containment
        Hulls, counts and ranges.

    Raises
    ------
    UnknownNameError
        If there is no such family or level, with the near names.
    DefinitionError
        If the family is one of people and no reason is given.
    """
    with store.session() as session:
        suspect = find_suspect(session, family, level, people_reason=people_reason)
        parent = parent_lot(session, suspect)
        if definition is None:
            session.run("contain/no_cases")
        else:
            definition = draw_cohort(session, definition).definition
        last_day = as_of or session.scalar(sql_text("contain/last_day"))
        _grade(session, suspect, parent, definition or CaseDefinition(), last_day)
        hulls = _listed(session.frame("contain/listed"), asked=definition is not None)
        counts = _counts(session.frame("contain/counts"))
        ranges = session.frame("contain/ranges")
    return Containment(
        family=suspect.family,
        level=suspect.level,
        kind=suspect.kind,
        hulls=hulls,
        counts=counts,
        ranges=ranges,
        parent=None if parent is None else (parent.family, parent.level),
        definition=definition,
        as_of=last_day,
        data_version=store.version,
    )


def _grade(
    session: Connection,
    suspect: Suspect,
    parent: Suspect | None,
    definition: CaseDefinition,
    as_of: date | None,
) -> None:
    session.run(
        "contain/graded",
        definition.parameters()
        | {
            "family_id": suspect.family_id,
            "level_id": suspect.level_id,
            "parent_family_id": None if parent is None else parent.family_id,
            "parent_level_id": None if parent is None else parent.level_id,
            "as_of": as_of,
        },
    )


def _listed(frame: pd.DataFrame, *, asked: bool) -> pd.DataFrame:
    recorded = frame["grade"] == "recorded"
    frame["probability"] = pd.Series(1.0, index=frame.index).where(recorded)
    frame["reason"] = frame["missing"].map(_REASONS).where(~recorded)
    frame["state"] = "unknown"
    frame["months_in_service"] = frame["months_in_service"].astype("Int64")
    affected = frame["affected"].astype("boolean")
    frame["affected"] = affected if asked else pd.Series(pd.NA, frame.index, dtype="boolean")
    return frame[
        [
            "hull_serial",
            "hin",
            "model",
            "grade",
            "probability",
            "reason",
            "place",
            "dealer",
            "state",
            "built_on",
            "delivered_on",
            "delivered_imputed",
            "months_in_service",
            "affected",
            "claims",
        ]
    ]


def _counts(frame: pd.DataFrame) -> pd.DataFrame:
    table = (
        frame.pivot(index="grade", columns="place", values="hulls")
        .reindex(index=list(GRADES), columns=list(PLACES))
        .fillna(0)
        .astype("int64")
    )
    table["total"] = table.sum(axis=1)
    table.columns.name = None
    return table
