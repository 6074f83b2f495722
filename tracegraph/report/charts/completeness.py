"""Which records are missing: one square for each build month and question."""

from __future__ import annotations

import pandas as pd
import plotly.graph_objects as go

from tracegraph.analysis.completeness import Completeness
from tracegraph.report.charts.inks import (
    GREY,
    INK,
    PAPER,
    Chart,
    blank_figure,
    category_axis,
    lines,
    note,
    shorten,
)
from tracegraph.report.numbers import count, of, plural
from tracegraph.report.tables import COUNT, TENTHS, DisplayTable

_ROW = 24
_UNDATED = "not dated"


def completeness_chart(found: Completeness, top: int = 20) -> Chart:
    """Squares in grey, darker where more records are missing.

    Parameters
    ----------
    found : Completeness
        From :func:`~tracegraph.analysis.completeness.completeness`.
    top : int, default 20
        How many questions are drawn, those with the most missing records; the rest stand in
        the table.

    Returns
    -------
    Chart
        Months from left to right, the question with the most missing records at the top.
    """
    rows = _named(found)
    order = (
        rows.groupby("family", sort=True)[["hulls", "recorded"]]
        .sum()
        .assign(missing=lambda frame: frame["hulls"] - frame["recorded"])
        .sort_values("missing", ascending=False, kind="stable")
    )
    families = list(order.index[order["missing"] > 0][:top])
    months = sorted(rows["month"].unique())
    wide = rows.pivot(index="family", columns="month", values="share").reindex(
        index=families, columns=months
    )
    hover = rows.pivot(index="family", columns="month", values="hover").reindex(
        index=families, columns=months
    )
    figure = blank_figure(height=_ROW * max(1, len(families)) + 90)
    figure.add_trace(
        go.Heatmap(
            x=months,
            y=[str(place) for place in range(len(families))],
            z=wide.to_numpy(float),
            zmin=0,
            zmax=max(10.0, float(wide.max().max()) if families else 0.0),
            colorscale=[[0, "#eef1f4"], [1, INK]],
            xgap=1,
            ygap=1,
            hovertext=hover.fillna("nothing expected").to_numpy(object),
            hoverinfo="text",
            colorbar={
                "title": {"text": "missing, %", "font": {"size": 12, "color": GREY}},
                "thickness": 12,
                "outlinewidth": 0,
            },
        )
    )
    labels = [shorten(family, 44) for family in families]
    figure.update_yaxes(
        **category_axis([str(place) for place in range(len(families))], labels), showgrid=False
    )
    figure.update_xaxes(
        type="category", categoryorder="array", categoryarray=months, showgrid=False, nticks=14
    )
    if not families:
        figure.add_annotation(
            note("No expected record is missing.", x=0.5, y=0.5, xref="paper", yref="paper")
        )
    figure.update_layout(plot_bgcolor=PAPER, margin={"l": 8, "r": 12, "t": 12, "b": 8})
    return Chart(figure, _alt(order, len(families), rows), completeness_table(found))


def completeness_table(found: Completeness) -> DisplayTable:
    """Every month and question with a record missing, the most missing first."""
    rows = _named(found)
    rows = rows[rows["hulls"] > rows["recorded"]]
    rows = rows.assign(missing=rows["hulls"] - rows["recorded"]).sort_values(
        ["missing", "month", "family"], ascending=[False, True, True], kind="stable"
    )
    table = pd.DataFrame(
        {
            "built in": rows["month"],
            "question": rows["family"],
            "kind": rows["kind"],
            "records expected": rows["hulls"],
            "there": rows["recorded"],
            "missing": rows["missing"],
            "missing, %": rows["share"],
        }
    ).reset_index(drop=True)
    return DisplayTable(
        table,
        {"records expected": COUNT, "there": COUNT, "missing": COUNT, "missing, %": TENTHS},
        caption=f"{plural(len(table), 'month and question', 'months and questions')} with a "
        "record missing; all others are complete.",
    )


def _named(found: Completeness) -> pd.DataFrame:
    rows = found.by_family
    named = rows.assign(
        month=rows["built_month"].dt.strftime("%Y-%m").fillna(_UNDATED),
        share=100 * (1 - rows["score"]),
    )
    named["hover"] = [
        lines(family, f"built in {month}", f"{of(hulls - there, hulls)} records missing")
        for family, month, hulls, there in zip(
            named["family"], named["month"], named["hulls"], named["recorded"], strict=True
        )
    ]
    return named


def _alt(order: pd.DataFrame, drawn: int, rows: pd.DataFrame) -> str:
    if not drawn:
        return f"No record is missing in {plural(len(order), 'question')}."
    first = order.iloc[0]
    worst = rows.sort_values(["share", "hulls"], ascending=False, kind="stable").iloc[0]
    return (
        f"{plural(int((order['missing'] > 0).sum()), 'question')} of {count(len(order))} with "
        f"records missing, the first {drawn} drawn by month of building. Most: {order.index[0]}, "
        f"{of(int(first['missing']), int(first['hulls']))} missing. Poorest month: "
        f"{worst['family']} of {worst['month']}, "
        f"{of(int(worst['hulls'] - worst['recorded']), int(worst['hulls']))} missing."
    )
