"""Who is compared: from all hulls built down to those whose answer is known, step by step."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

import pandas as pd

from tracegraph.report.charts.inks import (
    GREY,
    INK,
    PALE,
    PAPER,
    Chart,
    blank_figure,
    category_axis,
    literal,
    note,
)
from tracegraph.report.numbers import count, of, plural
from tracegraph.report.tables import COUNT, DisplayTable

_ROOM = 130
"""Pixels right of the longest bar for its two counts, also where the window is narrow."""

_ROW = 27


def ladder_steps(
    ladder: Mapping[str, int], row: Mapping[str, Any] | None = None
) -> list[tuple[str, int]]:
    """Steps by which hulls leave the comparison, each with the hulls that are left.

    Parameters
    ----------
    ladder : mapping of str to int
        :attr:`~tracegraph.analysis.cohort.Cohort.ladder`.
    row : mapping, optional
        The suspect looked at, a row of
        :attr:`~tracegraph.analysis.ranking.Ranking.frame`.

    Returns
    -------
    list of tuple
        Name and hulls; never more hulls than at the step before. A step that holds fewer
        than a later one is left out.
    """
    steps = [(name, int(left)) for name, left in ladder.items()]
    if row is not None:
        known = int(row["exposed"]) + int(row["unexposed"])
        steps += [
            ("asked about the suspect's factor", known + int(row["unknown"])),
            ("answer on record", known),
        ]
    # Where ship dates are missing, fewer hulls are "shipped" than are in service.
    return [
        step
        for place, step in enumerate(steps)
        if all(step[1] >= left for _, left in steps[place:])
    ]


def ladder_chart(steps: list[tuple[str, int]]) -> Chart:
    """One bar that shrinks from step to step; what a step takes away is hatched.

    Parameters
    ----------
    steps : list of tuple
        From :func:`ladder_steps`.

    Returns
    -------
    Chart
        All bars share one scale from zero.
    """
    keys = [str(place) for place in range(len(steps))]
    left = [number for _, number in steps]
    gone = [0, *(before - now for before, now in pairwise(left))]
    figure = blank_figure(height=_ROW * len(steps) + 16, barmode="stack", bargap=0.3)
    for values, marker in (
        (left, {"color": PALE}),
        (
            gone,
            {
                "color": PAPER,
                "line": {"color": PALE, "width": 1},
                "pattern": {"shape": "/", "fgcolor": PALE, "size": 6},
            },
        ),
    ):
        figure.add_bar(
            y=keys,
            x=values,
            orientation="h",
            marker=marker,
            hovertext=[_said(step, number) for step, number in zip(steps, gone, strict=True)],
            hoverinfo="text",
        )
    for key, number, fewer in zip(keys, left, gone, strict=True):
        figure.add_annotation(
            note(
                f"<b>{count(number)}</b>" + (f"   {count(fewer)} fewer" if fewer else ""),
                x=number + fewer, y=key, xanchor="left", xshift=6,
                font={"size": 12, "color": INK if number else GREY},
            )
        )  # fmt: skip
    figure.update_layout(margin_r=_ROOM)
    figure.update_xaxes(visible=False, range=[0, max([1, *left])])
    figure.update_yaxes(**category_axis(keys, [literal(name) for name, _ in steps]), showgrid=False)
    return Chart(figure, _alt(steps), _table(steps, gone))


def _said(step: tuple[str, int], fewer: int) -> str:
    name, left = step
    return f"{plural(left, 'hull')} {literal(name)}" + (f", {count(fewer)} fewer" if fewer else "")


def _table(steps: list[tuple[str, int]], gone: list[int]) -> DisplayTable:
    table = pd.DataFrame(
        {
            "hulls that are": [name for name, _ in steps],
            "hulls": [left for _, left in steps],
            "fewer": gone,
        }
    )
    return DisplayTable(
        table, {"hulls": COUNT, "fewer": COUNT}, caption=f"{plural(len(steps), 'step')}."
    )


def _alt(steps: list[tuple[str, int]]) -> str:
    (_, first), (name, last) = steps[0], steps[-1]
    return f"{of(last, first)} hulls are left at the last step, {name}."
