"""Claims per 100 hulls by month of building, one panel for each age."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

import pandas as pd
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from tracegraph.report.charts.inks import (
    AFFECTED,
    GREY,
    INK,
    PALE,
    PAPER,
    RULE,
    Chart,
    blank_figure,
    lines,
    note,
)
from tracegraph.report.numbers import of, plural
from tracegraph.report.tables import COUNT, TENTHS, DisplayTable

_PANEL = 104
_DAY_MS = 24 * 60 * 60 * 1000

FEWEST_FOLLOWED = 5
"""With fewer hulls followed a rate is given in the table and not drawn."""


def rates_chart(frame: pd.DataFrame) -> Chart:
    """One panel for each mark; hatched, with open points, where data are incomplete.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.overview.Rates.frame`.

    Returns
    -------
    Chart
        All panels share both scales. A grey line is the rate over all complete months.
        Months with fewer than 5 followed hulls have no point.
    """
    marks = sorted(frame["mark"].unique())
    known = frame[frame["followed"] >= FEWEST_FOLLOWED]
    figure = make_subplots(
        rows=max(1, len(marks)), cols=1, shared_xaxes=True, vertical_spacing=0.05
    )
    figure.update_layout(blank_figure(height=_PANEL * max(1, len(marks)) + 70).layout)
    top = max(10.0, float(known["rate"].max()) if len(known) else 0.0) * 1.35
    for row, mark in enumerate(marks, start=1):
        _hatch(figure, frame[(frame["mark"] == mark) & ~frame["complete"]], row, top)
        _panel(figure, known[known["mark"] == mark], row)
        overall = _overall(frame[frame["mark"] == mark])
        figure.add_annotation(
            note(
                f"<b>at {mark} months in service</b>"
                + ("" if overall is None else f", {overall:.0f} over all complete months"),
                x=0, y=1, xref=f"x{row if row > 1 else ''} domain",
                yref=f"y{row if row > 1 else ''} domain", xanchor="left", yanchor="top",
                xshift=6, font={"size": 12, "color": INK}, bgcolor="rgba(255,255,255,0.8)",
            )
        )  # fmt: skip
        if overall is not None:
            figure.add_hline(
                y=overall, row=row, col=1, line={"color": GREY, "width": 1}, layer="below"
            )
    figure.update_xaxes(
        type="date", tickformat="%b %Y", gridcolor=RULE, linecolor=PALE, fixedrange=True
    )
    figure.update_yaxes(
        range=[0, top], gridcolor=RULE, zeroline=True, zerolinecolor=PALE, nticks=4,
        fixedrange=True,
    )  # fmt: skip
    figure.update_layout(margin={"l": 8, "r": 12, "t": 28, "b": 8})
    figure.add_annotation(
        note(
            "hulls with a claim, per 100 followed that long",
            x=0, y=1, xref="paper", yref="paper", xanchor="left", yanchor="bottom", yshift=4,
        )
    )  # fmt: skip
    return Chart(figure, _alt(frame), _table(frame))


def _hatch(figure: go.Figure, incomplete: pd.DataFrame, row: int, top: float) -> None:
    """Hatch the months whose hulls have not all been followed so long."""
    figure.add_bar(
        x=incomplete["built_month"],
        y=[top] * len(incomplete),
        width=[_DAY_MS * days for days in incomplete["built_month"].dt.days_in_month],
        marker={
            "color": PAPER,
            "line": {"width": 0},
            "pattern": {"shape": "/", "fgcolor": PALE, "size": 6, "solidity": 0.2},
        },
        hoverinfo="skip",
        row=row,
        col=1,
    )


def _panel(figure: go.Figure, part: pd.DataFrame, row: int) -> None:
    for complete in (True, False):
        line = part["rate"].where(part["complete"] if complete else _beside_gap(part["complete"]))
        if line.notna().any():
            figure.add_scatter(
                x=part["built_month"],
                y=line,
                mode="lines",
                line={"color": AFFECTED, "width": 2 if complete else 1.5}
                | ({} if complete else {"dash": "dot"}),
                hoverinfo="skip",
                row=row,
                col=1,
            )
    figure.add_scatter(
        x=part["built_month"],
        y=part["rate"],
        mode="markers",
        marker={
            "symbol": ["circle" if done else "circle-open" for done in part["complete"]],
            "size": 6,
            "color": AFFECTED,
        },
        hovertext=[_hover(cells) for cells in part.to_dict("records")],
        hoverinfo="text",
        row=row,
        col=1,
    )


def _beside_gap(complete: pd.Series[bool]) -> pd.Series[bool]:
    gap = ~complete
    return gap | gap.shift(1, fill_value=False) | gap.shift(-1, fill_value=False)


def _overall(part: pd.DataFrame) -> float | None:
    done = part[part["complete"]]
    return None if done.empty else float(100 * done["affected"].sum() / done["followed"].sum())


def _hover(row: dict[Hashable, Any]) -> str:
    return lines(
        f"built {row['built_month']:%B %Y}, {row['mark']} months in service",
        f"{of(row['affected'], row['followed'])} hulls with a claim",
        ""
        if row["complete"]
        else f"incomplete: {plural(row['waiting'], 'hull')} not yet followed so long",
    )


def _table(frame: pd.DataFrame) -> DisplayTable:
    table = pd.DataFrame(
        {
            "built": frame["built_month"].dt.strftime("%Y-%m"),
            "months in service": frame["mark"],
            "hulls built": frame["built"],
            "followed so long": frame["followed"],
            "with a claim": frame["affected"],
            "per 100 hulls": frame["rate"].round(1),
            "not yet followed so long": frame["waiting"],
            "complete": frame["complete"].map({True: "yes", False: "not yet"}),
        }
    )
    whole = dict.fromkeys(
        ["months in service", "hulls built", "followed so long", "with a claim"], COUNT
    )
    return DisplayTable(
        table,
        {**whole, "not yet followed so long": COUNT, "per 100 hulls": TENTHS},
        caption="One row per month of building and months in service.",
    )


def _alt(frame: pd.DataFrame) -> str:
    said = []
    for mark in sorted(frame["mark"].unique()):
        overall = _overall(frame[frame["mark"] == mark])
        if overall is not None:
            said.append(f"{overall:.0f} at {mark} months")
    if not said:
        return "No month of building has been followed long enough for a rate."
    rest = " Months that are not complete yet are hatched." if not frame["complete"].all() else ""
    return f"Claims per 100 hulls over all complete months of building: {', '.join(said)}.{rest}"
