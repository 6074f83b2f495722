"""One hull against its peers and the limits, in words and tables."""

from __future__ import annotations

import pandas as pd

from tracegraph.analysis.peers import KINDS, PeerReview
from tracegraph.report.formats import limit_range, measures_shown
from tracegraph.report.numbers import amount, plural, unit_sign
from tracegraph.report.tables import AMOUNT, COUNT, TENTHS, DisplayTable

MARKS: dict[str, str] = {
    "out of limits": "▲",
    "out of rule": "▲",
    "expired material": "▲",
    "failed": "✕",
    "not done": "○",
    "passed after a fail": "↻",
    "far from peers": "◆",
    "records overlap": "⇆",
    "missing record": "▢",
    "late record": "◷",
}
"""A sign for each sort of finding, always with its word."""


def review_sentences(found: PeerReview) -> tuple[str, ...]:
    """How many findings of each sort there are, and what they prove.

    Parameters
    ----------
    found : PeerReview
        Findings of one hull.

    Returns
    -------
    tuple of str
        Counts by sort; then the caution.
    """
    counts = found.findings["kind"].value_counts()
    pieces = [f"{counts[kind]} {kind}" for kind in KINDS if kind in counts]
    if not pieces:
        return ("Nothing is out of the ordinary among its records.",)
    return (
        f"{plural(len(found.findings), 'finding')}: {', '.join(pieces)}.",
        "A finding is a fact about the records. It proves no fault and blames nobody.",
    )


def findings_table(found: PeerReview) -> DisplayTable:
    """What is out of the ordinary, sort by sort, in the order of time."""
    rows = found.findings
    table = pd.DataFrame(
        {
            "": rows["kind"].map(MARKS),
            "finding": rows["kind"],
            "when": rows["at"],
            "what": rows["text"],
            "limit from": rows["source"],
        }
    )
    return DisplayTable(table, caption=plural(len(table), "finding") + ".")


def readings_table(found: PeerReview) -> DisplayTable:
    """Each reading, condition and wait with its place among the peers of its month and model.

    Parameters
    ----------
    found : PeerReview
        Findings of one hull.

    Returns
    -------
    DisplayTable
        In the order of the work. The place is the share of peers below the value; it is
        missing with fewer than 5 peers. The limits are those in force.
    """
    stored = found.history.measures.reset_index(drop=True)
    rows = measures_shown(stored)
    table = pd.DataFrame(
        {
            "on": rows["lane"],
            "step": rows["step"],
            "reading": rows["quantity"],
            "value": rows["value"],
            "unit": rows["unit"].map(unit_sign),
            "place among peers, %": rows["percentile"],
            "peers": rows["peers"],
            "9 in 10 peers": [
                "" if low != low else f"{amount(low)} to {amount(high)}"
                for low, high in zip(rows["low"], rows["high"], strict=True)
            ],
            "far": rows["far"].map({True: "◆ far from peers", False: ""}),
            "limits": _limits_said(found, stored),
        }
    )
    return DisplayTable(
        table,
        {"value": AMOUNT, "place among peers, %": TENTHS, "peers": COUNT},
        caption=f"{plural(len(table), 'reading')}; peers did the same step of the same model "
        "within 15 days.",
    )


def _limits_said(found: PeerReview, rows: pd.DataFrame) -> list[str]:
    said = []
    for row in rows.to_dict("records"):
        fitting = [
            limit
            for limit in found.limits
            if limit.holds_for(row["quantity"], row["step"], row["unit"])
        ]
        broken = any(limit.broken_by(float(row["value"])) for limit in fitting)
        ranges = ", ".join(limit_range(limit) for limit in fitting)
        said.append(f"▲ out of {ranges}" if broken else ranges)
    return said
