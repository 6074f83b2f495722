"""One hull's readings against its peers: a strip for each."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from tracegraph.analysis.history import PEER_DAYS, History
from tracegraph.report.charts.inks import (
    GREY,
    INK,
    PALE,
    Chart,
    blank_figure,
    category_axis,
    lines,
    note,
    shorten,
)
from tracegraph.report.formats import measures_shown
from tracegraph.report.numbers import NONE, amount, count, measured, plural, unit_sign
from tracegraph.report.tables import AMOUNT, COUNT, WHOLE, DisplayTable

Floats = npt.NDArray[np.float64]

_ROW = 30
_DRAWN_PEERS = 400
"""Ticks in one strip at most; more peers are drawn as evenly spaced ones among them."""


def readings_chart(found: History, top: int = 14, *, lane: str | None = None) -> Chart:
    """Strips of peers as faint ticks with this hull as a diamond, the most unusual first.

    Parameters
    ----------
    found : History
        From :func:`~tracegraph.analysis.history.history`.
    top : int, default 14
        How many strips.
    lane : str, optional
        Only readings of this part; None: of all.

    Returns
    -------
    Chart
        Each strip runs from its lowest to its highest value; the bar spans the middle
        90 % of the peers.
    """
    measures = measures_shown(ordered_measures(found, lane))
    shown = measures[measures["percentile"].notna()].head(top)
    keys = [str(place) for place in range(len(shown))]
    figure = blank_figure(
        height=_ROW * max(2, len(shown)) + 44, margin={"l": 8, "r": 210, "t": 30, "b": 8}
    )
    by_measure = {
        key: group["value"].to_numpy(np.float64)
        for key, group in _peers_shown(found).groupby(["own_no", "quantity"])
    }
    ticks: tuple[list[float], list[str]] = ([], [])
    for key, row in zip(keys, shown.to_dict("records"), strict=True):
        peers = by_measure[row["own_no"], row["quantity"]]
        ends = min(peers.min(), row["value"]), max(peers.max(), row["value"])
        drawn = _thinned(peers)
        ticks[0].extend(_scaled(drawn, ends))
        ticks[1].extend([key] * len(drawn))
        low, high = _scaled(np.array([row["low"], row["high"]]), ends)
        figure.add_scatter(
            x=[low, high], y=[key, key], mode="lines", line={"color": PALE, "width": 9},
            hoverinfo="skip",
        )  # fmt: skip
        figure.add_scatter(
            x=_scaled(np.array([row["value"]]), ends),
            y=[key],
            mode="markers",
            marker={"symbol": "diamond", "size": 12, "color": INK},
            hovertext=[_hover(row)],
            hoverinfo="text",
        )
        figure.add_annotation(
            note(
                _said(row), x=1, xref="paper", y=key, xanchor="left", xshift=12,
                font={"size": 12, "color": INK if row["far"] else GREY},
            )
        )  # fmt: skip
    figure.add_scatter(
        x=ticks[0],
        y=ticks[1],
        mode="markers",
        marker={"symbol": "line-ns-open", "size": 12, "color": GREY, "opacity": 0.45},
        hoverinfo="skip",
    )
    figure.add_annotation(
        note(
            "lowest", x=0, y=1, xref="paper", yref="paper", xanchor="left",
            yanchor="bottom", yshift=6,
        )
    )  # fmt: skip
    figure.add_annotation(
        note(
            "highest", x=1, y=1, xref="paper", yref="paper", xanchor="right",
            yanchor="bottom", yshift=6,
        )
    )  # fmt: skip
    figure.update_xaxes(visible=False, range=[-0.03, 1.03])
    labels = [
        shorten(f"{row['lane']}: {row['step']}: {row['quantity']}", 46)
        for row in shown.to_dict("records")
    ]
    figure.update_yaxes(**category_axis(keys, labels), showgrid=False)
    return Chart(figure, _alt(found, shown), readings_table(measures))


def _peers_shown(found: History) -> pd.DataFrame:
    own = found.measures[["own_no", "quantity", "unit"]].drop_duplicates(["own_no", "quantity"])
    return measures_shown(found.peers.merge(own, how="left"), ["value"])


def ordered_measures(found: History, lane: str | None = None) -> pd.DataFrame:
    """Measures with the most unusual first; those without a percentile last."""
    measures = found.measures
    if lane is not None:
        measures = measures[measures["lane"] == lane]
    distance = (measures["percentile"] - 50).abs()
    return measures.iloc[np.argsort(-distance.fillna(-1).to_numpy(), kind="stable")]


def readings_table(measures: pd.DataFrame) -> DisplayTable:
    """Every reading, condition and wait with its place among its peers."""
    table = pd.DataFrame(
        {
            "on": measures["lane"],
            "step": measures["step"],
            "what": measures["quantity"],
            "value": measures["value"],
            "unit": measures["unit"].map(unit_sign, na_action="ignore"),
            "peers below, %": measures["percentile"],
            "peers": measures["peers"],
            "peers' 5 %": measures["low"],
            "middle": measures["middle"],
            "95 %": measures["high"],
            "remark": measures["far"].map({True: "far from its peers", False: ""}),
            "source": measures["source"],
        }
    ).reset_index(drop=True)
    styles = dict.fromkeys(["value", "peers' 5 %", "middle", "95 %"], AMOUNT)
    return DisplayTable(
        table,
        {**styles, "peers": COUNT, "peers below, %": WHOLE},
        caption=(
            f"{plural(len(table), 'value')}. Peers: the same model, part and step within "
            f"{PEER_DAYS} days before or after."
        ),
    )


def _scaled(values: Floats, ends: tuple[float, float]) -> list[float]:
    low, high = ends
    if high <= low:
        return [0.5] * len(values)
    return [float(value) for value in (values - low) / (high - low)]


def _thinned(peers: Floats) -> Floats:
    if len(peers) <= _DRAWN_PEERS:
        return peers
    kept: Floats = np.sort(peers)[np.linspace(0, len(peers) - 1, _DRAWN_PEERS).astype(int)]
    return kept


def _said(row: dict[Hashable, Any]) -> str:
    mark = "◆ far: " if row["far"] else ""
    return lines(
        f"{mark}{measured(row['value'], row['unit'])}, above {row['percentile']:.0f} % of "
        f"{count(row['peers'])}"
    )


def _hover(row: dict[Hashable, Any]) -> str:
    return lines(
        f"{row['lane']}: {row['step']}: {row['quantity']}",
        f"this hull {measured(row['value'], row['unit'])}",
        f"middle 90 % of {count(row['peers'])} peers: {measured(row['low'], row['unit'])} to "
        f"{measured(row['high'], row['unit'])}",
        f"source: {row['source']}",
    )


def _alt(found: History, shown: pd.DataFrame) -> str:
    if shown.empty:
        return f"No reading of hull {found.hull.hull_serial} has enough peers to compare with."
    far = int(found.measures["far"].sum())
    first = shown.iloc[0]
    return (
        f"{plural(len(shown), 'reading')} of hull {found.hull.hull_serial} against its peers; "
        f"{count(far) if far else NONE} far from them. Most unusual: {first['lane']} "
        f"{first['step']} {first['quantity']}, {amount(first['value'])}, above "
        f"{first['percentile']:.0f} % of {count(first['peers'])} peers."
    )
