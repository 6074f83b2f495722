"""First claims over months in service, hulls with a suspect against hulls without it."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracegraph.analysis.timing.curves import EXPOSED as WITH
from tracegraph.analysis.timing.curves import NOT_EXPOSED as WITHOUT
from tracegraph.analysis.timing.curves import ServiceCurves
from tracegraph.report.charts.inks import EXPOSED, GREY, Chart, blank_figure, lines, note
from tracegraph.report.numbers import count, plural
from tracegraph.report.tables import COUNT, RATIO, DisplayTable

_HEIGHT = 320
_MARGINS = {"l": 8, "r": 96, "t": 28, "b": 8}


def service_chart(curves: ServiceCurves) -> Chart:
    """Cumulative first claims per 100 hulls, a step curve with its band for each group.

    Parameters
    ----------
    curves : ServiceCurves
        From :func:`~tracegraph.analysis.timing.curves.service_curves`.

    Returns
    -------
    Chart
        Curves stop where fewer than five hulls with the suspect are at risk. Each curve
        bears its name at its end; the hulls at risk stand in the hover and in the table.
    """
    figure = blank_figure(_HEIGHT, margin=_MARGINS)
    for group, ink, name in ((WITHOUT, GREY, "without"), (WITH, EXPOSED, "with it")):
        rows = curves.first[curves.first["group"] == group]
        if rows.empty:
            continue
        months = rows["month"]
        height = 100.0 * rows["per_hull"]
        band = rows["low"].notna()
        figure.add_scatter(
            x=[*months[band], *months[band][::-1]],
            y=[*(100.0 * rows["high"][band]), *(100.0 * rows["low"][band])[::-1]],
            fill="toself",
            fillcolor=ink,
            opacity=0.12,
            line={"width": 0, "shape": "linear"},
            mode="lines",
            hoverinfo="skip",
        )
        figure.add_scatter(
            x=months,
            y=height,
            mode="lines",
            line={"color": ink, "width": 2.5, "shape": "hv"},
            hovertext=[
                lines(
                    f"{name}, month {month}",
                    f"{value:.1f} claims per 100 hulls",
                    f"{count(at_risk)} hulls at risk",
                )
                for month, value, at_risk in zip(months, height, rows["at_risk"], strict=True)
            ],
            hoverinfo="text",
        )
        figure.add_annotation(
            note(
                name, x=float(months.iloc[-1]), xref="x", y=float(height.iloc[-1]), yref="y",
                xanchor="left", xshift=6, font={"size": 13, "color": ink},
            )
        )  # fmt: skip
    figure.add_annotation(
        note("first claims per 100 hulls", x=0, xref="paper", y=1, yref="paper", yshift=24)
    )
    figure.update_xaxes(title={"text": "months in service"}, rangemode="tozero")
    figure.update_yaxes(rangemode="tozero")
    return Chart(figure, _alt(curves), _table(curves.first))


def _alt(curves: ServiceCurves) -> str:
    if curves.first.empty:
        return "No month at which five hulls with the suspect are at risk."
    ends = curves.first.groupby("group")["per_hull"].last()
    said = [
        f"{plural(number, 'hull')} {name}, {100.0 * ends[group]:.1f} first claims per 100"
        for group, name, number in (
            (WITH, "with it", curves.exposed),
            (WITHOUT, "without", curves.not_exposed),
        )
        if group in ends
    ]
    return f"By month {curves.first_stops_at} in service: {'; '.join(said)}."


def _table(first: pd.DataFrame) -> DisplayTable:
    per = {name: 100.0 * first[name].astype(np.float64) for name in ("per_hull", "low", "high")}
    table = pd.DataFrame(
        {
            "hulls": first["group"],
            "month in service": first["month"],
            "at risk": first["at_risk"],
            "first claims": first["claims"],
            "per 100 hulls": per["per_hull"],
            "low": per["low"],
            "high": per["high"],
        }
    )
    return DisplayTable(
        table,
        {
            "month in service": COUNT,
            "at risk": COUNT,
            "first claims": COUNT,
            "per 100 hulls": RATIO,
            "low": RATIO,
            "high": RATIO,
        },
        caption=plural(len(table), "row"),
    )
