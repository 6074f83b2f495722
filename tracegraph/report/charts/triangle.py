"""Claims by period of building and months in service: a triangle whose open edge is marked."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

import numpy as np
import plotly.graph_objects as go

from tracegraph.analysis.timing.cohorts import COMPLETE, NOT_YET, PARTIAL, BuildCohorts
from tracegraph.report.build_months import period_name, stretch_name, triangle_table
from tracegraph.report.charts.inks import (
    GREY,
    INK,
    PAPER,
    RULE,
    Chart,
    blank_figure,
    category_axis,
    lines,
    note,
)
from tracegraph.report.numbers import count, plural

_ROW = 24
_FULL = "#e9a680"
"""The ink of affected hulls thinned so far that dark figures on it can be read."""

_OPEN_MARK = "…"


def triangle_chart(found: BuildCohorts) -> Chart:
    """First claims per 100 hulls, one square for each period of building and stretch of service.

    Parameters
    ----------
    found : BuildCohorts
        From :func:`~tracegraph.analysis.timing.cohorts.build_cohorts`.

    Returns
    -------
    Chart
        Oldest period at the top. Squares that hulls are still to reach are grey and bear a
        mark beside their number; squares that none has reached are empty.
    """
    months = found.months["built_month"]
    names = [period_name(month, found.period) for month in months]
    cells = found.cells.assign(
        row=found.cells["built_month"].map({month: n for n, month in enumerate(months)}),
        column=(found.cells["to_month"] - 1) // found.width,
    )
    stretches = cells.drop_duplicates("column").sort_values("column")
    heads = [
        stretch_name(first, last)
        for first, last in zip(stretches["from_month"], stretches["to_month"], strict=True)
    ]
    figure = blank_figure(height=_ROW * max(1, len(names)) + 96, margin={"t": 34})
    top = max(1.0, float(cells.loc[cells["state"] != NOT_YET, "per_100"].max(skipna=True) or 0.0))
    shape = (len(names), len(heads))
    keys = [str(place) for place in range(len(names))]
    columns = [str(place) for place in range(len(heads))]
    for state, inks in ((COMPLETE, (PAPER, _FULL)), (PARTIAL, ("#eef1f4", "#b9c2ca"))):
        part = cells[(cells["state"] == state) & cells["per_100"].notna()]
        value, text, hover = np.full(shape, np.nan), np.full(shape, "", object), np.full(
            shape, "", object
        )  # fmt: skip
        place = (part["row"].to_numpy(int), part["column"].to_numpy(int))
        value[place] = part["per_100"].to_numpy(float)
        mark = "" if state == COMPLETE else f" {_OPEN_MARK}"
        text[place] = [
            f"{number:.1f}{mark}" if number else f"0{mark}" for number in part["per_100"]
        ]
        hover[place] = [_hover(row, found.period) for row in part.to_dict("records")]
        figure.add_trace(
            go.Heatmap(
                x=columns, y=keys, z=value, zmin=0.0, zmax=top,
                colorscale=[[0, inks[0]], [1, inks[1]]], showscale=False, xgap=1, ygap=1,
                text=text, texttemplate="%{text}", textfont={"size": 11, "color": INK},
                hovertext=hover, hoverinfo="text", hoverongaps=False,
            )
        )  # fmt: skip
    figure.update_yaxes(**category_axis(keys, names), showgrid=False)
    figure.update_xaxes(
        **category_axis(columns, heads, top_first=False), showgrid=False, side="bottom",
        title={"text": "months in service"}, tickangle=0,
    )  # fmt: skip
    figure.update_layout(plot_bgcolor=RULE if not names else PAPER)
    figure.add_annotation(
        note(
            f"first claims per 100 hulls; grey with {_OPEN_MARK}: some hulls are still to come; "
            "empty: none has come so far",
            x=0, xref="paper", xanchor="left", y=1, yref="paper", yanchor="bottom", yshift=6,
        )
    )  # fmt: skip
    if not names:
        figure.add_annotation(
            note("No hull has a build date.", x=0.5, y=0.5, xref="paper", yref="paper",
                 font={"size": 13, "color": GREY})
        )  # fmt: skip
    return Chart(figure, _alt(found), triangle_table(found))


def _hover(row: dict[Hashable, Any], period: int) -> str:
    state = "" if row["state"] == COMPLETE else f"{count(row['waiting'])} still to come"
    return lines(
        f"built {period_name(row['built_month'], period)}, "
        f"months {stretch_name(row['from_month'], row['to_month'])} in service",
        f"{plural(row['claims'], 'first claim')} in {count(row['hull_months'])} hull-months",
        f"{count(row['followed'])} hulls followed to its end",
        state,
    )


def _alt(found: BuildCohorts) -> str:
    months, cells = found.months, found.cells
    if months.empty:
        return "No hull has a build date."
    part = cells[cells["state"] != NOT_YET]
    best = part.sort_values("per_100", ascending=False, kind="stable").head(1)
    text = (
        f"{plural(len(months), 'period')} of building, from "
        f"{period_name(months['built_month'].iloc[0], found.period)} to "
        f"{period_name(months['built_month'].iloc[-1], found.period)}."
    )
    for row in best.to_dict("records"):
        text += (
            f" Highest: {row['per_100']:.1f} first claims per 100 hulls built "
            f"{period_name(row['built_month'], found.period)} in months "
            f"{stretch_name(row['from_month'], row['to_month'])}"
            + ("." if row["state"] == COMPLETE else ", not complete.")
        )
    return text
