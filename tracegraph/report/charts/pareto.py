"""Symptoms by hulls affected, with claims and cost beside."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

import pandas as pd
from plotly.subplots import make_subplots

from tracegraph.report.charts.inks import (
    AFFECTED,
    GREY,
    INK,
    Chart,
    blank_figure,
    category_axis,
    lines,
    note,
    shorten,
)
from tracegraph.report.numbers import NONE, count, of
from tracegraph.report.tables import COUNT, DisplayTable

_ROW = 26


def pareto_chart(frame: pd.DataFrame, top: int = 15) -> Chart:
    """Bars of hulls with a dot for claims; cost on the same rows.

    Parameters
    ----------
    frame : DataFrame
        From :func:`~tracegraph.analysis.overview.pareto`.
    top : int, default 15
        How many symptoms; the total is stated.

    Returns
    -------
    Chart
        Both panels share their rows.
    """
    shown = frame.head(top)
    keys = [str(place) for place in range(len(shown))]
    labels = [
        f"{shorten(symptom, 28)}  {count(hulls)}"
        for symptom, hulls in zip(shown["symptom"], shown["hulls"], strict=True)
    ]
    figure = make_subplots(
        rows=1, cols=2, shared_yaxes=True, column_widths=[0.66, 0.34], horizontal_spacing=0.05
    )
    figure.update_layout(blank_figure(height=_ROW * len(shown) + 76).layout)
    hovers = [_hover(row) for row in shown.to_dict("records")]
    figure.add_bar(
        y=keys,
        x=shown["hulls"],
        orientation="h",
        marker={"color": AFFECTED},
        hovertext=hovers,
        hoverinfo="text",
        customdata=shown["symptom"].tolist(),
        row=1,
        col=1,
    )
    figure.add_scatter(
        y=keys,
        x=shown["claims"],
        mode="markers",
        marker={"symbol": "line-ns-open", "size": 14, "color": INK, "line": {"width": 2}},
        hovertext=hovers,
        hoverinfo="text",
        row=1,
        col=1,
    )
    figure.add_scatter(
        y=keys,
        x=shown["cost"],
        mode="markers",
        marker={"symbol": "circle", "size": 9, "color": GREY},
        hovertext=hovers,
        hoverinfo="text",
        row=1,
        col=2,
    )
    axis = category_axis(keys, labels)
    figure.update_yaxes(**axis, showgrid=False, automargin=True, fixedrange=True)
    figure.update_xaxes(rangemode="tozero", gridcolor="#e3e7eb", fixedrange=True, side="bottom")
    for column, text in ((1, "hulls and claim lines"), (2, "cost")):
        figure.add_annotation(
            note(
                text, x=0, y=1, xref=f"x{'' if column == 1 else 2} domain", yref="paper",
                xanchor="left", yanchor="bottom", yshift=4,
            )
        )  # fmt: skip
    figure.update_layout(margin={"l": 8, "r": 12, "t": 30, "b": 8})
    return Chart(figure, _alt(frame, len(shown)), pareto_table(frame))


def pareto_table(frame: pd.DataFrame) -> DisplayTable:
    """All symptoms as a table."""
    table = pd.DataFrame(
        {
            "symptom": frame["symptom"],
            "hulls affected": frame["hulls"],
            "running share, %": (100 * frame["running_share"]).round(0),
            "claim lines": frame["claims"],
            "claim lines without a hull": frame["claims_without_hull"],
            "cost": frame["cost"].round(0),
            "gravest safety class": frame["safety_class"],
            "last opened": frame["last_opened_on"],
        }
    )
    whole = dict.fromkeys(
        ["hulls affected", "claim lines", "claim lines without a hull", "cost", "running share, %"],
        COUNT,
    )
    return DisplayTable(
        table,
        {**whole, "gravest safety class": COUNT},
        caption=f"{count(len(frame))} symptoms; a hull counts once for each symptom.",
    )


def _hover(row: dict[Hashable, Any]) -> str:
    cost = row["cost"]
    return lines(
        row["symptom"],
        f"{count(row['hulls'])} hulls, {count(row['claims'])} claim lines",
        f"cost {NONE if pd.isna(cost) else count(cost)}, written on "
        f"{of(row['claims_with_cost'], row['claims'])} lines",
    )


def _alt(frame: pd.DataFrame, shown: int) -> str:
    if frame.empty:
        return "No claims."
    first = frame.iloc[0]
    rest = "" if shown == len(frame) else f" The first {shown} of {len(frame)} are drawn."
    return (
        f"{count(len(frame))} symptoms by hulls affected. Most: {first['symptom']}, "
        f"{count(first['hulls'])} hulls, {count(first['claims'])} claim lines.{rest}"
    )
