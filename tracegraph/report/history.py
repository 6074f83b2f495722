"""One hull's history in words and tables."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

import pandas as pd

from tracegraph.analysis.history import History, HullFacts
from tracegraph.analysis.tracing import Trace
from tracegraph.report.formats import day, measures_shown
from tracegraph.report.hin import hin_words
from tracegraph.report.numbers import count, plural
from tracegraph.report.tables import AMOUNT, COUNT, DisplayTable
from tracegraph.report.tree import tree
from tracegraph.store.photos import Photo

_PLACES = {
    "plant": "in the plant",
    "transit": "in transit",
    "dealer": "at a dealer",
    "owner": "with its owner",
}


def hull_headline(hull: HullFacts) -> str:
    """Which hull, and how often it was claimed on."""
    claims = "no claim" if not hull.claims else plural(hull.claims, "claim line")
    return f"Hull {hull.hull_serial}, {hull.model}: {claims}."


def hull_dates(hull: HullFacts) -> tuple[str, ...]:
    """Dates and place of a hull, and its number read out."""
    read = f"Hull identification number {hull.hin}: {hin_words(hull.hin)}" if hull.hin else None
    return (_dates(hull), *([read] if read else []))


def hull_sentences(found: History) -> tuple[str, ...]:
    """Dates and place, the number read out, claims, what is unusual, what is missing.

    Parameters
    ----------
    found : History
        From :func:`~tracegraph.analysis.history.history`.
    """
    said = [*hull_dates(found.hull)]
    said += [_claim(row) for row in found.claims.to_dict("records")[:5]]
    if len(found.claims) > 5:
        said.append(f"And {plural(len(found.claims) - 5, 'more claim line')}.")
    far = found.measures[found.measures["far"]]
    if len(far):
        names = [
            f"{row['lane']} {row['step']} {row['quantity']}"
            for row in far.head(4).to_dict("records")
        ]
        more = f" and {len(far) - 4} more" if len(far) > 4 else ""
        said.append(f"Far from its peers: {', '.join(names)}{more}.")
    if len(found.missing):
        names = [
            " ".join(
                str(word) for word in (row["lane"], row["step"], row["thing"]) if not pd.isna(word)
            )
            for row in found.missing.head(4).to_dict("records")
        ]
        more = f" and {len(found.missing) - 4} more" if len(found.missing) > 4 else ""
        said.append(f"Not in the records: {', '.join(dict.fromkeys(names))}{more}.")
    return (*said, *found.remarks)


def claims_table(found: History) -> DisplayTable:
    """Claim lines of the hull."""
    claims = found.claims
    table = pd.DataFrame(
        {
            "claim": claims["claim"],
            "symptom": claims["symptom"],
            "zone": claims["zone"],
            "component": claims["component"],
            "failed": claims["failed_on"],
            "opened": claims["opened_on"],
            "month in service": claims["months_in_service"],
            "safety class": claims["safety_class"].astype("Int64"),
            "certainty": claims["certainty"],
            "asked for by the maker": claims["solicited"].map({True: "yes", False: ""}),
            "cost": claims["cost"].round(0),
            "dealer's words": claims["note"],
        }
    )
    whole = ["month in service", "safety class", "cost"]
    return DisplayTable(
        table, dict.fromkeys(whole, COUNT), caption=f"{plural(len(table), 'claim line')}."
    )


def inspections_table(found: History, *, people: bool = False) -> DisplayTable:
    """Every attempt at every check."""
    checks = measures_shown(found.inspections, ["value"])
    table = pd.DataFrame(
        {
            "at": checks["at"],
            "on": checks["lane"],
            "checkpoint": checks["checkpoint"],
            "attempt": checks["attempt"],
            "result": checks["result"],
            "defect": checks["defect"],
            "zone": checks["zone"],
            "value": checks["value"],
            "unit": checks["unit"],
            "note": checks["note"],
        }
    )
    if people:
        table["inspector"] = checks["inspector"]
    failed = int((checks["result"] == "fail").sum())
    return DisplayTable(
        table,
        {"attempt": COUNT, "value": AMOUNT},
        caption=f"{plural(len(table), 'check')}, {count(failed)} failed.",
    )


def photo_sentence(check: dict[Any, Any], seen: Photo) -> str:
    """What a picture of a check shows, or why there is none.

    Parameters
    ----------
    check : dict
        A row of :attr:`~tracegraph.analysis.history.History.inspections`.
    seen : Photo
        The picture that it names.
    """
    attempt = "" if pd.isna(check["attempt"]) else f", attempt {int(check['attempt'])}"
    result = "" if pd.isna(check["result"]) else f": {check['result']}"
    about = f"{check['checkpoint']}{attempt}{result}"
    if seen.jpeg is not None:
        return f"{about} ({seen.name})"
    return f"{about}. No picture of {seen.name}: {seen.reason}."


def parts_table(found: History) -> DisplayTable:
    """Molded parts and bought items."""
    parts = pd.DataFrame(
        {
            "what": found.parts["part"],
            "serial": found.parts["part_serial"],
            "mold": found.parts["mold_no"],
            "pull": found.parts["pull_no"].astype("Int64"),
            "pulled or fitted": found.parts["pulled_at"],
        }
    )
    bought = pd.DataFrame(
        {
            "what": found.components["component"],
            "serial": found.components["serial_no"],
            "lot": found.components["lot_no"],
            "supplier": found.components["supplier"],
            "pulled or fitted": found.components["fitted_at"],
        }
    )
    table = pd.concat([parts, bought], ignore_index=True)
    table = table.reindex(
        columns=["what", "serial", "mold", "pull", "lot", "supplier", "pulled or fitted"]
    )
    return DisplayTable(
        table,
        {"pull": COUNT},
        caption=f"{plural(len(parts), 'part')}, {plural(len(bought), 'bought item')}.",
    )


def missing_table(found: History) -> DisplayTable:
    """What hulls of the model normally have on record and this one has not."""
    missing = found.missing
    table = pd.DataFrame(
        {
            "missing record": missing["record"],
            "on": missing["lane"],
            "step": missing["step"],
            "what": missing["thing"],
            "when it was or should have been": missing["at"],
        }
    )
    return DisplayTable(table, caption=f"{plural(len(table), 'missing record')}.")


def genealogy_lines(found: Trace, *, people: bool = False) -> list[str]:
    """What went into the hull, as an indented tree of lines.

    Parameters
    ----------
    found : Trace
        Walked up.
    people : bool, default False
        Whether codes of people are shown.
    """
    return [line.text for line in tree(found) if people or line.kind not in ("operator", "crew")]


def _dates(hull: HullFacts) -> str:
    pieces = []
    if hull.built_on:
        pieces.append(f"built {day(hull.built_on)}")
    if hull.shipped_on:
        pieces.append(f"shipped {day(hull.shipped_on)}")
    if hull.delivered_on:
        assumed = " (assumed from the dealer's usual lag)" if hull.delivered_imputed else ""
        pieces.append(f"in service {day(hull.delivered_on)}{assumed}")
    else:
        pieces.append("not in service")
    if hull.exit_on:
        pieces.append(f"left observation {day(hull.exit_on)}")
    where = f"Now {_PLACES.get(hull.place or '', 'at an unknown place')}"
    dealer = f", dealer {hull.dealer}" if hull.dealer else ""
    text = ", ".join(pieces)
    return f"{text[0].upper()}{text[1:]}. {where}{dealer}."


def _claim(row: dict[Hashable, Any]) -> str:
    zone = "" if pd.isna(row["zone"]) else f", {row['zone']}"
    month = row["months_in_service"]
    when = (
        ", before delivery"
        if pd.isna(month)
        else f", after {plural(int(month), 'month')} in service"
    )
    return f"Claim {row['claim']}: {row['symptom']}{zone}{when}, {row['certainty']}" + (
        ". May hurt someone: refer to a person today." if row["safety_class"] == 1 else "."
    )
