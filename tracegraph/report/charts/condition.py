"""A measured condition on affected hulls against the hulls at risk at their age."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import numpy.typing as npt
import pandas as pd

from tracegraph.analysis.conditions.detail import Condition
from tracegraph.report.charts.inks import (
    AFFECTED,
    GREY,
    PALE,
    Chart,
    blank_figure,
    lines,
    literal,
    note,
)
from tracegraph.report.numbers import amount, count, measured, plural, unit_sign
from tracegraph.report.tables import COUNT, TENTHS, DisplayTable

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_HEIGHT = 300
_BINS = 20
_ENDS = (0.5, 99.5)
"""Percentiles between which bins are laid; the outermost take what lies beyond."""


def condition_chart(found: Condition) -> Chart:
    """Affected hulls and those to be expected, over the measured value.

    Parameters
    ----------
    found : Condition
        From :func:`~tracegraph.analysis.conditions.detail.examine_condition`.

    Returns
    -------
    Chart
        Grey bars are cases to be expected if the condition did not matter: each case shared
        out among the hulls at risk at its age. Filled dots are the affected hulls.
    """
    hulls = found.hulls[found.hulls["value"].notna()]
    values = hulls["value"].to_numpy(np.float64)
    figure = blank_figure(_HEIGHT, margin={"t": 30})
    if not len(values):
        none = np.zeros(0, np.int64)
        figure.add_annotation(
            note("No hull at risk has a value.", x=0.5, y=0.5, xref="paper", yref="paper")
        )
        return Chart(
            figure, "No hull at risk has a value.", _table([], none, none, none.astype(np.float64))
        )
    edges = _edges(values)
    place = np.clip(np.searchsorted(edges, values, side="right") - 1, 0, len(edges) - 2)
    size = len(edges) - 1
    affected = hulls["affected"].to_numpy(np.bool_)
    cases = np.bincount(place[affected], minlength=size)
    at_risk = np.bincount(place, minlength=size)
    share = hulls["expected"].to_numpy(np.float64)
    expected = np.bincount(place, share, minlength=size).astype(np.float64)
    middle = (edges[:-1] + edges[1:]) / 2.0
    names = [_between(low, high, found.unit) for low, high in pairwise(edges)]
    told = [
        lines(
            name,
            f"{plural(int(seen), 'affected hull')}, {amount(due)} to be expected",
            f"{count(risk)} hulls at risk",
        )
        for name, seen, due, risk in zip(names, cases, expected, at_risk, strict=True)
    ]
    figure.add_bar(
        x=middle, y=expected, width=np.diff(edges) * 0.94, marker={"color": PALE},
        hovertext=told, hoverinfo="text",
    )  # fmt: skip
    column = np.repeat(np.arange(size), cases)
    height = np.concatenate([np.arange(number) for number in cases]) + 0.5
    figure.add_scatter(
        x=middle[column], y=height, mode="markers",
        marker={"color": AFFECTED, "size": 8}, hovertext=[told[n] for n in column],
        hoverinfo="text",
    )  # fmt: skip
    figure.update_xaxes(title={"text": literal(f"{found.family}, {unit_sign(found.unit)}")})
    figure.update_yaxes(rangemode="tozero")
    figure.add_annotation(
        note(
            "dots: affected hulls; grey bars: cases to be expected if it did not matter",
            x=0, xref="paper", xanchor="left", y=1, yref="paper", yanchor="bottom", yshift=6,
            font={"size": 12, "color": GREY},
        )
    )  # fmt: skip
    return Chart(figure, _alt(found), _table(names, at_risk, cases, expected))


def _edges(values: Floats) -> Floats:
    low, high = np.percentile(values, _ENDS)
    if low == high:
        return np.array([low - 0.5, high + 0.5])
    return np.linspace(low, high, _BINS + 1)


def _between(low: float, high: float, unit: str | None) -> str:
    return f"{amount(low)} to {measured(high, unit)}"


def _alt(found: Condition) -> str:
    hulls = found.hulls[found.hulls["value"].notna()]
    affected = hulls.loc[hulls["affected"], "value"]
    if affected.empty:
        return f"{found.family} on {plural(len(hulls), 'hull')} at risk; none is affected."
    return (
        f"{found.family}: median {measured(float(affected.median()), found.unit)} on "
        f"{plural(len(affected), 'affected hull')}, "
        f"{measured(float(hulls['value'].median()), found.unit)} on "
        f"{plural(len(hulls), 'hull')} at risk."
    )


def _table(names: list[str], at_risk: Ints, cases: Ints, expected: Floats) -> DisplayTable:
    table = pd.DataFrame(
        {
            "value": pd.Series(names, dtype="str"),
            "hulls at risk": at_risk,
            "affected": cases,
            "expected": expected,
        }
    )
    return DisplayTable(
        table,
        {"hulls at risk": COUNT, "affected": COUNT, "expected": TENTHS},
        caption="The first and the last row take what lies beyond.",
    )
