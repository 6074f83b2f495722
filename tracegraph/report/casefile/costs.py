"""What a case costs: in words, as a table, and as plain values."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

import pandas as pd

from tracegraph.analysis.costing import CaseCost
from tracegraph.report.numbers import NONE, count, plural
from tracegraph.report.tables import COUNT, DisplayTable


def cost_as_json(found: CaseCost) -> dict[str, Any]:
    """What a case costs, as plain values; what cannot be said is None, with its reason.

    Returns
    -------
    dict
        ``claims``, ``claims_without_cost``, ``to_date``, ``expected`` (dict or None),
        ``expected_reason``, ``places`` [{``place``, ``hulls``, ``open``, ``rate``,
        ``cost``, ``cost_open``}], ``contain_all``, ``contain_open``, ``contain_reason``.
    """
    places = found.places.astype(object).where(found.places.notna(), None)
    expected = None
    if found.expected is not None:
        expected = {
            name: round(value, 2) if isinstance(value, float) else value
            for name, value in asdict(found.expected).items()
        }
    return {
        "claims": found.claims,
        "claims_without_cost": found.claims_without_cost,
        "to_date": found.to_date,
        "expected": expected,
        "expected_reason": found.expected_reason,
        "places": [{str(k): v for k, v in row.items()} for row in places.to_dict("records")],
        "contain_all": found.contain_all,
        "contain_open": found.contain_open,
        "contain_reason": found.contain_reason,
    }


def cost_sentences(body: dict[str, Any]) -> list[str]:
    """What a case costs, in words.

    Parameters
    ----------
    body : dict
        From :func:`cost_as_json`.
    """
    to_date, expected = body["to_date"], body["expected"]
    missing = body["claims_without_cost"]
    lacks = f"; {plural(missing, 'line')} without a cost" if missing else ""
    said = [
        f"Claims cost to date: {_money(to_date)} on {plural(body['claims'], 'claim line')}{lacks}."
    ]
    if expected is None:
        said.append(f"Further claims cost is not foreseen: {body['expected_reason']}.")
    else:
        said.append(
            f"Further claims cost: {count(expected['low'])} to {count(expected['high'])} in 8 of "
            f"10 draws (middle {count(expected['middle'])}), from "
            f"{count(expected['hulls_low'])} to {count(expected['hulls_high'])} more of the "
            f"{plural(expected['still_at_risk'], 'hull')} on the list that have not claimed, up "
            f"to month {expected['until_month']} in service. Each costs like one of the "
            f"{plural(expected['rests_on'], 'hull')} whose costs are all written down, weighed "
            "anew in each draw."
        )
    if body["contain_all"] is None:
        said.append(f"The cost of containment is not added up: {body['contain_reason']}.")
    else:
        said.append(
            f"Containment: {count(body['contain_all'])} for all hulls on the list, "
            f"{count(body['contain_open'])} for those still open, at the rates given."
        )
    return said


def cost_table(body: dict[str, Any]) -> DisplayTable:
    """Cost of containment by place; a dash where no rate was given."""
    heads = ["place", "hulls", "open", "rate", "cost", "cost_open"]
    frame = pd.DataFrame(body["places"], columns=heads).astype(
        dict.fromkeys(["rate", "cost", "cost_open"], "float64")
    )
    frame = frame.rename(columns={"rate": "rate per hull", "cost_open": "cost of open ones"})
    styles = dict.fromkeys(["hulls", "open", "rate per hull", "cost", "cost of open ones"], COUNT)
    return DisplayTable(frame, styles, caption="Rates as given, in the unit of the claims' costs.")


def cost_words(body: dict[str, Any]) -> str:
    """What a case costs, in one line."""
    expected, contain = body["expected"], body["contain_open"]
    ahead = NONE if expected is None else f"{count(expected['low'])} to {count(expected['high'])}"
    return (
        f"claims {_money(body['to_date'])} to date, {ahead} to come; containment still open "
        f"{NONE if contain is None else count(contain)}"
    )


def _money(cost: float | None) -> str:
    return "not written down" if cost is None else count(cost)
