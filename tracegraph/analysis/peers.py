"""One hull against the production of its month and model: what is out of the ordinary."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from tracegraph.analysis.history import History, history
from tracegraph.domain.fuel_rule import FUEL_TEST, breaches, gaps
from tracegraph.domain.fuel_rule import SOURCE as RULE
from tracegraph.domain.limits import LATE_DAYS, LIMITS, Limit, limits_of
from tracegraph.domain.units import unit_sign
from tracegraph.exposure.fuel_tests import FuelTry, fuel_tries
from tracegraph.store import Store
from tracegraph.store.limits import read_limits

MONTH_DAYS = 15
"""Peers did the same step of the same model within so many days before or after."""

KINDS: tuple[str, ...] = (
    "out of limits",
    "out of rule",
    "expired material",
    "failed",
    "not done",
    "passed after a fail",
    "far from peers",
    "records overlap",
    "missing record",
    "late record",
)
"""Sorts of findings, in the order in which they are shown."""

_COLUMNS = ["kind", "lane", "step", "thing", "at", "value", "unit", "text", "source"]


@dataclass(frozen=True, eq=False)
class PeerReview:
    """What is out of the ordinary about one hull. Times are on the site's own clock.

    Attributes
    ----------
    history : History
        How it was built. Its ``measures`` give each reading its place among the peers of
        its month and model.
    findings : DataFrame
        ``kind`` (one of :data:`KINDS`), ``lane``, ``step``, ``thing``, ``at``, ``value``,
        ``unit``, ``text`` (the sentence), ``source`` (of a limit). A finding is a fact
        about the records, and proves no fault.
    limits : tuple of Limit
        Those in force.
    """

    history: History
    findings: pd.DataFrame
    limits: tuple[Limit, ...]


def review(
    store: Store,
    identifier: str,
    *,
    limits: Sequence[Limit] | None = None,
    late_days: int = LATE_DAYS,
) -> PeerReview:
    """Review one hull against its peers and the limits.

    Parameters
    ----------
    store : Store
        The records.
    identifier : str
        The hull, or something of it, as typed.
    limits : sequence of Limit, optional
        Limits in force; those of the store directory (``limits.toml``, else the defaults)
        when left out.
    late_days : int, default 7
        Days after which a record counts as late.

    Returns
    -------
    PeerReview
        Findings in the order of their kinds, then of time.

    Raises
    ------
    UnknownHullError
        If the number names no hull, or several things.
    """
    built = history(store, identifier, peer_days=MONTH_DAYS)
    if limits is None:
        limits = read_limits(store.path.parent) if store.path.is_file() else LIMITS
    zone = store.meta("time_zone") or "UTC"
    asked: dict[str, Any] = {"time_zone": zone, "late_days": late_days}
    with store.session() as session:
        hull = {"hull_serial": built.hull.hull_serial, "job_no": built.hull.job_no}
        asked["hull_id"] = session.named_rows("peers/hull_id", hull)[0][0]
        expired = session.frame("peers/expired", asked)
        late = session.frame("peers/late", asked)
        tries = fuel_tries(session, asked["hull_id"])
    rows = [
        *_measured(built, limits),
        *_out_of_rule(tries, zone),
        *_expired(expired),
        *_checked(built.inspections),
        *_overlapping(built.waits),
        *_missing(built.missing),
        *_not_shown(tries, zone),
        *_late(late),
    ]
    findings = pd.DataFrame(rows, columns=_COLUMNS)
    order = pd.DataFrame(
        {"kind": findings["kind"].map(KINDS.index), "at": pd.to_datetime(findings["at"])}
    )
    place = order.sort_values(["kind", "at"], kind="stable", na_position="last").index
    return PeerReview(built, findings.loc[place].reset_index(drop=True), tuple(limits))


def _finding(kind: str, row: dict[Any, Any], text: str, **more: Any) -> dict[str, Any]:
    plain = {name: row.get(name) for name in ("lane", "step", "thing", "at")}
    return {"kind": kind, "value": None, "unit": None, "text": text, "source": None} | plain | more


def _measured(built: History, limits: Sequence[Limit]) -> list[dict[str, Any]]:
    started = built.operations.set_index("operation_no")["started_at"]
    found = []
    for row in built.measures.to_dict("records"):
        value, sign = float(row["value"]), unit_sign(row["unit"])
        row |= {"thing": row["quantity"], "at": started.get(row["own_no"])}
        said = f"{row['lane']}, {row['step']}: {row['quantity']} {value:.4g} {sign}".rstrip()
        more = {"value": value, "unit": row["unit"]}
        found += [
            _finding(
                "out of limits",
                row,
                f"{said}, where {limit.range} is asked for.",
                source=limit.source,
                **more,
            )
            for limit in limits_of(row["quantity"], row["step"], row["unit"], limits)
            if limit.broken_by(value)
        ]
        if row["far"]:
            text = (
                f"{said}; of {row['peers']} peers 9 in 10 lie within {row['low']:.4g} to "
                f"{row['high']:.4g}."
            )
            found.append(_finding("far from peers", row, text, **more))
    return found


def _out_of_rule(tries: list[FuelTry], zone: str) -> list[dict[str, Any]]:
    """What breaks the rule in the last try that was done."""
    found = []
    for tried in [one for one in tries if one.done][-1:]:
        result = "" if tried.result is None else f", recorded as {tried.result}"
        found += [
            _finding(
                "out of rule",
                _place_of(tried, zone),
                f"assembly: {FUEL_TEST}, try {tried.attempt}{result}. {sentence}",
                source=RULE,
            )
            for sentence in breaches(tried.test)
        ]
    return found


def _not_shown(tries: list[FuelTry], zone: str) -> list[dict[str, Any]]:
    """What the record of the last try leaves open, where there is one beside its result."""
    return [
        _finding(
            "missing record",
            _place_of(tried, zone),
            f"assembly, {FUEL_TEST}: no record of {name}, so the rule is not shown to be met.",
            source=RULE,
        )
        for tried in [one for one in tries if one.done][-1:]
        if tried.measured
        for name in gaps(tried.test)
    ]


def _place_of(tried: FuelTry, zone: str) -> dict[str, Any]:
    at = pd.Timestamp(tried.at, tz="UTC").tz_convert(zone).tz_localize(None)
    return {"lane": "assembly", "step": FUEL_TEST, "thing": FUEL_TEST, "at": at}


def _expired(rows: pd.DataFrame) -> list[dict[str, Any]]:
    return [
        _finding(
            "expired material",
            row | {"thing": f"{row['material']} {row['lot_no']}"},
            f"{row['lane']}, {row['step']}: {row['material']} {row['lot_no']} was used "
            f"{row['days']} days after its last day, {pd.Timestamp(row['expires_on']):%Y-%m-%d}.",
            value=float(row["days"]),
            unit="d",
        )
        for row in rows.to_dict("records")
    ]


def _checked(inspections: pd.DataFrame) -> list[dict[str, Any]]:
    found = []
    for (lane, checkpoint), tries in inspections.groupby(["lane", "checkpoint"], sort=False):
        done = tries[tries["result"] != "not done"]
        row = {"lane": lane, "step": checkpoint, "thing": checkpoint, "at": tries["at"].iloc[0]}
        fails = done[done["result"] == "fail"]
        defects = ", ".join(dict.fromkeys(fails["defect"].dropna().astype(str)))
        because = f" ({defects})" if defects else ""
        if done.empty:
            found.append(_finding("not done", row, f"{lane}: {checkpoint} was not done."))
        elif done["result"].iloc[-1] == "fail":
            text = f"{lane}: {checkpoint} failed{because}, and no later try passed."
            found.append(_finding("failed", row, text))
        elif len(fails):
            text = (
                f"{lane}: {checkpoint} passed at try {len(done)} after {len(fails)} "
                f"fail{'s' if len(fails) > 1 else ''}{because}."
            )
            found.append(_finding("passed after a fail", row, text))
    return found


def _overlapping(waits: pd.DataFrame) -> list[dict[str, Any]]:
    return [
        _finding(
            "records overlap",
            row | {"thing": row["step_before"], "at": row["started_at"]},
            f"{row['lane']}: {row['step']} began {-row['hours']:.1f} h before {row['step_before']} "
            "had ended, as written down.",
            value=float(row["hours"]),
            unit="h",
        )
        for row in waits.to_dict("records")
        if row["hours"] < 0
    ]


def _missing(missing: pd.DataFrame) -> list[dict[str, Any]]:
    found = []
    for row in missing.to_dict("records"):
        where = row["lane"] if pd.isna(row["step"]) else f"{row['lane']}, {row['step']}"
        text = f"{where}: no record of {row['thing']}."
        found.append(_finding("missing record", row, text))
    return found


def _late(late: pd.DataFrame) -> list[dict[str, Any]]:
    words = {
        "after completion": "is dated {days} days after the hull was completed",
        "after shipping": "is dated {days} days after the hull was shipped",
        "written down late": "was written down {days} days after it was done",
    }
    return [
        _finding(
            "late record",
            row,
            f"{row['lane']}, {row['step']}: {row['record']} {row['thing']} "
            f"{words[row['why']].format(days=row['days'])}.",
            value=float(row["days"]),
            unit="d",
        )
        for row in late.to_dict("records")
    ]
