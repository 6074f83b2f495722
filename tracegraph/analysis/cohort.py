"""Who counts as affected, who was at risk, and who is left out with the reason."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError, UnknownNameError
from tracegraph.store import Connection

FALLBACK_REPORTING_DAYS = 60
"""Reporting allowance when no claim carries both dates (common practice: 1 to 60 days)."""


@dataclass(frozen=True)
class Cohort:
    """The hulls of one plain table, counted.

    Attributes
    ----------
    definition : CaseDefinition
        As asked, with cut-off, reporting allowance and landmark settled.
    affected, at_risk : int
        Hulls with a case by the landmark; hulls followed to the landmark, these included.
    left_out : dict of str to int
        Hulls and claims that the table does not hold, by reason.
    ladder : dict of str to int
        Hulls that remain from built to followed.
    safety_class : int or None
        Gravest class among the claims of the symptom: 1 may hurt someone.
    remarks : tuple of str
        What was assumed.
    """

    definition: CaseDefinition
    affected: int
    at_risk: int
    left_out: dict[str, int]
    ladder: dict[str, int]
    safety_class: int | None
    remarks: tuple[str, ...]


def draw_cohort(session: Connection, definition: CaseDefinition) -> Cohort:
    """Settle a definition on the data and lay out its tables for one session.

    Parameters
    ----------
    session : Connection
        Receives the temporary tables ``followed`` (every hull), ``at_risk`` (hulls in
        service within the definition, with months of follow-up and month of the case)
        and ``cohort`` (``hull_id``, ``affected`` 0 or 1: the landmark table).
    definition : CaseDefinition
        Which claims count.

    Returns
    -------
    Cohort
        The counts.

    Raises
    ------
    UnknownNameError
        If a symptom, zone, component, model or plant is not in the records.
    DefinitionError
        If the records hold no claim at all.
    """
    _check_names(session, definition)
    cut_off, reporting_days, remarks = _settle_dates(session, definition)
    definition = definition.resolved(cut_off=cut_off, reporting_days=reporting_days)
    session.run("cohort/hulls", definition.parameters())
    months = session.frame("cohort/months")
    landmark = definition.landmark_months
    if landmark is None:
        landmark = best_landmark(months)
        remarks.append(f"landmark at {landmark} months in service: it keeps the most cases")
    definition = definition.resolved(landmark_months=landmark)
    session.run("cohort/landmark", {"landmark": landmark})
    rungs = session.record("cohort/ladder")
    claims = session.record("cohort/claims", definition.parameters())
    affected, at_risk = rungs["affected"], rungs["at_risk"]
    in_service = int(rungs["in_service"])
    cases = int(months.loc[months["case_month"].notna(), "hulls"].sum())
    left_out = {
        "hulls of other plants": int(rungs["other_plant"]),
        "hulls of other models": int(rungs["other_model"]),
        "hulls built outside the range": int(rungs["outside_build_range"]),
        "hulls not delivered": int(rungs["not_delivered"]),
        f"hulls followed for less than {landmark} months": in_service - int(at_risk),
        "affected hulls that the landmark leaves out": cases - int(affected),
        "claims on a hull that is not in the records": int(claims["no_hull"]),
        "claims solicited by the maker": int(claims["solicited"]),
        "claims before delivery": int(claims["before_delivery"]),
        "claims less certain than asked": int(claims["less_certain"]),
    }
    if rungs["delivery_imputed"]:
        remarks.append(
            f"{int(rungs['delivery_imputed'])} hulls without a delivery date take their ship "
            "date plus the dealer's median lag"
        )
    ladder = {
        "built": int(rungs["built"]),
        "in the definition": int(rungs["in_definition"]),
        "shipped": int(rungs["shipped"]),
        "in service": in_service,
        "followed to the landmark": int(at_risk),
    }
    return Cohort(
        definition=definition,
        affected=int(affected),
        at_risk=int(at_risk),
        left_out={reason: count for reason, count in left_out.items() if count},
        ladder=ladder,
        safety_class=claims["safety_class"],
        remarks=tuple(remarks),
    )


def best_landmark(months: pd.DataFrame) -> int:
    """Month in service that keeps the most cases in a plain table.

    A case is kept when it came by the landmark on a hull followed to the landmark. Of
    equal months the earliest is taken, since it keeps the most hulls to compare with.

    Parameters
    ----------
    months : DataFrame
        ``case_month`` (missing: no case), ``follow_months``, ``hulls``.

    Returns
    -------
    int
        At least 1.
    """
    cases = months[months["case_month"].notna()]
    cases = cases[cases["case_month"] <= cases["follow_months"]]
    if cases.empty:
        return 1
    came = cases["case_month"].to_numpy(np.int64)
    left = cases["follow_months"].to_numpy(np.int64)
    weight = cases["hulls"].to_numpy(np.int64)
    change = np.zeros(int(left.max()) + 2, np.int64)
    np.add.at(change, came, weight)
    np.subtract.at(change, left + 1, weight)
    kept = np.cumsum(change)
    return max(1, int(np.argmax(kept)))


def _settle_dates(session: Connection, definition: CaseDefinition) -> tuple[date, int, list[str]]:
    row = session.record("cohort/reporting", definition.parameters())
    if row["cut_off"] is None:
        raise DefinitionError(
            "The records hold no claim, so there is nothing to rank. Load the claims first."
        )
    remarks = [f"data up to {row['cut_off']:%Y-%m-%d}: later claims do not count"]
    if definition.reporting_days is not None:
        days = definition.reporting_days
    elif row["reporting_days"] is None:
        days = FALLBACK_REPORTING_DAYS
        remarks.append(f"reporting allowance of {days} days: no claim carries both dates")
    else:
        days = int(row["reporting_days"])
        remarks.append(
            f"reporting allowance of {days} days: 95 % of dated claims were opened within it"
        )
    return row["cut_off"], days, remarks


def _check_names(session: Connection, definition: CaseDefinition) -> None:
    for what, asked, query in (
        ("symptom", definition.symptoms, "SELECT DISTINCT symptom FROM claim_index"),
        ("zone", definition.zones, "SELECT DISTINCT zone FROM claim_index WHERE zone IS NOT NULL"),
        (
            "component",
            definition.components,
            "SELECT DISTINCT component FROM claim_index WHERE component IS NOT NULL",
        ),
        ("model", definition.models, "SELECT DISTINCT model FROM hull_index"),
        (
            "plant",
            definition.plants,
            "SELECT DISTINCT plant FROM hull_index WHERE plant IS NOT NULL",
        ),
    ):
        if asked:
            _check(what, asked, (str(name) for (name,) in session.rows(query)))


def _check(what: str, asked: Iterable[str], known: Iterable[str]) -> None:
    names = sorted(known)
    folded = {name.casefold() for name in names}
    for name in asked:
        if name.casefold() not in folded:
            raise UnknownNameError(what, name, names)
