"""Suspects with their intervals, in rows that a table can stand beside."""

from __future__ import annotations

import math
from collections.abc import Hashable
from typing import Any, Literal, TypeAlias

import numpy as np
import pandas as pd

from tracegraph.report.charts.inks import (
    AFFECTED,
    EXPOSED,
    GREY,
    INK,
    ROW_PIXELS,
    Chart,
    blank_figure,
    category_axis,
    lines,
    note,
    shorten,
)
from tracegraph.report.evidence import evidence_table
from tracegraph.report.numbers import chance, count, interval, of, ratio
from tracegraph.report.tables import suspects_table

_EDGE = 1.6
"""How far the axis reaches beyond the outermost finite number."""


Measure: TypeAlias = Literal["risk_ratio", "rate_ratio"]


def suspects_chart(
    frame: pd.DataFrame,
    top: int = 15,
    *,
    names: bool = True,
    measure: Measure = "risk_ratio",
) -> Chart:
    """Ratios with 95 % intervals on a log axis, one row per suspect.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.ranking.Ranking.frame`.
    top : int, default 15
        How many rows.
    names : bool, default True
        Whether rows bear the suspects' names; else their ranks, for use beside a table
        with rows of the same height.
    measure : {"risk_ratio", "rate_ratio"}
        Of the plain table, or of cases at matched months in service.

    Returns
    -------
    Chart
        An interval without an upper limit ends in an arrowhead; a ratio that is not finite
        has no dot. ``customdata`` of the dots holds the rank.
    """
    shown = frame.head(top)
    keys = [str(rank) for rank in shown["rank"]]
    labels = [
        shorten(f"{family} {level}", 44) if names else key
        for key, family, level in zip(keys, shown["family"], shown["level"], strict=True)
    ]
    low_end, high_end = _ends(shown, measure)
    figure = blank_figure(
        height=ROW_PIXELS * (len(shown) + 1) + 8,
        margin={"l": 8, "r": 16, "t": ROW_PIXELS, "b": 8},
    )
    for key, row in zip(keys, shown.to_dict("records"), strict=True):
        low, high = row[f"{measure}_low"], row[f"{measure}_high"]
        if math.isnan(low) or math.isnan(high):
            continue
        open_above = math.isinf(high)
        ends = [max(low, low_end), high_end if open_above else high]
        figure.add_scatter(
            x=ends,
            y=[key, key],
            cliponaxis=False,
            mode="lines+markers" if open_above else "lines",
            line={"color": INK, "width": 2},
            marker={"symbol": "triangle-right", "size": [0, 12], "color": INK},
            hoverinfo="skip",
        )
    dots = shown[np.isfinite(shown[measure])]
    dots = dots.assign(place=dots[measure].clip(lower=low_end))
    figure.add_scatter(
        x=dots["place"],
        y=[str(rank) for rank in dots["rank"]],
        mode="markers",
        marker={
            "size": 11,
            "symbol": ["circle" if way == "harm" else "circle-open" for way in dots["direction"]],
            "color": [AFFECTED if way == "harm" else GREY for way in dots["direction"]],
            "line": {
                "width": 2,
                "color": [AFFECTED if way == "harm" else GREY for way in dots["direction"]],
            },
        },
        customdata=dots["rank"].tolist(),
        hovertext=[_hover(row) for row in dots.to_dict("records")],
        hoverinfo="text",
    )
    figure.add_vline(x=1, line={"color": EXPOSED, "width": 1.5, "dash": "dot"})
    figure.add_annotation(
        note(
            "no difference", x=0, xref="x", y=0, yref="paper", textangle=-90, xanchor="right",
            yanchor="bottom", yshift=4, font={"size": 12, "color": EXPOSED},
        )
    )  # fmt: skip
    figure.update_xaxes(
        type="log",
        side="top",
        range=[math.log10(low_end), math.log10(high_end)],
        tickvals=_ticks(low_end, high_end),
        ticktext=[ratio(tick) for tick in _ticks(low_end, high_end)],
        tickangle=0,
    )
    figure.update_yaxes(**category_axis(keys, labels), showgrid=False)
    table = evidence_table(frame, top) if measure == "rate_ratio" else suspects_table(frame, top)
    return Chart(figure, _alt(shown, measure), table)


def _ends(shown: pd.DataFrame, measure: Measure) -> tuple[float, float]:
    finite = [
        value
        for column in (f"{measure}_low", measure, f"{measure}_high")
        for value in shown[column]
        if math.isfinite(value) and value > 0
    ]
    return min([*finite, 0.5]) / _EDGE, max([*finite, 4.0]) * _EDGE


def _ticks(low: float, high: float) -> list[float]:
    span = math.log10(high / low)
    steps = (1.0, 2.0, 5.0) if span < 2.5 else (1.0, 3.0) if span < 4 else (1.0,)
    decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    ticks = [step * 10.0**decade for decade in decades for step in steps]
    return [tick for tick in ticks if low <= tick <= high]


def _hover(row: dict[Hashable, Any]) -> str:
    return lines(
        f"{row['family']} {row['level']}",
        f"{of(row['affected_exposed'], row['exposed'])} affected, "
        f"others {of(row['affected_unexposed'], row['unexposed'])}",
    )


def _alt(shown: pd.DataFrame, measure: Measure) -> str:
    if shown.empty:
        return "No suspect to show."
    first = shown.iloc[0]
    return (
        f"{count(len(shown))} suspects, each with its {measure.replace('_', ' ')} and 95 % "
        f"interval. First: {first['family']} {first['level']}, ratio {ratio(first[measure])}, "
        f"interval {interval(first[f'{measure}_low'], first[f'{measure}_high'])}, Fisher p "
        f"{chance(first['p_fisher'], first['log10_p_fisher'])}."
    )
