"""The graph as text that other programs read: GraphML, node-link JSON, PROV-JSON."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

import networkx as nx

PROV_ACTIVITIES: frozenset[str] = frozenset({"operation", "inspection"})
PROV_AGENTS: frozenset[str] = frozenset({"supplier", "operator", "crew"})
PROV_ENDS: dict[str, tuple[str, str]] = {
    "used": ("prov:activity", "prov:entity"),
    "wasGeneratedBy": ("prov:entity", "prov:activity"),
    "wasDerivedFrom": ("prov:generatedEntity", "prov:usedEntity"),
    "wasAssociatedWith": ("prov:activity", "prov:agent"),
    "wasAttributedTo": ("prov:entity", "prov:agent"),
    "hadMember": ("prov:collection", "prov:entity"),
}
"""What each relation calls its later and its earlier end."""

EDGE_NUMBERS: tuple[str, ...] = (
    "share",
    "quantity",
    "pulls_since_waxed",
    "days_since_waxed",
    "pulls_since_repaired",
    "days_since_repaired",
)
"""Numbers that an edge may carry."""

_TYPE_OF_END = {"prov:activity": "activity", "prov:agent": "agent"}
_PREFIX = "tg"
_NAMESPACE = "urn:tracegraph:"
_TIMES = {"started_at": "prov:startTime", "finished_at": "prov:endTime", "at": "prov:startTime"}
_PROV_CLASS = {
    "operator": "prov:Person",
    "supplier": "prov:Organization",
    "crew": "prov:Organization",
    "hull": "prov:Collection",
}

# XML 1.0 (fifth edition) section 2.2 allows no others; a carriage return is allowed but
# read back as a line feed (section 2.11), so it is spelled out as well.
_NOT_IN_XML = re.compile("[^\t\n\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def node_link(graph: nx.DiGraph[str], start: str | None = None) -> dict[str, Any]:
    """Nodes and edges as plain lists.

    Parameters
    ----------
    graph : networkx.DiGraph
        From :func:`~tracegraph.genealogy.graph.build_graph`.
    start : str, optional
        The node that was asked for.

    Returns
    -------
    dict
        ``start``; ``nodes``, each with ``id`` and its attributes; ``edges``, each with
        ``source`` (later), ``target`` (earlier) and its attributes. Only plain values; a
        number that is not finite is None.
    """
    return {
        "start": start,
        "nodes": [{"id": node, **_plain(data)} for node, data in graph.nodes(data=True)],
        "edges": [
            {"source": source, "target": target, **_plain(data)}
            for source, target, data in graph.edges(data=True)
        ],
    }


def graphml_text(graph: nx.DiGraph[str]) -> str:
    r"""GraphML, for other programs that draw and search graphs.

    A character that XML cannot hold is spelled out (``\u0007``); should that make two
    names equal, the later one is marked ``~2``. Attributes without a value are left out.

    Parameters
    ----------
    graph : networkx.DiGraph
        From :func:`~tracegraph.genealogy.graph.build_graph`.

    Returns
    -------
    str
        The document; ``networkx.parse_graphml`` opens it with the same nodes, edges and
        attributes.
    """
    names: dict[str, str] = {}
    taken: set[str] = set()
    for node in graph:
        name = base = _xml_text(node)
        count = 1
        while name in taken:
            count += 1
            name = f"{base}~{count}"
        names[node] = name
        taken.add(name)
    copy: nx.DiGraph[str] = nx.DiGraph(**_xml_values(graph.graph))
    copy.add_nodes_from((names[n], _xml_values(data)) for n, data in graph.nodes(data=True))
    copy.add_edges_from(
        (names[s], names[t], _xml_values(data)) for s, t, data in graph.edges(data=True)
    )
    return "\n".join(nx.generate_graphml(copy))


def prov_json(graph: nx.DiGraph[str]) -> dict[str, Any]:
    """The graph as a PROV-JSON document.

    Operations and inspections are activities; suppliers, people and crews are agents; all
    else are entities. Times are UTC.

    Parameters
    ----------
    graph : networkx.DiGraph
        From :func:`~tracegraph.genealogy.graph.build_graph`.

    Returns
    -------
    dict
        ``prefix``, ``entity``, ``activity``, ``agent`` and one member for each relation
        that occurs.

    Notes
    -----
    An edge whose ends are of other types than its relation asks for cannot be said in
    PROV under that name; it is given as ``wasInfluencedBy``, which PROV-DM section 5.3.5
    makes the relation that all others are cases of.

    References
    ----------
    .. [1] T. D. Huynh et al., The PROV-JSON Serialization, W3C Member Submission,
           24 April 2013.
    .. [2] L. Moreau, P. Missier (eds.), PROV-DM: The PROV Data Model, W3C Recommendation,
           30 April 2013.
    """
    document: dict[str, dict[str, Any]] = {
        "prefix": {_PREFIX: _NAMESPACE, "xsd": "http://www.w3.org/2001/XMLSchema#"},
        "entity": {},
        "activity": {},
        "agent": {},
    }
    for node, data in graph.nodes(data=True):
        document[_prov_type(data["kind"])][_prov_name(node)] = _prov_attributes(data)
    for number, (source, target, data) in enumerate(graph.edges(data=True), start=1):
        relation = _prov_relation(graph, source, target, data["relation"])
        later, earlier = PROV_ENDS.get(relation, ("prov:influencee", "prov:influencer"))
        entry: dict[str, Any] = {later: _prov_name(source), earlier: _prov_name(target)}
        for name in EDGE_NUMBERS:
            if name in data and math.isfinite(data[name]):
                entry[f"{_PREFIX}:{name}"] = float(data[name])
        if "unit" in data:
            entry[f"{_PREFIX}:unit"] = str(data["unit"])
        document.setdefault(relation, {})[f"_:r{number}"] = entry
    return document


def _plain(data: Mapping[str, Any]) -> dict[str, Any]:
    return {key: _plain_value(value) for key, value in data.items()}


def _plain_value(value: Any) -> Any:
    if hasattr(value, "isoformat"):
        return value.isoformat()
    if hasattr(value, "item"):
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def _xml_text(text: str) -> str:
    return _NOT_IN_XML.sub(lambda hit: f"\\u{ord(hit.group()):04x}", text)


def _xml_values(data: Mapping[str, Any]) -> dict[str, Any]:
    values = {}
    for key, value in _plain(data).items():
        if value is not None and value != "":
            values[key] = _xml_text(value) if isinstance(value, str) else value
    return values


def _prov_type(kind: str) -> str:
    if kind in PROV_ACTIVITIES:
        return "activity"
    return "agent" if kind in PROV_AGENTS else "entity"


def _prov_name(node: str) -> str:
    # PROV-N section 3.7.1 asks for escapes in a local name; percent signs need none.
    return f"{_PREFIX}:{quote(node, safe='-._~', errors='surrogatepass')}"


def _prov_attributes(data: Mapping[str, Any]) -> dict[str, Any]:
    kind = str(data["kind"])
    types: list[Any] = [kind]
    if kind in _PROV_CLASS:
        types.append({"$": _PROV_CLASS[kind], "type": "xsd:QName"})
    values: dict[str, Any] = {"prov:type": types, "prov:label": str(data["label"])}
    activity = kind in PROV_ACTIVITIES
    for key, value in _plain(data).items():
        if key in {"kind", "label"} or value is None:
            continue
        if activity and key in _TIMES:
            values[_TIMES[key]] = _date_time(value)
        else:
            values[f"{_PREFIX}:{key}"] = value
    if activity and "at" in data:
        values["prov:endTime"] = values["prov:startTime"]
    return values


def _date_time(text: str) -> str:
    has_zone = text.endswith("Z") or "+" in text
    return text if has_zone else f"{text}Z"


def _prov_relation(graph: nx.DiGraph[str], source: str, target: str, relation: str) -> str:
    ends = PROV_ENDS.get(relation, ())
    asked = [_TYPE_OF_END.get(end, "entity") for end in ends]
    found = [_prov_type(graph.nodes[node]["kind"]) for node in (source, target)]
    return relation if asked == found else "wasInfluencedBy"
