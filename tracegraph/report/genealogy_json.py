"""Traces, comparisons and containments as plain values for JSON."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd

from tracegraph.analysis.comparison import Comparison
from tracegraph.analysis.containment import Containment
from tracegraph.analysis.tracing import Trace
from tracegraph.genealogy import node_link
from tracegraph.report.holdlist import CAUTIONS


def trace_json(found: Trace) -> dict[str, Any]:
    """A trace as plain values.

    Parameters
    ----------
    found : Trace
        A genealogy.

    Returns
    -------
    dict
        ``start``, ``starts``, ``direction``, ``depth``, ``cut_short``, ``data_version``;
        ``nodes`` [{``id``, ``kind``, ``key``, ``label``, and what the records say}];
        ``edges`` [{``source`` (later), ``target`` (earlier), ``relation``, ``share``}];
        ``counts`` [{``kind``, ``upstream``, ``downstream``}]; ``loops`` [{``members``,
        ``walk``}].
    """
    return {
        **node_link(found.graph, found.start),
        "starts": list(found.starts),
        "direction": found.direction,
        "depth": found.depth,
        "cut_short": found.cut_short,
        "counts": _records(found.counts),
        "loops": [{"members": list(loop.members), "walk": list(loop.walk)} for loop in found.loops],
        "data_version": found.data_version,
    }


def compare_json(found: Comparison) -> dict[str, Any]:
    """A comparison as plain values.

    Parameters
    ----------
    found : Comparison
        What hulls share and where they part.

    Returns
    -------
    dict
        ``hulls``, ``people_reason``, ``data_version``; ``shared`` as the frame's rows;
        ``families`` likewise, with ``levels`` {hull serial: text} in place of the columns
        of the hulls.
    """
    told = found.families[list(found.hulls)].to_dict("records")
    plain = _records(found.families.drop(columns=list(found.hulls)))
    return {
        "hulls": list(found.hulls),
        "people_reason": found.people_reason,
        "shared": _records(found.shared),
        "families": [row | {"levels": levels} for row, levels in zip(plain, told, strict=True)],
        "data_version": found.data_version,
    }


def contain_json(found: Containment) -> dict[str, Any]:
    """A containment as plain values.

    Parameters
    ----------
    found : Containment
        The hulls to act on.

    Returns
    -------
    dict
        ``family``, ``level``, ``kind``, ``parent`` {``family``, ``level``} or None,
        ``definition``, ``as_of``, ``data_version``, ``cautions``; ``counts`` {grade:
        {place: hulls, ``total``: hulls}}; ``ranges`` and ``hulls`` as the frames' rows.
        What cannot be said is None.
    """
    parent = None
    if found.parent is not None:
        parent = {"family": found.parent[0], "level": found.parent[1]}
    return {
        "family": found.family,
        "level": found.level,
        "kind": found.kind,
        "parent": parent,
        "definition": None if found.definition is None else found.definition.as_json(),
        "as_of": None if found.as_of is None else found.as_of.isoformat(),
        "counts": {
            str(grade): {str(place): int(hulls) for place, hulls in row.items()}
            for grade, row in found.counts.iterrows()
        },
        "ranges": _records(found.ranges),
        "hulls": _records(found.hulls),
        "cautions": list(CAUTIONS),
        "data_version": found.data_version,
    }


def _records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    rows = frame.astype(object).to_dict("records")
    return [{str(name): _plain(value) for name, value in row.items()} for row in rows]


def _plain(value: Any) -> Any:
    if value is None or value is pd.NaT or value is pd.NA or value != value:
        return None
    if isinstance(value, pd.Timestamp) and value == value.normalize():
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    return value.item() if hasattr(value, "item") else value
