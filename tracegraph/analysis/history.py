"""How one hull was built: what was done, with what, how it compares, and what is missing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from tracegraph.analysis.identifiers import Named, find, hin_key
from tracegraph.domain.errors import UnknownHullError
from tracegraph.exposure import work_out_conditions
from tracegraph.store import Connection, Store

Floats = npt.NDArray[np.float64]

PEER_DAYS = 45
"""Peers did the same step within so many days before or after: about the same quarter."""

FEWEST_PEERS = 5
"""With fewer peers no percentile is given."""

FAR_PEERS = 10
"""Fewest peers with which a value can be called far from them."""

FAR_BANDS = 0.5
"""A value is far when it lies beyond the middle 90 % of its peers by this share of that
band's width; of normally spread values about one in a thousand does."""

_HULL_THINGS = frozenset({"hull", "claim", "part", "operation", "component"})


@dataclass(frozen=True)
class HullFacts:
    """The header of a build history.

    Attributes
    ----------
    hull_serial, model : str
        Which hull.
    job_no, hin, dealer, place : str or None
        As recorded.
    built_on, shipped_on, delivered_on, exit_on : date or None
        Its days.
    delivered_imputed : bool
        Whether the delivery day rests on the dealer's median lag.
    claims : int
        Claim lines that reached it.
    """

    hull_serial: str
    model: str
    job_no: str | None
    hin: str | None
    dealer: str | None
    place: str | None
    built_on: date | None
    shipped_on: date | None
    delivered_on: date | None
    exit_on: date | None
    delivered_imputed: bool
    claims: int


@dataclass(frozen=True, eq=False)
class History:
    """One hull's build history. Times are on the site's own clock.

    Attributes
    ----------
    asked : str
        The number as typed.
    named : Named
        The thing that it names.
    hull : HullFacts
        The hull it belongs to.
    parts : DataFrame
        ``part_serial``, ``part``, ``mold_no``, ``pull_no``, ``pulled_at``.
    operations : DataFrame
        In the order of time: ``operation_no``, ``operation_id``, ``lane`` (the part, or
        ``assembly``), ``part``, ``part_serial``, ``step``, ``station``, ``equipment``,
        ``operator``, ``crew``, ``shift``, ``started_at``, ``finished_at``, ``attempt``,
        ``lots`` (materials and lots as text), ``lot_numbers`` (the lots alone),
        ``lots_missing`` (uses whose lot was not written down).
    measures : DataFrame
        One row per condition, reading or wait: ``own_no`` (its operation), ``lane``,
        ``step``, ``quantity``, ``source`` (written, logger, computed, wait), ``unit``, ``value``,
        ``peers`` (how many), ``percentile`` (share of peers below, ties half, 0 to 100;
        NaN with fewer than 5 peers), ``low``, ``middle``, ``high`` (5, 50 and 95 % points
        of the peers), ``far`` (bool).
    peers : DataFrame
        The peers' single values: ``own_no``, ``quantity``, ``value``.
    waits : DataFrame
        ``operation_no``, ``lane``, ``step_before``, ``step``, ``ended_at``,
        ``started_at``, ``hours`` (negative when the records overlap).
    components : DataFrame
        ``component``, ``serial_no``, ``supplier``, ``lot_no``, ``fitted_at``,
        ``fitted_by``.
    inspections : DataFrame
        Every attempt: ``inspection_id``, ``lane``, ``checkpoint``, ``at``, ``inspector``,
        ``result``, ``value``, ``unit``, ``defect``, ``zone``, ``attempt``, ``note``,
        ``photo``.
    claims : DataFrame
        ``claim``, ``symptom``, ``zone``, ``component``, ``failed_on``, ``failed_known``,
        ``opened_on``, ``safety_class``, ``certainty``, ``solicited``, ``cost``,
        ``repeat_of``, ``note``, ``months_in_service`` (null before delivery).
    missing : DataFrame
        Records that at least half of the model's hulls have and this one has not, and
        uses whose lot was not written down: ``record`` (part, operation, lot, reading,
        mold, check, component, component lot), ``lane``, ``step``, ``thing``, ``at`` (when it
        was or should have been; missing when that cannot be told).
    remarks : tuple of str
        What was assumed.
    data_version : str
        Version of the records.
    """

    asked: str
    named: Named
    hull: HullFacts
    parts: pd.DataFrame
    operations: pd.DataFrame
    measures: pd.DataFrame
    peers: pd.DataFrame
    waits: pd.DataFrame
    components: pd.DataFrame
    inspections: pd.DataFrame
    claims: pd.DataFrame
    missing: pd.DataFrame
    remarks: tuple[str, ...]
    data_version: str


def history(store: Store, identifier: str, *, peer_days: int = PEER_DAYS) -> History:
    """Build history of the hull that a number names or belongs to.

    Parameters
    ----------
    store : Store
        The records.
    identifier : str
        A hull, claim, part, operation or component, as typed; see
        :func:`~tracegraph.analysis.identifiers.find`.
    peer_days : int, default 45
        Days before and after within which a peer did the same step.

    Returns
    -------
    History
        Frames of what is recorded, and of what is not.

    Raises
    ------
    UnknownHullError
        If the number names nothing, several things, or something that is no hull's own.
    """
    zone = {"time_zone": store.meta("time_zone") or "UTC"}
    with store.session() as session:
        named = find(session, identifier)[0]
        hull_id, remarks = _hull_of(session, identifier, named)
        asked = zone | {"hull_id": hull_id}
        hull = _facts(session.frame("history/hull", asked))
        missing = _placed(session.frame("history/missing", asked), hull.built_on)
        operations = session.frame("history/operations", asked)
        measures, peers = _measured(session, hull_id, peer_days)
        return History(
            asked=identifier,
            named=named,
            hull=hull,
            parts=session.frame("history/parts", asked),
            operations=operations,
            measures=measures,
            peers=peers,
            waits=session.frame("history/waits", asked),
            components=session.frame("history/components", asked),
            inspections=session.frame("history/inspections", asked),
            claims=session.frame("history/claims", asked),
            missing=missing,
            remarks=tuple(remarks),
            data_version=store.version,
        )


def hull_meant(store: Store, identifier: str) -> HullFacts:
    """The hull that a number names or belongs to, without its history.

    Parameters
    ----------
    store : Store
        The records.
    identifier : str
        As for :func:`history`.

    Raises
    ------
    UnknownHullError
        As from :func:`history`.
    """
    with store.session() as session:
        hull_id, _ = _hull_of(session, identifier, find(session, identifier)[0])
        return _facts(session.frame("history/hull", {"hull_id": hull_id}))


def percentile(value: float, peers: Floats) -> float:
    """Share of peers below a value, ties counted half.

    Parameters
    ----------
    value : float
        The value.
    peers : array of float
        At least one.

    Returns
    -------
    float
        0 to 100.

    Examples
    --------
    >>> percentile(3.0, np.array([1.0, 2.0, 3.0, 4.0]))
    62.5
    """
    below = int(np.count_nonzero(peers < value))
    ties = int(np.count_nonzero(peers == value))
    return 100.0 * (below + ties / 2) / len(peers)


def _hull_of(session: Connection, identifier: str, named: Named) -> tuple[int, list[str]]:
    if named.kind not in _HULL_THINGS:
        raise UnknownHullError("hull, claim or part", identifier)
    rows = session.named_rows("history/hull_of", {"kind": named.kind, "key": named.key})
    if not rows:
        raise UnknownHullError(f"hull of {named.kind}", identifier)
    if len(rows) == 1:
        return int(rows[0][0]), []
    typed = hin_key(identifier)
    meant = [row for row in rows if typed in (row[3], hin_key(str(row[2] or "")))]
    chosen = (meant or rows)[0]
    return int(chosen[0]), [
        f"{len(rows)} hulls are recorded under {chosen[1]}; this is the one built on "
        f"{chosen[4] or 'an unknown day'}. Type its job or hull identification number to choose."
    ]


def _facts(frame: pd.DataFrame) -> HullFacts:
    row: dict[str, Any] = {
        str(name): None if pd.isna(value) else value for name, value in frame.iloc[0].items()
    }
    days = {
        name: None if row[name] is None else pd.Timestamp(row[name]).date()
        for name in ("built_on", "shipped_on", "delivered_on", "exit_on")
    }
    return HullFacts(
        hull_serial=str(row["hull_serial"]),
        model=str(row["model"]),
        job_no=row["job_no"],
        hin=row["hin"],
        dealer=row["dealer"],
        place=row["place"],
        delivered_imputed=bool(row["delivered_imputed"]),
        claims=int(row["claims"] or 0),
        **days,
    )


def _placed(missing: pd.DataFrame, built_on: date | None) -> pd.DataFrame:
    """Give records that should be there the time at which they usually are."""
    minutes = pd.to_timedelta(missing.pop("at_minutes"), unit="m")
    if built_on is not None:
        missing["at"] = missing["at"].fillna(pd.Timestamp(built_on) + minutes)
    return missing


def _measured(
    session: Connection, hull_id: int, peer_days: int
) -> tuple[pd.DataFrame, pd.DataFrame]:
    session.run("history/near", {"hull_id": hull_id, "days": peer_days})
    work_out_conditions(session)
    values = session.frame("history/measures")
    mine = values[values["this_hull"]].drop(columns="this_hull")
    peers = values.loc[~values["this_hull"], ["own_no", "quantity", "value"]]
    by_measure = {
        key: group["value"].to_numpy(np.float64)
        for key, group in peers.groupby(["own_no", "quantity"])
    }
    nobody = np.array([], dtype=np.float64)
    rows = [
        _compared(value, by_measure.get((own_no, quantity), nobody))
        for own_no, quantity, value in zip(
            mine["own_no"], mine["quantity"], mine["value"], strict=True
        )
    ]
    columns = ["peers", "percentile", "low", "middle", "high", "far"]
    compared = pd.DataFrame(rows, columns=columns, index=mine.index).astype(
        {**dict.fromkeys(columns[1:5], "float64"), "peers": "int64", "far": "bool"}
    )
    return mine.join(compared).reset_index(drop=True), peers.reset_index(drop=True)


def _compared(value: float, peers: Floats) -> tuple[int, float, float, float, float, bool]:
    if len(peers) < FEWEST_PEERS:
        return len(peers), np.nan, np.nan, np.nan, np.nan, False
    place = percentile(value, peers)
    low, middle, high = np.quantile(peers, [0.05, 0.5, 0.95])
    beyond = FAR_BANDS * (high - low)
    far = len(peers) >= FAR_PEERS and beyond > 0 and not low - beyond <= value <= high + beyond
    return len(peers), place, float(low), float(middle), float(high), bool(far)
