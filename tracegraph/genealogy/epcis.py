"""The genealogy as events of GS1 EPCIS 2.0 in JSON-LD.

Work that uses lots is a transformation: all work on one part shares a transformation
identifier, and the last of it yields the part. Parts are aggregated into the hull,
components associated with it, checks are observations of objects, readings are sensor
reports. People are left out. What has no time cannot be an event; it is named beside.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime
from typing import Any
from uuid import NAMESPACE_URL, uuid5

import networkx as nx

from tracegraph.genealogy.sensor import NAMESPACE, identifier, sensor_report, unit_code

CONTEXT = "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"
SCHEMA_VERSION = "2.0"
PREFIX = "tg"

_DISPOSITIONS = {"pass": "conformant", "fail": "non_conformant"}
_MATERIAL = frozenset({"lot", "drum"})


def epcis_document(graph: nx.DiGraph[str], created: datetime) -> dict[str, Any]:
    """The graph as an EPCIS document.

    Parameters
    ----------
    graph : networkx.DiGraph
        Typed graph of a scope; its times are UTC.
    created : datetime
        When the document is made, with its time zone.

    Returns
    -------
    dict
        ``@context``, ``type``, ``schemaVersion``, ``creationDate``, ``epcisBody`` with its
        ``eventList`` in the order of time, and ``tg:undated``: names of things whose event
        has no time on record.

    Notes
    -----
    A lot or drum whose amount was written down is an input quantity, since a quantity
    element names class and amount; one without is listed by its name alone. The time of a
    blend that was not written down is that of its first use, marked ``tg:atTheLatest``.

    References
    ----------
    .. [1] GS1, EPCIS Standard, release 2.0 (ISO/IEC 19987), with its JSON schema.
    .. [2] GS1, Core Business Vocabulary, release 2.0 (ISO/IEC 19988).
    """
    events, undated = _events(graph)
    events.sort(key=lambda event: (event["eventTime"], event["type"], event["eventID"]))
    return {
        "@context": [CONTEXT, {PREFIX: NAMESPACE}],
        "type": "EPCISDocument",
        "schemaVersion": SCHEMA_VERSION,
        "creationDate": created.isoformat(timespec="seconds"),
        "epcisBody": {"eventList": events},
        f"{PREFIX}:undated": sorted(undated),
    }


def _events(graph: nx.DiGraph[str]) -> tuple[list[dict[str, Any]], set[str]]:
    of_kind: dict[str, list[str]] = defaultdict(list)
    for node in graph:
        of_kind[graph.nodes[node]["kind"]].append(node)
    events: list[dict[str, Any]] = []
    undated: set[str] = set()
    for thing in (*of_kind["part"], *of_kind["hull"]):
        events += _work(graph, thing)
    for lot in of_kind["lot"]:
        found = _blend(graph, lot)
        if found is None:
            continue
        if found:
            events.append(found)
        else:
            undated.add(lot)
    for hull in of_kind["hull"]:
        joined, left = _joined(graph, hull)
        events += joined
        undated |= left
    for check in of_kind["inspection"]:
        events += _checked(graph, check)
    return events, undated


def _event(kind: str, name: str, time: str, **more: Any) -> dict[str, Any]:
    return {
        "type": kind,
        "eventID": f"urn:uuid:{uuid5(NAMESPACE_URL, NAMESPACE + name)}",
        "eventTime": time,
        "eventTimeZoneOffset": "+00:00",
        **more,
    }


def _work(graph: nx.DiGraph[str], thing: str) -> list[dict[str, Any]]:
    """One event for each operation on a part, or on the hull as a whole."""
    operations = sorted(
        (node for node in graph.succ[thing] if graph.nodes[node]["kind"] == "operation"),
        key=lambda node: (str(graph.nodes[node].get("started_at")), node),
    )
    dated = [node for node in operations if _time(graph.nodes[node].get("started_at"))]
    using = [node for node in dated if any(_inputs(graph, node))]
    events = []
    for node in dated:
        data = graph.nodes[node]
        more: dict[str, Any] = {
            "bizStep": identifier(f"step:{data.get('step', data['label'])}"),
            **_place(graph, node),
        }
        reports = _reports(graph, node)
        if reports:
            more["sensorElementList"] = reports
        time = str(_time(data["started_at"]))
        if node in using:
            quantities, names = _inputs(graph, node)
            lists = {"inputQuantityList": quantities, "inputEPCList": names}
            if node == using[-1]:
                lists["outputEPCList"] = [identifier(thing)]
            events.append(
                _event(
                    "TransformationEvent",
                    node,
                    time,
                    transformationID=identifier(f"making:{thing}"),
                    **{name: values for name, values in lists.items() if values},
                    **more,
                )
            )
        else:
            events.append(
                _event(
                    "ObjectEvent", node, time, action="OBSERVE", epcList=[identifier(thing)], **more
                )
            )
    return events


def _inputs(graph: nx.DiGraph[str], operation: str) -> tuple[list[dict[str, Any]], list[str]]:
    """What an operation used: amounts, and names of what has no amount."""
    quantities, names = [], []
    for node in sorted(graph.succ[operation]):
        if graph.nodes[node]["kind"] not in _MATERIAL:
            continue
        edge = graph.edges[operation, node]
        amount, unit = edge.get("quantity"), unit_code(edge.get("unit"))
        if amount is not None and math.isfinite(amount) and unit is not None:
            quantities.append(
                {"epcClass": identifier(node), "quantity": float(amount), "uom": unit}
            )
        else:
            names.append(identifier(node))
    return quantities, names


def _place(graph: nx.DiGraph[str], operation: str) -> dict[str, Any]:
    """Station as the read point; equipment beside it."""
    near = sorted(graph.succ[operation])
    found: dict[str, Any] = {}
    stations = [node for node in near if graph.nodes[node]["kind"] == "station"]
    if stations:
        found["readPoint"] = {"id": identifier(stations[0])}
    equipment = [identifier(node) for node in near if graph.nodes[node]["kind"] == "equipment"]
    if equipment:
        found[f"{PREFIX}:equipment"] = equipment
    attempt = graph.nodes[operation].get("attempt")
    if attempt is not None:
        found[f"{PREFIX}:attempt"] = int(attempt)
    return found


def _reports(graph: nx.DiGraph[str], operation: str) -> list[dict[str, Any]]:
    readings = [
        graph.nodes[node]
        for node in sorted(graph.succ[operation])
        if graph.nodes[node]["kind"] == "condition"
    ]
    reports = [
        sensor_report(
            r["quantity"], r["value"], r.get("unit"), low=r.get("low"), high=r.get("high")
        )
        for r in readings
    ]
    return [{"sensorReport": reports}] if reports else []


def _blend(graph: nx.DiGraph[str], lot: str) -> dict[str, Any] | None:
    """Event of mixing a lot; empty when it has no time, None when it was not mixed."""
    parents = sorted(
        node
        for node in graph.succ[lot]
        if graph.nodes[node]["kind"] == "lot" and "share" in graph.edges[lot, node]
    )
    if not parents:
        return None
    shares = {identifier(node): float(graph.edges[lot, node]["share"]) for node in parents}
    more: dict[str, Any] = {
        "inputEPCList": list(shares),
        "outputEPCList": [identifier(lot)],
        f"{PREFIX}:share": {name: share for name, share in shares.items() if math.isfinite(share)},
    }
    made = _time(graph.nodes[lot].get("made_on"))
    if made is None:
        made = _first_use(graph, lot)
        if made is None:
            return {}
        more[f"{PREFIX}:atTheLatest"] = True
    return _event("TransformationEvent", f"blend:{lot}", made, **more)


def _first_use(graph: nx.DiGraph[str], lot: str) -> str | None:
    """Time of the first operation that used a lot, or a blend that holds some of it."""
    times = [
        _time(graph.nodes[node].get("started_at"))
        for node in nx.ancestors(graph, lot)
        if graph.nodes[node]["kind"] == "operation"
    ]
    return min((time for time in times if time), default=None)


def _joined(graph: nx.DiGraph[str], hull: str) -> tuple[list[dict[str, Any]], set[str]]:
    """Parts and components going into a hull."""
    events, undated = [], set()
    work = [
        _time(graph.nodes[node].get("started_at"))
        for node in graph.succ[hull]
        if graph.nodes[node]["kind"] == "operation"
    ]
    assembled = min((time for time in work if time), default=None)
    assembled = assembled or _time(graph.nodes[hull].get("built_on"))
    parts = [node for node in sorted(graph.succ[hull]) if graph.nodes[node]["kind"] == "part"]
    if parts and assembled:
        events.append(
            _event(
                "AggregationEvent",
                f"parts:{hull}",
                assembled,
                action="ADD",
                bizStep="assembling",
                parentID=identifier(hull),
                childEPCs=[identifier(part) for part in parts],
            )
        )
    else:
        undated |= set(parts)
    for node in sorted(graph.succ[hull]):
        if graph.nodes[node]["kind"] != "component":
            continue
        fitted = _time(graph.nodes[node].get("fitted_at"))
        if fitted is None:
            undated.add(node)
            continue
        events.append(
            _event(
                "AssociationEvent",
                node,
                fitted,
                action="ADD",
                bizStep="installing",
                parentID=identifier(hull),
                childEPCs=[identifier(node)],
            )
        )
    return events, undated


def _checked(graph: nx.DiGraph[str], check: str) -> Iterable[dict[str, Any]]:
    data = graph.nodes[check]
    time = _time(data.get("at"))
    objects = [identifier(node) for node in sorted(graph.pred[check])]
    if time is None or not objects:
        return
    more: dict[str, Any] = {
        "disposition": _DISPOSITIONS.get(str(data.get("result")), "unknown"),
        f"{PREFIX}:checkpoint": str(data.get("checkpoint", data["label"])),
        f"{PREFIX}:result": str(data.get("result", "unknown")),
    }
    for name in ("defect", "zone", "attempt"):
        if name in data:
            more[f"{PREFIX}:{name}"] = data[name]
    value = data.get("value")
    if value is not None and math.isfinite(value):
        report = sensor_report(str(data.get("checkpoint", "value")), value, data.get("unit"))
        more["sensorElementList"] = [{"sensorReport": [report]}]
    yield _event(
        "ObjectEvent", check, time, action="OBSERVE", bizStep="inspecting", epcList=objects, **more
    )


def _time(value: Any) -> str | None:
    """Time in UTC as the standard writes it; a day counts from its first minute."""
    if value is None or value != value:
        return None
    if isinstance(value, datetime):
        text = value.isoformat(timespec="milliseconds")
        return text if value.tzinfo else f"{text}Z"
    if isinstance(value, date):
        return f"{value.isoformat()}T00:00:00.000Z"
    return None
