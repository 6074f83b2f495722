"""Traces, comparisons, reviews and containments as plain values for JSON."""

from __future__ import annotations

import math
from dataclasses import asdict
from datetime import UTC, date, datetime
from typing import Any

import pandas as pd

from tracegraph.analysis.comparison import Comparison
from tracegraph.analysis.containing.holding import report_counts, state_counts
from tracegraph.analysis.containment import Containment
from tracegraph.analysis.contrast import Contrast
from tracegraph.analysis.peers import PeerReview
from tracegraph.analysis.tracing import Trace
from tracegraph.genealogy import epcis_document, node_link
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
        ``counts`` [{``kind``, ``upstream``, ``downstream``}]; ``shares`` [{``used``,
        ``holds``, ``share``}]: shares multiplied along blends; ``loops`` [{``members``,
        ``walk``}].
    """
    return {
        **node_link(found.graph, found.start),
        "starts": list(found.starts),
        "direction": found.direction,
        "depth": found.depth,
        "cut_short": found.cut_short,
        "counts": _records(found.counts),
        "shares": _records(found.shares),
        "loops": [{"members": list(loop.members), "walk": list(loop.walk)} for loop in found.loops],
        "data_version": found.data_version,
    }


def epcis_json(found: Trace, created: datetime | None = None) -> dict[str, Any]:
    """A trace as a GS1 EPCIS 2.0 document.

    Parameters
    ----------
    found : Trace
        A genealogy; that of one hull walked up gives all that was done to build it.
    created : datetime, optional
        When the document is made; now when left out.

    Returns
    -------
    dict
        See :func:`~tracegraph.genealogy.epcis.epcis_document`. People are left out.
    """
    return epcis_document(found.graph, created or datetime.now(UTC))


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


def review_json(found: PeerReview) -> dict[str, Any]:
    """A review of one hull as plain values.

    Parameters
    ----------
    found : PeerReview
        Findings of one hull.

    Returns
    -------
    dict
        ``hull_serial``, ``model``, ``data_version``; ``findings`` and ``measures`` as the
        frames' rows; ``limits`` [{``quantity``, ``unit``, ``low``, ``high``, ``steps``,
        ``source``}].
    """
    return {
        "hull_serial": found.history.hull.hull_serial,
        "model": found.history.hull.model,
        "findings": _records(found.findings),
        "measures": _records(found.history.measures),
        "limits": [asdict(limit) | {"steps": list(limit.steps)} for limit in found.limits],
        "data_version": found.history.data_version,
    }


def contrast_json(found: Contrast) -> dict[str, Any]:
    """A contrast as plain values.

    Parameters
    ----------
    found : Contrast
        Affected hulls beside matched unaffected ones.

    Returns
    -------
    dict
        ``definition``, ``people_reason``, ``unmatched``, ``data_version``; ``pairs`` and
        ``levels`` as the frames' rows. A ratio without a limit is None.
    """
    return {
        "definition": found.definition.as_json(),
        "people_reason": found.people_reason,
        "unmatched": list(found.unmatched),
        "pairs": _records(found.pairs),
        "levels": _records(found.levels),
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
        ``family``, ``level``, ``kind``, ``members`` [{``family``, ``level``}], ``parent``
        {``family``, ``level``} or None, ``definition``, ``as_of``, ``data_version``,
        ``cautions``; ``counts`` {grade: {place: hulls, ``total``: hulls}}; ``states``
        {state: hulls}; ``report`` {what a defect report asks for: count}; ``ranges``,
        ``hulls``, ``alternatives`` and ``telling`` as the frames' rows; ``effect``
        {``observed``, ``expected``, ``rate_ratio`` and its limits}, ``balance``,
        ``bracket`` and ``forecast`` or None. What cannot be said is None.
    """
    parent = None if found.parent is None else _pair(found.parent)
    return {
        "family": found.family,
        "level": found.level,
        "kind": found.kind,
        "members": [_pair(pair) for pair in found.members],
        "parent": parent,
        "definition": None if found.definition is None else found.definition.as_json(),
        "as_of": None if found.as_of is None else found.as_of.isoformat(),
        "counts": _table(found.counts),
        "states": {state: row["total"] for state, row in _table(state_counts(found.hulls)).items()},
        "report": asdict(report_counts(found.hulls)),
        "ranges": _records(found.ranges),
        "hulls": _records(found.hulls),
        "effect": _effect(found),
        "balance": _balance(found),
        "bracket": _bracket(found),
        "forecast": _forecast(found),
        "alternatives": _records(found.alternatives),
        "telling": _records(found.telling),
        "cautions": list(CAUTIONS),
        "data_version": found.data_version,
    }


def _pair(pair: tuple[str, str]) -> dict[str, str]:
    return {"family": pair[0], "level": pair[1]}


def _table(frame: pd.DataFrame) -> dict[str, dict[str, int]]:
    return {
        str(row): {str(place): int(hulls) for place, hulls in values.items()}
        for row, values in frame.iterrows()
    }


def _effect(found: Containment) -> dict[str, Any] | None:
    rates = found.rates
    if rates is None:
        return None
    return {
        "observed": rates.observed,
        "expected": _plain(rates.expected_exposed),
        "rate_ratio": _plain(rates.ratio),
        "rate_ratio_low": _plain(rates.low),
        "rate_ratio_high": _plain(rates.high),
    }


def _balance(found: Containment) -> dict[str, Any] | None:
    if found.balance is None:
        return None
    return {name: _plain(value) for name, value in asdict(found.balance).items()} | {
        "closes": found.balance.closes
    }


def _bracket(found: Containment) -> dict[str, Any] | None:
    bracket = found.bracket
    if bracket is None:
        return None
    return {
        "unit": bracket.unit,
        "closed_before": bracket.closed_before,
        "closed_after": bracket.closed_after,
        "hulls": len(bracket.hull_ids),
        "rows": _records(bracket.rows),
    }


def _forecast(found: Containment) -> dict[str, Any] | None:
    forecast = found.forecast
    if forecast is None:
        return None
    return {
        "until_month": forecast.until_month,
        "data_month": forecast.data_month,
        "extrapolated": forecast.extrapolated,
        "shape": forecast.shape,
        "claims": {
            str(name): {str(point): float(value) for point, value in row.items()}
            for name, row in forecast.claims.iterrows()
        },
        "places": _records(forecast.places),
    }


def _records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    rows = frame.astype(object).to_dict("records")
    return [{str(name): _plain(value) for name, value in row.items()} for row in rows]


def _plain(value: Any) -> Any:
    if value is None or value is pd.NaT or value is pd.NA or value != value:
        return None
    if isinstance(value, pd.Timestamp) and value == value.normalize():
        return value.date().isoformat()
    if isinstance(value, date):  # a timestamp is one too
        return value.isoformat()
    plain = value.item() if hasattr(value, "item") else value
    return None if isinstance(plain, float) and math.isinf(plain) else plain
