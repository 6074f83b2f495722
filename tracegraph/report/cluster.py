"""The affected hulls of a cluster in words and tables, and what is drawn of its suspects."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from tracegraph.analysis.cluster import Cases
from tracegraph.domain.kinds import PAIR, PEOPLE
from tracegraph.report.numbers import plural
from tracegraph.report.tables import COUNT, DisplayTable
from tracegraph.report.words import MAY_BE_CHANCE

MOST_SUSPECTS = 8
"""Suspects in the convergence graph at most."""


def cases_sentence(frame: pd.DataFrame) -> str:
    """How many hulls are affected, and how many of them the plain table counts.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.cluster.Cases.frame`.
    """
    outside = int((~frame["counted"]).sum()) if len(frame) else 0
    text = f"{plural(len(frame), 'hull')} affected in all"
    if outside:
        text += f", {outside} of them later than the plain table looks or not followed so long"
    return f"{text}."


def cases_table(cases: Cases) -> DisplayTable:
    """Affected hulls with their claims, in the order of building."""
    frame = cases.frame
    table = pd.DataFrame(
        {
            "hull": frame["hull_serial"],
            "model": frame["model"],
            "built": frame["built_on"],
            "in service": frame["delivered_on"],
            "first claim": frame["first_claim"],
            "symptom": frame["symptom"],
            "zone": frame["zone"],
            "month in service": frame["case_month"],
            "certainty": frame["certainty"],
            "safety class": frame["safety_class"],
            "claim lines": frame["claims"],
            "cost": frame["cost"].round(0),
            "place": frame["place"],
            "in the plain table": frame["counted"].map({True: "yes", False: "no"}),
        }
    )
    whole = ["month in service", "safety class", "claim lines", "cost"]
    return DisplayTable(
        table, dict.fromkeys(whole, COUNT), caption=f"{plural(len(table), 'affected hull')}."
    )


def row_of(frame: pd.DataFrame, family: str | None, level: str | None) -> dict[str, Any] | None:
    """The row of a ranking that bears a name, or None.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.ranking.Ranking.frame`.
    family, level : str or None
        The suspect.
    """
    if family is None or level is None:
        return None
    found = frame[(frame["family"] == family) & (frame["level"] == level)]
    return None if found.empty else {str(k): v for k, v in found.iloc[0].items()}


def first_suspect(frame: pd.DataFrame) -> dict[str, Any]:
    """The row that is looked at before anything is chosen: never a person's work.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.ranking.Ranking.frame`, not empty.
    """
    others = frame[frame["kind"] != PEOPLE]
    return {str(k): v for k, v in (frame if others.empty else others).iloc[0].items()}


def graph_levels(frame: pd.DataFrame, chosen: Mapping[str, Any] | None) -> list[int]:
    """Levels for the convergence graph: the chosen one, then the strongest that go with harm.

    Roll-ups over all parts are left out, since the parts themselves are drawn. Where nothing
    is strong there is nothing to draw.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.ranking.Ranking.frame`.
    chosen : mapping or None
        A row of it.
    """
    strong = frame[
        (frame["direction"] == "harm")
        & (frame["q_bh"] <= MAY_BE_CHANCE)
        & (frame["part"] != "any part")
        & (frame["kind"] != PEOPLE)
    ]
    rest = [int(level) for level in strong["level_id"].head(MOST_SUSPECTS)]
    if not rest:
        return []
    first = [] if chosen is None else [int(chosen["level_id"])]
    return list(dict.fromkeys([*first, *rest]))[:MOST_SUSPECTS]


def others_beside(
    frame: pd.DataFrame, suspect: tuple[str, str], most: int = 200
) -> list[tuple[str, str]]:
    """Names of the strongest suspects that one may be set beside.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.ranking.Ranking.frame`.
    suspect : tuple of str
        Family and level of the one looked at, which is not among them.
    most : int, default 200
        How many.

    Returns
    -------
    list of tuple of str
        Family and level, strongest first; pairs are left out.
    """
    single = frame[frame["kind"] != PAIR].head(most + 1)
    names = [(str(f), str(n)) for f, n in zip(single["family"], single["level"], strict=True)]
    return [name for name in names if name != suspect][:most]
