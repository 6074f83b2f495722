"""One suspect from all sides, as tables."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracegraph.analysis.suspect import Beside, Examined
from tracegraph.analysis.timing.curves import EXPOSED, NOT_EXPOSED
from tracegraph.analysis.timing.onset import Onset
from tracegraph.report.numbers import count, interval, plural
from tracegraph.report.tables import AMOUNT, CHANCE, COUNT, RATIO, TENTHS, DisplayTable

SHOWN = 20
"""Hulls and changes listed."""

_ROUND_MONTHS = (0, 1, 2, 3, 6, 9, 12, 18, 24, 36, 48, 60, 84, 120)

_SHAPES = {
    "stretch": "stretch",
    "step": "stretch to the last hull",
    "ramp": "steady rise or fall",
    "weekday": "days of the week",
    "season": "months of the year",
    "service cycle": "pulls since the mold was looked after",
}


def suspect_tables(found: Examined) -> list[tuple[str, DisplayTable]]:
    """Tables about a suspect, each with its heading.

    Parameters
    ----------
    found : Examined
        As computed.
    """
    curves = found.curves
    tables = [
        ("Within each model", _forest(found.models)),
        ("Within each half-year of building", _forest(found.periods)),
        ("First claims by months in service (Nelson and Aalen)", curve_table(curves.first)),
        (
            "All claims by months in service (mean cumulative function)",
            curve_table(curves.every),
        ),
        ("Early and late in service", _halves(curves.halves)),
        (f"Shapes along the order of building, by when {_CLOCKS[found.onset.clock]}",
         _shapes(found.onset)),
    ]  # fmt: skip
    if len(found.plants):
        tables.insert(0, ("Within each plant", _forest(found.plants)))
    if found.onset.reading in ("closed", "open", "ended"):
        tables.append(("Where that stretch began and ended", _limits(found.onset)))
        tables.append(
            (f"What else changed within {found.changes.days} days of it", _changes(found))
        )
    tables.append(("Other complaints on its hulls", _complaints(found.complaints)))
    if found.beside is not None:
        tables += _beside(found.beside)
    return tables


_CLOCKS = {
    "worked": "its step was done",
    "fitted": "it was fitted",
    "pulled": "the part was pulled",
    "built": "the hull was finished",
}


def curve_table(curve: pd.DataFrame) -> DisplayTable:
    """Claims per 100 hulls at round months in service, with and without a suspect.

    Parameters
    ----------
    curve : DataFrame
        ``first`` or ``every`` of :class:`~tracegraph.analysis.timing.curves.ServiceCurves`.

    Returns
    -------
    DisplayTable
        One row per round month and the last one; missing where nobody is at risk.
    """
    with_it, without = (
        curve[curve["group"] == group].set_index("month") for group in (EXPOSED, NOT_EXPOSED)
    )
    last = int(curve["month"].max()) if len(curve) else -1
    months = [month for month in _ROUND_MONTHS if month < last] + ([last] if last >= 0 else [])
    table = pd.DataFrame({"months": months})
    for name, rows in (("with it", with_it), ("without", without)):
        so_far = rows["claims"].cumsum().reindex(months)
        at = rows.reindex(months)
        table[f"{name}: at risk"] = at["at_risk"].to_numpy()
        table[f"{name}: claims so far"] = so_far.to_numpy()
        table[f"{name}: per 100"] = 100.0 * at["per_hull"].to_numpy(np.float64)
        table[f"{name}: 95 % interval"] = [
            interval(100.0 * low, 100.0 * high)
            for low, high in zip(at["low"].astype(float), at["high"].astype(float), strict=True)
        ]
    styles = {str(name): COUNT for name in table.columns if str(name).endswith(("risk", "so far"))}
    per_100 = {f"{name}: per 100": TENTHS for name in ("with it", "without")}
    caption = (
        "The curves stop where fewer than five hulls with it are at risk."
        if months
        else "No month at which five hulls with it are at risk."
    )
    return DisplayTable(table, {"months": COUNT, **styles, **per_100}, caption=caption)


def _forest(strata: pd.DataFrame) -> DisplayTable:
    table = strata.rename(
        columns={
            "carrying": "hulls with it", "at_risk": "hulls at risk", "rate_ratio": "rate ratio",
            "rate_ratio_low": "low", "rate_ratio_high": "high",
        }
    )  # fmt: skip
    hulls = {name: COUNT for name in ("hulls with it", "hulls at risk") if name in table}
    ratios = dict.fromkeys(("rate ratio", "low", "high"), RATIO)
    return DisplayTable(
        table,
        {**hulls, "observed": COUNT, "expected": TENTHS, **ratios},
        caption="Each case against hulls of its own row only.",
    )


def _halves(halves: pd.DataFrame) -> DisplayTable:
    table = pd.DataFrame(
        {
            "months in service": [
                f"{first} to {last}"
                for first, last in zip(halves["from_month"], halves["to_month"], strict=True)
            ],
            "cases": halves["cases"],
            "with it": halves["observed"],
            "expected": halves["expected"],
            "rate ratio": halves["rate_ratio"],
            "low": halves["rate_ratio_low"],
            "high": halves["rate_ratio_high"],
        }
    )
    ratios = dict.fromkeys(("rate ratio", "low", "high"), RATIO)
    return DisplayTable(
        table,
        {"cases": COUNT, "with it": COUNT, "expected": TENTHS, **ratios},
        caption="Cases split at their median age.",
    )


def _shapes(along: Onset) -> DisplayTable:
    shapes = along.shapes
    table = pd.DataFrame(
        {
            "shape": shapes["shape"].map(_SHAPES),
            "where": shapes["label"],
            "from": shapes["first_at"],
            "to": shapes["last_at"],
            "cases": shapes["observed"],
            "expected": shapes["expected"],
            "rate ratio": shapes["rate_ratio"],
            "gain": shapes["gain"],
            "p": shapes["p_value"],
            "turns": shapes["turns"],
            "p without the strongest": shapes["p_without_strongest"],
        }
    )
    left = f"; {plural(along.left_out, 'hull')} left out" if along.left_out else ""
    return DisplayTable(
        table,
        {
            "cases": COUNT,
            "expected": TENTHS,
            "rate ratio": RATIO,
            "gain": TENTHS,
            "p": CHANCE,
            "turns": COUNT,
            "p without the strongest": CHANCE,
        },
        caption=f"{plural(along.cases, 'case')} among {plural(along.at_risk, 'hull')} in the "
        f"row{left}. The p-value of one shape is from {count(along.resamples)} resamples.",
    )


def _limits(along: Onset) -> DisplayTable:
    limits = along.limits
    table = pd.DataFrame(
        {
            "edge": limits["edge"],
            "sure": [f"{100 * share:.0f} %" for share in limits["coverage"]],
            "earliest": limits["earliest"],
            "latest": limits["latest"],
            "earliest hull": limits["earliest_hull"],
            "latest hull": limits["latest_hull"],
        }
    )
    return DisplayTable(
        table, caption="Share of simulated rows of hulls in which the true start lay within."
    )


def _changes(found: Examined) -> DisplayTable:
    changes = found.changes.frame.head(SHOWN)
    table = pd.DataFrame(
        {
            "edge": changes["edge"],
            "factor": changes["family"],
            "level": changes["level"],
            "change": changes["change"],
            "at": changes["at"],
            "days after the edge": changes["days"],
            "hulls": changes["hulls"],
            "levels of the factor": changes["levels"],
        }
    )
    return DisplayTable(
        table,
        {"hulls": COUNT, "days after the edge": TENTHS, "levels of the factor": COUNT},
        caption="Those that seldom change come first. A list to go through, not a test.",
    )


def _complaints(complaints: pd.DataFrame) -> DisplayTable:
    table = pd.DataFrame(
        {
            "complaint": complaints["symptom"],
            "hulls with it": complaints["hulls"],
            "cases": complaints["observed"],
            "expected": complaints["expected"],
            "rate ratio": complaints["rate_ratio"],
            "95 % interval": [
                interval(low, high)
                for low, high in zip(
                    complaints["rate_ratio_low"], complaints["rate_ratio_high"], strict=True
                )
            ],
            "p": complaints["p_value"],
            "reads": complaints["raised"].map({True: "raised", False: "even"}),
        }
    )
    return DisplayTable(
        table,
        {
            "hulls with it": COUNT,
            "cases": COUNT,
            "expected": TENTHS,
            "rate ratio": RATIO,
            "p": CHANCE,
        },
        caption="A complaint that the suspect cannot bring about should be even: a negative "
        "control.",
    )


def _beside(beside: Beside) -> list[tuple[str, DisplayTable]]:
    apart = beside.apart
    return [
        (
            # A heading is read as Markdown; a level's name may hold anything.
            "Beside the other suspect",
            DisplayTable(
                beside.cells,
                {"hulls": COUNT, "observed": COUNT, "expected": TENTHS},
                caption=f"The other suspect: {beside.other.family} {beside.other.level}.",
            ),
        ),
        (
            f"Hulls that tell the two apart ({count(len(apart))})",
            DisplayTable(
                apart.head(SHOWN).rename(columns=lambda name: str(name).replace("_", " ")),
                {"expected if first": AMOUNT, "expected if second": AMOUNT},
                caption=""
                if apart.empty
                else f"The first {len(apart.head(SHOWN))} of {count(len(apart))}.",
            ),
        ),
    ]
