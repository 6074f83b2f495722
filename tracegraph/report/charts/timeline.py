"""One hull's build as lanes of steps: what was done, with what, how long it waited."""

from __future__ import annotations

import math
from collections.abc import Hashable
from dataclasses import dataclass
from typing import Any

import pandas as pd

from tracegraph.analysis.history import History
from tracegraph.report.charts.inks import (
    GREY,
    INK,
    PALE,
    RULE,
    Chart,
    blank_figure,
    category_axis,
    lines,
    shorten,
)
from tracegraph.report.formats import moment
from tracegraph.report.numbers import plural
from tracegraph.report.tables import AMOUNT, COUNT, DisplayTable

ASSEMBLY = "assembly"
_BOX = 1.0
_WRITTEN = 0.2
"""Least width of a wait, so that its minutes do not run into the boxes."""

_DETAIL = 19
_LANE_PIXELS = 74
_LONG_LANE = 8
"""Steps after which a lane goes on in a row of its own."""


@dataclass(frozen=True)
class _Box:
    lane: str
    left: float
    hovered: str
    title: str
    detail: str
    mark: str
    missing: bool


def timeline_chart(found: History, *, people: bool = False) -> Chart:
    """Steps in their order, one lane for each part and one for assembly.

    Parameters
    ----------
    found : History
        From :func:`~tracegraph.analysis.history.history`.
    people : bool, default False
        Whether codes of people are shown.

    Returns
    -------
    Chart
        Boxes are equally wide; the gap before one grows with the hours waited, which are
        written in it. A hatched box is a step that the model's hulls normally have and
        this one's records have not. A diamond marks a reading far from its peers.
    """
    boxes, gaps = _boxes(found, people=people)
    lanes = list(dict.fromkeys(box.lane for box in boxes))
    figure = blank_figure(
        height=_LANE_PIXELS * max(1, len(lanes)) + 24, margin={"l": 8, "r": 8, "t": 8, "b": 8}
    )
    for missing in (False, True):
        part = [box for box in boxes if box.missing == missing]
        if not part:
            continue
        figure.add_bar(
            y=[box.lane for box in part],
            x=[_BOX] * len(part),
            base=[box.left for box in part],
            orientation="h",
            marker={
                "color": "#ffffff" if missing else RULE,
                "line": {"color": GREY if missing else PALE, "width": 1},
                "pattern": {"shape": "/" if missing else "", "fgcolor": PALE, "size": 6},
            },
            hovertext=[box.hovered for box in part],
            hoverinfo="text",
            width=0.72,
        )
    for box in boxes:
        figure.add_annotation(_inside(box))
    for lane, middle, text in gaps:
        figure.add_annotation(
            x=middle, y=lane, text=text, showarrow=False, yshift=0,
            font={"size": 11, "color": GREY},
        )  # fmt: skip
    end = max((box.left for box in boxes), default=0.0) + _BOX
    figure.update_xaxes(visible=False, range=[-0.05, end + 0.05])
    figure.update_yaxes(
        **category_axis(lanes, [shorten(lane, 22) for lane in lanes]), showgrid=False
    )
    figure.update_layout(barmode="overlay")
    return Chart(figure, _alt(found), operations_table(found, people=people))


def operations_table(found: History, *, people: bool = False) -> DisplayTable:
    """Operations as rows, in the order of time, missing ones among them."""
    done = found.operations
    waits = found.waits.set_index("operation_no")["hours"]
    table = pd.DataFrame(
        {
            "on": done["lane"],
            "step": done["step"],
            "started": done["started_at"],
            "finished": done["finished_at"],
            "hours since the step before": done["operation_no"].map(waits).round(1),
            "lots": done["lots"],
            "station": done["station"],
            "equipment": done["equipment"],
            "attempt": done["attempt"],
            "operation": done["operation_id"],
        }
    )
    if people:
        table["person"] = done["operator"]
        table["crew"] = done["crew"]
    absent = found.missing[found.missing["record"] == "operation"]
    if len(absent):
        gone = pd.DataFrame({"on": absent["lane"], "step": absent["step"], "started": absent["at"]})
        gone["lots"] = "no record of this step"
        table = pd.concat([table, gone], ignore_index=True)
    table = table.sort_values("started", kind="stable", ignore_index=True)
    return DisplayTable(
        table,
        {"hours since the step before": AMOUNT, "attempt": COUNT},
        caption=f"{plural(len(done), 'operation')} in the order of time.",
    )


def _boxes(found: History, *, people: bool) -> tuple[list[_Box], list[tuple[str, float, str]]]:
    far = found.measures[found.measures["far"]].groupby("own_no")["quantity"].agg(list).to_dict()
    waits = found.waits.set_index("operation_no")["hours"].to_dict()
    molds = found.parts.drop_duplicates("part_serial").set_index("part_serial")["mold_no"].to_dict()
    absent = found.missing[found.missing["record"] == "operation"]
    steps = pd.concat(
        [
            found.operations.assign(missing=False),
            pd.DataFrame(
                {
                    "lane": absent["lane"],
                    "step": absent["step"],
                    "started_at": absent["at"],
                    "missing": True,
                }
            ),
        ],
        ignore_index=True,
    ).sort_values("started_at", kind="stable", na_position="last")
    boxes: list[_Box] = []
    gaps: list[tuple[str, float, str]] = []
    for lane in _lanes(found, steps):
        left, name, in_row = 0.0, lane, 0
        for row in steps[steps["lane"] == lane].to_dict("records"):
            if in_row == _LONG_LANE:
                left, name, in_row = 0.0, f"{name} (on)", 0
            hours = None if row["missing"] else waits.get(row["operation_no"])
            if in_row:
                gap = _gap(hours)
                if hours is not None:
                    gaps.append((name, left + gap / 2, _hours(hours)))
                left += gap
            boxes.append(_box(row, name, left, molds, far, people=people))
            left += _BOX
            in_row += 1
    return boxes, gaps


def _lanes(found: History, steps: pd.DataFrame) -> list[str]:
    names = list(dict.fromkeys(steps["lane"]))
    parts = list(dict.fromkeys(found.parts["part"]))
    ordered = [name for name in parts if name in names]
    ordered += [name for name in names if name not in ordered and name != ASSEMBLY]
    return ordered + ([ASSEMBLY] if ASSEMBLY in names else [])


def _gap(hours: float | None) -> float:
    if hours is None or hours <= 0:
        return 0.12
    return max(0.12 + 0.13 * math.log10(1 + hours), _WRITTEN)


def _hours(hours: float) -> str:
    if hours < 0:
        return "over-<br>lap"
    return f"{hours:.0f} h" if hours >= 1 else f"{60 * hours:.0f}<br>min"


def _box(
    row: dict[Hashable, Any],
    lane: str,
    left: float,
    molds: dict[Any, Any],
    far: dict[Any, list[str]],
    *,
    people: bool,
) -> _Box:
    if row["missing"]:
        hovered = lines(
            f"{row['lane']}: {row['step']}", "no record, though hulls of this model have one"
        )
        return _Box(lane, left, hovered, shorten(row["step"], 18), "no record", "", True)
    mold = molds.get(row["part_serial"])
    lots = "" if pd.isna(row["lots"]) else str(row["lots"])
    unusual = far.get(row["operation_no"], [])
    again = "" if pd.isna(row["attempt"]) or row["attempt"] < 2 else f" (try {int(row['attempt'])})"
    hovered = lines(
        f"{row['lane']}: {row['step']}{again}",
        f"{row['started_at']:%a} {moment(row['started_at'])} to "
        + ("?" if pd.isna(row["finished_at"]) else f"{row['finished_at']:%a %H:%M}"),
        f"mold {mold}" if not pd.isna(mold) else "",
        *lots.split(", "),
        *(
            f"{name} {row[name]}"
            for name in ("station", "equipment", *(("operator", "crew") if people else ()))
            if not pd.isna(row[name])
        ),
        *(f"far from its peers: {quantity}" for quantity in unusual),
    )
    detail = _few(row["lot_numbers"]) or _first_known(row["equipment"], row["station"])
    if row["lots_missing"]:
        detail = "lot not written"
    mark = (
        f"◆ far: {unusual[0]}" + (f" +{len(unusual) - 1}" if len(unusual) > 1 else "")
        if unusual
        else ""
    )
    return _Box(
        lane,
        left,
        hovered,
        shorten(f"{row['step']}{again}", 18),
        shorten(detail, _DETAIL),
        shorten(mark, 20) if mark else f"{row['started_at']:%a %d %b %H:%M}",
        False,
    )


def _few(lots: Any) -> str:
    """All lots while they fit into a box, else the last and how many more."""
    text = "" if pd.isna(lots) else str(lots)
    numbers = text.split(", ")
    return text if len(text) <= _DETAIL else f"{numbers[-1]} +{len(numbers) - 1}"


def _first_known(*values: Any) -> str:
    return next((str(value) for value in values if not pd.isna(value)), "")


def _inside(box: _Box) -> dict[str, Any]:
    text = "<br>".join(piece for piece in (f"<b>{box.title}</b>", box.detail, box.mark) if piece)
    return {
        "x": box.left + 0.04,
        "y": box.lane,
        "text": text,
        "showarrow": False,
        "xanchor": "left",
        "align": "left",
        "font": {"size": 11, "color": INK},
    }


def _alt(found: History) -> str:
    longest = found.waits.sort_values("hours", ascending=False).head(1)
    text = (
        f"{plural(len(found.operations), 'operation')} on hull {found.hull.hull_serial} in "
        f"{plural(found.operations['lane'].nunique(), 'lane')}."
    )
    for row in longest.to_dict("records"):
        text += (
            f" The longest wait was {row['hours']:.0f} hours, from {row['step_before']} to "
            f"{row['step']} ({row['lane']})."
        )
    absent = int((found.missing["record"] == "operation").sum())
    if absent:
        text += f" {plural(absent, 'step')} that hulls of this model have is not on record."
    return text
