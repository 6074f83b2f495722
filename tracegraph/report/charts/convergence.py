"""The convergence graph: claims, hulls, operations and suspects in layers, left to right."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

import pandas as pd
import plotly.graph_objects as go

from tracegraph.analysis.convergence import LAYERS, Convergence
from tracegraph.report.charts.inks import (
    AFFECTED,
    EXPOSED,
    GREY,
    INK,
    PALE,
    Chart,
    blank_figure,
    lines,
    note,
    shorten,
)
from tracegraph.report.numbers import count, plural
from tracegraph.report.tables import COUNT, DisplayTable

_LOOKS: tuple[tuple[str, str], ...] = (
    ("square-open", GREY),
    ("circle", AFFECTED),
    ("diamond-open", INK),
    ("square", EXPOSED),
)
"""Mark and ink of each layer."""

_LABEL_LENGTH = (24, 16, 24, 30)
_PLACES = (0.0, 1.0, 1.9, 2.8)
_LAST = 3.75
_WIDTHS = (1, 2, 4, 7)
_ROW = 21
_NAMED = 6
"""Things that are named when a mark stands for many."""


def convergence_chart(found: Convergence, mark: str | None = None) -> Chart:
    """Draw a cluster in its layers.

    Parameters
    ----------
    found : Convergence
        From :func:`~tracegraph.analysis.convergence.convergence`.
    mark : str, optional
        Node whose lines stand out.

    Returns
    -------
    Chart
        A line is as wide as the hulls that go that way on record; a dotted one holds hulls
        whose record is missing. ``customdata`` of the marks holds the node.
    """
    nodes = _laid_out(found.nodes)
    tallest = int(nodes.groupby("layer").size().max()) if len(nodes) else 1
    figure = blank_figure(
        height=max(300, _ROW * tallest + 70), margin={"l": 8, "r": 8, "t": 30, "b": 8}
    )
    _lines(figure, nodes, found.edges, mark)
    for layer, (symbol, ink) in enumerate(_LOOKS):
        part = nodes[nodes["layer"] == layer]
        if part.empty:
            continue
        figure.add_scatter(
            x=part["x"],
            y=part["y"],
            mode="markers",
            marker={
                "symbol": symbol,
                "color": ink,
                "size": [9 + min(9, 2 * (members - 1)) for members in part["count"]],
                "line": {
                    "width": [4 if node == mark else 1.5 for node in part["node"]],
                    "color": [INK if node == mark else ink for node in part["node"]],
                },
                "opacity": 1,
            },
            # A click chooses a mark; it must not pale the others.
            unselected={"marker": {"opacity": 1}},
            customdata=part["node"].tolist(),
            hovertext=[_hover(row) for row in part.to_dict("records")],
            hoverinfo="text",
            cliponaxis=False,
        )
        for x, y, label in zip(part["x"], part["y"], part["label"], strict=True):
            figure.add_annotation(
                note(
                    shorten(label, _LABEL_LENGTH[layer]), x=x, y=y, xanchor="left", xshift=11,
                    font={"size": 12, "color": INK}, bgcolor="rgba(255,255,255,0.82)",
                    borderpad=0,
                )
            )  # fmt: skip
        figure.add_annotation(
            note(
                LAYERS[layer], x=_PLACES[layer], y=1, yref="paper", yanchor="bottom",
                xanchor="left", xshift=-6, yshift=6,
            )
        )  # fmt: skip
    figure.update_xaxes(visible=False, range=[-0.05, _LAST])
    figure.update_yaxes(visible=False, range=[tallest - 0.3, -0.7])
    return Chart(figure, _alt(found), convergence_table(found))


def convergence_table(found: Convergence, mark: str | None = None) -> DisplayTable:
    """The same lines as rows: from, to, hulls, hulls with a missing record.

    Parameters
    ----------
    found : Convergence
        From :func:`~tracegraph.analysis.convergence.convergence`.
    mark : str, optional
        Node whose lines are listed; all lines when left out.
    """
    edges = found.edges if mark is None else found.edges[_touching(found.edges, mark)]
    labels = dict(zip(found.nodes["node"], found.nodes["label"], strict=True))
    layers = dict(zip(found.nodes["node"], found.nodes["layer"], strict=True))
    table = pd.DataFrame(
        {
            "from": edges["source"].map(labels),
            "to": edges["target"].map(labels),
            "hulls": edges["hulls"],
            "record missing": edges["unknown"],
            "kind of line": [
                f"{LAYERS[layers[source]]} to {LAYERS[layers[target]]}"
                for source, target in zip(edges["source"], edges["target"], strict=True)
            ],
        }
    ).reset_index(drop=True)
    ends = len(found.nodes) if mark is None else len({*edges["source"], *edges["target"]})
    return DisplayTable(
        table,
        {"hulls": COUNT, "record missing": COUNT},
        caption=f"{plural(len(table), 'line')} between {plural(ends, 'mark')}.",
    )


def mark_names(found: Convergence) -> dict[str, str]:
    """Name of each node for a list, layer by layer.

    Parameters
    ----------
    found : Convergence
        From :func:`~tracegraph.analysis.convergence.convergence`.
    """
    return {
        str(node): f"{LAYERS[layer]}: {label}"
        for node, layer, label in zip(
            found.nodes["node"], found.nodes["layer"], found.nodes["label"], strict=True
        )
    }


def mark_sentence(found: Convergence, mark: str) -> str:
    """What one node stands for.

    Parameters
    ----------
    found : Convergence
        From :func:`~tracegraph.analysis.convergence.convergence`.
    mark : str
        A node of it.
    """
    row = found.nodes[found.nodes["node"] == mark].iloc[0]
    members = [str(member) for member in row["members"]]
    more = f", and {count(len(members) - _NAMED)} more" if len(members) > _NAMED else ""
    return f"{LAYERS[row['layer']].capitalize()}: {', '.join(members[:_NAMED])}{more}."


def members_table(found: Convergence) -> DisplayTable:
    """What each node stands for, one row per member."""
    rows = found.nodes.explode("members", ignore_index=True)
    table = pd.DataFrame(
        {
            "layer": rows["layer"].map(dict(enumerate(LAYERS))),
            "node": rows["label"],
            "stands for": rows["members"],
        }
    )
    return DisplayTable(table, caption=f"{plural(len(table), 'thing')} in the graph.")


def _laid_out(nodes: pd.DataFrame) -> pd.DataFrame:
    tallest = nodes.groupby("layer")["position"].transform("size").max() if len(nodes) else 1
    size = nodes.groupby("layer")["position"].transform("size")
    # A short layer is spread over the same height as the tallest one.
    step = (tallest / size).where(size > 0, 1.0)
    return nodes.assign(
        x=nodes["layer"].map(dict(enumerate(_PLACES))),
        y=(nodes["position"] + 0.5) * step - 0.5,
    )


def _touching(edges: pd.DataFrame, mark: str) -> pd.Series[bool]:
    return (edges["source"] == mark) | (edges["target"] == mark)


def _lines(
    figure: go.Figure, nodes: pd.DataFrame, edges: pd.DataFrame, mark: str | None = None
) -> None:
    place = {node: (x, y) for node, x, y in zip(nodes["node"], nodes["x"], nodes["y"], strict=True)}
    widest = max(int(edges["hulls"].max()), 1) if len(edges) else 1
    sure = edges[edges["hulls"] > 0]
    bucket = (sure["hulls"] / widest * (len(_WIDTHS) - 1)).round().astype("int64")
    for width, number in zip(_WIDTHS, range(len(_WIDTHS)), strict=True):
        for near in (False, True):
            part = sure[(bucket == number) & (_touching(sure, mark or "") == near)]
            _trace(figure, place, part, {"width": width, "color": INK if near else PALE})
    maybe = edges[(edges["hulls"] == 0) & (edges["unknown"] > 0)]
    _trace(figure, place, maybe, {"width": 1, "color": GREY, "dash": "dot"})


def _trace(
    figure: go.Figure,
    place: dict[str, tuple[float, float]],
    edges: pd.DataFrame,
    line: dict[str, Any],
) -> None:
    if edges.empty:
        return
    xs: list[float | None] = []
    ys: list[float | None] = []
    for source, target in zip(edges["source"], edges["target"], strict=True):
        (x0, y0), (x1, y1) = place[source], place[target]
        xs += [x0, x1, None]
        ys += [y0, y1, None]
    figure.add_scatter(x=xs, y=ys, mode="lines", line=line, hoverinfo="skip")


def _hover(row: dict[Hashable, Any]) -> str:
    members = list(row["members"])
    shown = [str(member) for member in members[:12]]
    more = f"and {count(len(members) - 12)} more" if len(members) > 12 else ""
    return lines(row["label"] if len(members) > 1 else "", *shown, more)


def _alt(found: Convergence) -> str:
    layers = [
        f"{count(found.nodes.loc[found.nodes['layer'] == layer, 'count'].sum())} {name}"
        for layer, name in enumerate(LAYERS)
    ]
    widest = found.edges.merge(
        found.nodes.loc[found.nodes["layer"] == len(LAYERS) - 1, ["node", "label"]],
        left_on="target",
        right_on="node",
    )
    text = f"Layers of {', '.join(layers)}."
    if len(widest):
        hulls = widest.groupby("label", sort=False)["hulls"].max()
        text += f" Most hulls, {count(hulls.max())}, lead to {hulls.idxmax()}."
    return text
