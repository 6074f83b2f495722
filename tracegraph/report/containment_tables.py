"""What checks a containment and what is to be expected of it, as tables."""

from __future__ import annotations

import pandas as pd

from tracegraph.analysis.containing.holding import state_counts
from tracegraph.analysis.containment import Containment
from tracegraph.domain.records import PLACES
from tracegraph.report.numbers import plural
from tracegraph.report.tables import AMOUNT, CHANCE, COUNT, RATIO, DisplayTable

_UNITS = {"lots": "lot", "pulls": "pulls", "days": "days"}


def bracket_table(found: Containment) -> DisplayTable:
    """The suspect with its neighbours, out to the first shown clean on either side.

    Parameters
    ----------
    found : Containment
        With a bracket or without.

    Returns
    -------
    DisplayTable
        Empty when no bracket was drawn.
    """
    unit = "lot" if found.bracket is None else _UNITS[found.bracket.unit]
    rows = [] if found.bracket is None else found.bracket.rows.to_dict("records")
    heads = ["side", unit, "hulls", "affected", "expected without a cause", "ratio at most",
             "chance as the suspect", "by its claims"]  # fmt: skip
    table = pd.DataFrame(
        [
            [
                row["side"], row["name"], row["hulls"], row["observed"], row["expected"],
                row["upper"], row["chance_as_suspect"],
                "" if row["side"] == "suspect"
                else "shown clean" if row["shown_clean"] else "not shown clean",
            ]
            for row in rows
        ],
        columns=heads,
    )  # fmt: skip
    styles = {
        "hulls": COUNT, "affected": COUNT, "expected without a cause": AMOUNT,
        "ratio at most": RATIO, "chance as the suspect": CHANCE,
    }  # fmt: skip
    return DisplayTable(
        table, styles, caption="In the order of use; the ratio at most is its upper 90 % limit."
    )


def outlook_table(found: Containment) -> DisplayTable:
    """Further first claims expected, by where the hulls are."""
    heads = ["place", "hulls", "usual", "beyond it"]
    rows = [] if found.forecast is None else found.forecast.places.to_dict("records")
    table = pd.DataFrame(
        [[row["place"], row["hulls"], row["usual"], row["excess"]] for row in rows], columns=heads
    )
    month = "" if found.forecast is None else f" up to month {found.forecast.until_month}"
    return DisplayTable(
        table,
        {"hulls": COUNT, "usual": AMOUNT, "beyond it": AMOUNT},
        caption=f"Further first claims expected{month}, means.",
    )


def alternatives_table(found: Containment) -> DisplayTable:
    """What would be held for each of several suspects alone."""
    rows = found.alternatives
    table = pd.DataFrame(
        {
            "if it is": rows["family"] + " " + rows["level"],
            "on record": rows["recorded"],
            "held": rows["listed"],
            "let go": rows["released"],
            "carry it alone": rows["alone"],
        }
    )
    counts = ["on record", "held", "let go", "carry it alone"]
    return DisplayTable(
        table, dict.fromkeys(counts, COUNT), caption=plural(len(table), "suspect") + "."
    )


def telling_table(found: Containment) -> DisplayTable:
    """Hulls that carry one of several suspects alone: inspect these to tell them apart."""
    rows = found.telling
    affected = rows["affected"].map({True: "affected", False: "no"}, na_action="ignore")
    table = pd.DataFrame(
        {
            "hull": rows["hull_serial"],
            "carries": rows["carries"],
            "model": rows["model"],
            "place": rows["place"],
            "dealer": rows["dealer"],
            "months in service": rows["months_in_service"],
            "affected": affected.astype("object"),
            "claims due by now if it is the cause": rows["expected_if_cause"],
            "if it is not": rows["expected_if_not"],
        }
    ).reset_index(drop=True)
    styles = {
        "months in service": COUNT,
        "claims due by now if it is the cause": AMOUNT,
        "if it is not": AMOUNT,
    }
    return DisplayTable(
        table, styles, caption=f"{plural(len(table), 'hull')} that carry one suspect alone."
    )


def states_table(found: Containment) -> DisplayTable:
    """States of the hulls listed, by place; they add up to the hulls listed."""
    table = state_counts(found.hulls).rename_axis("state").reset_index()
    table["state"] = table["state"].astype("str")
    table.columns = pd.Index([str(name) for name in table.columns])
    return DisplayTable(
        table,
        dict.fromkeys([*PLACES, "total"], COUNT),
        caption=f"States add up to {plural(len(found.hulls), 'exposed hull')}.",
    )
