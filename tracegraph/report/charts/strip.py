"""The build strip: hulls as dots in the order of building, sorted by what they carry."""

from __future__ import annotations

import math
from collections.abc import Hashable
from typing import Any

import pandas as pd
import plotly.graph_objects as go

from tracegraph.analysis.cluster import Strip
from tracegraph.report.charts.inks import (
    AFFECTED,
    EXPOSED,
    GREY,
    PALE,
    Chart,
    blank_figure,
    lines,
    note,
)
from tracegraph.report.formats import day, moment
from tracegraph.report.numbers import count, of, plural
from tracegraph.report.tables import DisplayTable

ROWS = ("exposed", "not exposed", "not recorded")
_ROW_NAMES = {
    "exposed": "carry it",
    "not exposed": "do not",
    "not recorded": "not recorded",
}
_TALLEST = 14
"""Dots that may stand on one another before a column takes in more days."""

MOST_DOTS = 3000
"""Hulls drawn at most; those farthest in time from the exposed ones are left out first."""


def strip_chart(strip: Strip) -> Chart:
    """Columns of dots over time: above, hulls that carry the level; below, those that do not.

    Parameters
    ----------
    strip : Strip
        From :func:`~tracegraph.analysis.cluster.build_strip`.

    Returns
    -------
    Chart
        A filled dot is an affected hull, an open one is not; the bar under the dots marks
        the time over which hulls carry the level; hulls whose record is missing stand in a
        row of their own. ``customdata`` holds the serial.
    """
    dated = strip.frame.dropna(subset=["at"])
    near = _near(dated)
    days = _column_days(near)
    figure = blank_figure(height=330, margin={"l": 8, "r": 12, "t": 30, "b": 8})
    base = 0.0
    ticks: list[tuple[float, str]] = []
    bands: list[tuple[float, float]] = []
    for state in ROWS:
        part = near[near["state"] == state]
        if state == "not recorded" and part.empty:
            continue
        stacked = _stacked(part, days)
        tallest = max(4.0, float(stacked["height"].max()) if len(stacked) else 0.0)
        ticks.append((-(base + tallest / 2), _ROW_NAMES[state]))
        bands.append((base, base + tallest))
        _dots(figure, stacked, base + tallest, dashed=state == "not recorded")
        if state == "exposed":
            _exposure_bars(figure, stacked, base + tallest, days)
        base += tallest + 2.2
    figure.update_yaxes(
        range=[-base + 0.6, 1.2],
        tickmode="array",
        tickvals=[y for y, _ in ticks],
        ticktext=[
            f"{text}<br>{count((strip.frame['state'] == state).sum())}"
            for (_, text), state in zip(ticks, ROWS, strict=False)
        ],
        showgrid=False,
    )
    figure.update_xaxes(type="date", title=None, showgrid=True)
    figure.add_annotation(
        note(
            f"one column is {plural(days, 'day')}; filled: affected",
            x=0, y=1, xref="paper", yref="paper", xanchor="left", yanchor="bottom", yshift=4,
        )
    )  # fmt: skip
    figure.update_layout(height=int(min(560, 120 + 13 * base)))
    return Chart(figure, _alt(strip, len(strip.frame) - len(near)), _table(strip.frame))


def _near(dated: pd.DataFrame) -> pd.DataFrame:
    if len(dated) <= MOST_DOTS:
        return dated
    exposed = dated.loc[dated["state"] == "exposed", "at"]
    middle = exposed.median() if len(exposed) else dated["at"].median()
    kept = (dated["at"] - middle).abs().sort_values(kind="stable").index[:MOST_DOTS]
    return dated.loc[dated.index.isin(kept)]


def _column_days(near: pd.DataFrame) -> int:
    """Days that one column takes in: as few as keep columns apart on a wide screen."""
    if near.empty:
        return 1
    span = int((near["at"].max() - near["at"].min()).days) + 1
    return max(1, math.ceil(span / 90))


def _stacked(part: pd.DataFrame, days: int) -> pd.DataFrame:
    column = part["at"].dt.floor(f"{days}D")
    ordered = part.assign(column=column).sort_values(
        ["column", "affected", "at"], ascending=[True, False, True], kind="stable"
    )
    return ordered.assign(height=ordered.groupby("column").cumcount() + 1.0)


def _dots(figure: go.Figure, stacked: pd.DataFrame, floor: float, *, dashed: bool) -> None:
    for affected in (False, True):
        part = stacked[stacked["affected"] == affected]
        if part.empty:
            continue
        figure.add_scatter(
            x=part["column"],
            y=-(floor - part["height"]),
            mode="markers",
            marker={
                "symbol": "circle" if affected else "circle-open-dot" if dashed else "circle-open",
                "size": 7,
                "color": AFFECTED if affected else PALE if dashed else GREY,
                "line": {"width": 1.2, "color": AFFECTED if affected else GREY},
            },
            customdata=part["hull_serial"].tolist(),
            hovertext=[_hover(row) for row in part.to_dict("records")],
            hoverinfo="text",
        )


def _exposure_bars(figure: go.Figure, stacked: pd.DataFrame, floor: float, days: int) -> None:
    width = pd.Timedelta(days=days) / 2
    columns = stacked["column"].drop_duplicates().sort_values()
    figure.add_scatter(
        x=[x for column in columns for x in (column - width, column + width, None)],
        y=[y for _ in columns for y in (-floor, -floor, None)],
        mode="lines",
        line={"color": EXPOSED, "width": 6},
        hoverinfo="skip",
    )


def _hover(row: dict[Hashable, Any]) -> str:
    levels = row["levels"]
    return lines(
        f"hull {row['hull_serial']}, {row['model']}",
        f"{pd.Timestamp(row['at']):%a} {moment(pd.Timestamp(row['at']))}",
        "affected" if row["affected"] else "not affected",
        "not recorded" if pd.isna(levels) else levels,
    )


def _table(frame: pd.DataFrame) -> DisplayTable:
    table = pd.DataFrame(
        {
            "hull": frame["hull_serial"],
            "model": frame["model"],
            "at": frame["at"],
            "affected": frame["affected"].map({True: "affected", False: "no"}),
            "exposure": frame["state"],
            "recorded": frame["levels"],
            "place": frame["place"],
        }
    )
    return DisplayTable(table, caption=f"{plural(len(table), 'hull')} in the order of building.")


def _alt(strip: Strip, left_out: int) -> str:
    frame = strip.frame
    exposed = frame[frame["state"] == "exposed"]
    others = frame[frame["state"] == "not exposed"]
    text = (
        f"{of(exposed['affected'].sum(), len(exposed))} hulls that carry "
        f"{strip.suspect.family} {strip.suspect.level} are affected, "
        f"{of(others['affected'].sum(), len(others))} that do not."
    )
    dated = exposed["at"].dropna()
    if len(dated):
        text += f" The first was worked on {day(dated.min())}, the last {day(dated.max())}."
    if left_out:
        text += f" {plural(left_out, 'hull')} without a date or far from these are not drawn."
    return text
