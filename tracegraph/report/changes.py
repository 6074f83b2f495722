"""What changed since the records before, in words and as a table."""

from __future__ import annotations

from datetime import datetime

import pandas as pd

from tracegraph.analysis.changes import Changes
from tracegraph.report.formats import day
from tracegraph.report.numbers import count, plural
from tracegraph.report.tables import COUNT, DisplayTable
from tracegraph.report.verdict_words import LEVELS

NOTHING_BEFORE = (
    "These are the first records in this store: there is nothing to compare them with. The next "
    "load will be held against them."
)
"""Said where no earlier build is kept."""

ROSE = 4
"""Clusters that are named in a sentence; the table lists all."""


def changes_sentences(found: Changes) -> tuple[str, ...]:
    """What came, what went, and which clusters rose.

    Parameters
    ----------
    found : Changes
        From :func:`~tracegraph.analysis.changes.changes`.
    """
    loaded = found.earlier_loaded_at
    when = day(datetime.fromisoformat(loaded)) if loaded else ""
    said = [
        f"Against the records{f' of {when}' if when else ' before'}: "
        f"{_new(found.new_claims, 'claim line')} ({count(found.now.claims)} now), "
        f"{_new(found.new_hulls, 'hull')} ({count(found.now.hulls)} now); rows set aside "
        f"{count(found.set_aside[0])} then, {count(found.set_aside[1])} now."
    ]
    if found.gone_claims or found.gone_hulls:
        said.append(
            f"No longer there: {plural(found.gone_claims, 'claim line')}, "
            f"{plural(found.gone_hulls, 'hull')}."
        )
    rose = found.clusters[found.clusters["rise"] > 0]
    named = ", ".join(
        f"{row['symptom']} {count(row['hulls_then'])} to {count(row['hulls_now'])} hulls"
        for row in rose.head(ROSE).to_dict("records")
    )
    more = f", and {count(len(rose) - ROSE)} more" if len(rose) > ROSE else ""
    said.append(
        f"Rose: {named}{more}." if named else "No cluster has more affected hulls than then."
    )
    both = found.clusters.dropna(subset=["evidence_then", "evidence_now"])
    said += [
        f"Evidence on {row['symptom']}: {LEVELS[row['evidence_then']]} then, "
        f"{LEVELS[row['evidence_now']]} now."
        for row in both[both["evidence_then"] != both["evidence_now"]].to_dict("records")
    ]
    return tuple(said)


def changes_table(found: Changes) -> DisplayTable:
    """Clusters then and now.

    Parameters
    ----------
    found : Changes
        From :func:`~tracegraph.analysis.changes.changes`.
    """
    frame = found.clusters
    table = pd.DataFrame(
        {
            "symptom": frame["symptom"],
            "hulls then": frame["hulls_then"],
            "hulls now": frame["hulls_now"],
            "more": frame["rise"],
            "new claim lines": frame["new_claims"],
            "evidence then": frame["evidence_then"],
            "evidence now": frame["evidence_now"],
        }
    )
    whole = [str(name) for name in table.columns[1:]]
    return DisplayTable(
        table,
        dict.fromkeys(whole, COUNT),
        caption=f"{plural(len(table), 'symptom')}; evidence is a dash where that version's "
        "clusters were not ranked.",
    )


def _new(number: int, noun: str) -> str:
    return plural(number, f"new {noun}") if number else f"no new {noun}s"
