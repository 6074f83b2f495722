"""The overview in words and tables."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

import pandas as pd

from tracegraph.analysis.first_suspects import CLUSTER_HULLS
from tracegraph.analysis.overview import Totals
from tracegraph.report.formats import day
from tracegraph.report.numbers import count, of, plural
from tracegraph.report.reading import name_of
from tracegraph.report.tables import CHANCE, COUNT, DisplayTable
from tracegraph.report.verdict_words import LEVELS


def overview_sentences(found: Totals, symptoms: pd.DataFrame) -> tuple[str, ...]:
    """How much there is, and what weighs most.

    Parameters
    ----------
    found : Totals
        From :func:`~tracegraph.analysis.overview.totals`.
    symptoms : DataFrame
        From :func:`~tracegraph.analysis.overview.pareto`.

    Returns
    -------
    tuple of str
        The first answers the page's question.
    """
    built = (
        f", built {day(found.first_built_on)} to {day(found.last_built_on)}"
        if found.first_built_on
        else ""
    )
    if symptoms.empty:
        return (
            f"No claims on {plural(found.hulls, 'hull')}{built}.",
            "Load the claims to see rates and symptoms.",
        )
    cost = "" if found.cost is None else f" at a cost of {count(found.cost)}"
    first = symptoms.iloc[0]
    said = [
        f"{of(found.hulls_with_claims, found.hulls)} hulls have a claim: "
        f"{plural(found.claims, 'claim line')}{cost}.",
        f"{plural(found.delivered, 'hull')} are in service{built}; the last claim was opened on "
        f"{day(found.last_opened_on)}.",
        f"Most hulls: {first['symptom']} ({count(first['hulls'])}).",
    ]
    costly = symptoms.sort_values("cost", ascending=False, kind="stable").iloc[0]
    if pd.notna(costly["cost"]) and costly["symptom"] != first["symptom"]:
        said[-1] += f" Most cost: {costly['symptom']} ({count(costly['cost'])})."
    return tuple(said)


def noticed(factors: pd.DataFrame) -> pd.DataFrame:
    """Rows of clusters with evidence of level 1 or more.

    Parameters
    ----------
    factors : DataFrame
        From :func:`~tracegraph.analysis.first_suspects.factors_frame`.
    """
    return factors[factors["evidence"].fillna(0) > 0]


def standing_out(factors: pd.DataFrame) -> list[tuple[str, str]]:
    """Clusters in which a factor stands out, most surprising first.

    Parameters
    ----------
    factors : DataFrame
        From :func:`~tracegraph.analysis.first_suspects.factors_frame`.

    Returns
    -------
    list of tuple
        A sentence and the symptom.
    """
    found = noticed(factors).sort_values(
        ["evidence", "score"], ascending=[False, False], kind="stable"
    )
    return [
        (
            f"{row['symptom'].capitalize()}: "
            f"{of(row['affected_exposed'], row['exposed'])} hulls with {_named(row)} against "
            f"{of(row['affected_unexposed'], row['unexposed'])} others "
            f"({LEVELS[int(row['evidence'])]})"
            + (". May hurt someone: refer to a person today." if row["safety_class"] == 1 else "."),
            str(row["symptom"]),
        )
        for row in found.to_dict("records")
    ]


def ranked_sentence(factors: pd.DataFrame, total: int, *, stopped: bool = False) -> str:
    """How many clusters are ranked, and in how many of them nothing stands out.

    Parameters
    ----------
    factors : DataFrame
        From :func:`~tracegraph.analysis.first_suspects.factors_frame`; of the clusters ranked
        so far.
    total : int
        Clusters in all.
    stopped : bool, default False
        Whether the reader stopped the ranking.

    Examples
    --------
    >>> ranked_sentence(pd.DataFrame({"evidence": []}), 0)
    'No symptom affects enough hulls to be ranked (5 or more).'
    """
    if not total:
        return f"No symptom affects enough hulls to be ranked ({CLUSTER_HULLS} or more)."
    if len(factors) < total:
        how = "Stopped: ranked" if stopped else "Being ranked:"
        return f"{how} {of(len(factors), total)} clusters, those with most affected hulls first."
    quiet = total - len(noticed(factors))
    return (
        f"No shared factor stands out in {of(quiet, total)} clusters of {CLUSTER_HULLS} or more "
        "affected hulls."
    )


def factors_table(factors: pd.DataFrame) -> DisplayTable:
    """First suspect of every cluster.

    Parameters
    ----------
    factors : DataFrame
        From :func:`~tracegraph.analysis.first_suspects.factors_frame`.
    """
    if factors.empty:
        return DisplayTable(pd.DataFrame({"symptom": []}, dtype="str"), caption="No cluster.")
    rows = factors.to_dict("records")
    table = pd.DataFrame(
        {
            "symptom": factors["symptom"],
            "affected": [of(row["affected"], row["at_risk"]) for row in rows],
            "evidence": factors["evidence"],
            "reads": [_reads(row["evidence"]) for row in rows],
            "chance": factors["p_family"],
            "first suspect": ["none" if pd.isna(row["family"]) else _named(row) for row in rows],
            "with it": [_pair(row, "affected_exposed", "exposed") for row in rows],
            "others": [_pair(row, "affected_unexposed", "unexposed") for row in rows],
            "safety class": factors["safety_class"],
            "levels tested": factors["levels"],
        }
    )
    return DisplayTable(
        table,
        {
            "evidence": COUNT,
            "chance": CHANCE,
            "safety class": COUNT,
            "levels tested": COUNT,
        },
        caption=f"{plural(len(table), 'symptom')} with 5 or more affected hulls.",
    )


def _named(row: dict[Hashable, Any]) -> str:
    return name_of({str(key): value for key, value in row.items()})


def _pair(row: dict[Hashable, Any], part: str, whole: str) -> str:
    return "" if pd.isna(row[part]) else of(row[part], row[whole])


def _reads(evidence: Any) -> str:
    return LEVELS[0] if pd.isna(evidence) else LEVELS[int(evidence)]
