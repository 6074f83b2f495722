"""Two inks, three marks, and text that stays text: what all figures share.

Affected and exposed are the only ideas that get a colour. Both inks stand out from white by
more than 4.5 to 1 and from each other for colour-blind readers, and no figure relies on
colour alone.
"""

from __future__ import annotations

import html
from dataclasses import dataclass
from typing import Any

import plotly.graph_objects as go

from tracegraph.report.formats import marked
from tracegraph.report.tables import DisplayTable

AFFECTED = "#b3410e"
EXPOSED = "#0b5cad"
INK = "#1f2933"
GREY = "#5f6b76"
PALE = "#c3cad1"
RULE = "#e3e7eb"
PAPER = "#ffffff"

FONT = '"Source Sans", "Source Sans Pro", "Helvetica Neue", Arial, sans-serif'
"""The first is the one that the app brings along."""

ROW_PIXELS = 35
"""Height of a table row in the app; figures beside a table share it."""


@dataclass(frozen=True)
class Chart:
    """A figure, the same in words, and the same as a table.

    Attributes
    ----------
    figure : plotly.graph_objects.Figure
        Texts are literal.
    alt : str
        What the figure shows, for a reader who cannot see it.
    table : DisplayTable
        The same content.
    """

    figure: go.Figure
    alt: str
    table: DisplayTable


def literal(text: object) -> str:
    """Text that a figure shows as it is written.

    Plotly reads tags and entities in titles, ticks and hovers, and formulas between dollar
    signs.

    Parameters
    ----------
    text : object
        Anything; its ``str`` is taken.

    Examples
    --------
    >>> literal("<b>G-1</b> & $x$")
    '&lt;b&gt;G-1&lt;/b&gt; &amp; &#36;x&#36;'
    """
    return html.escape(" ".join(str(text).split()), quote=False).replace("$", "&#36;")


def shorten(text: object, length: int) -> str:
    """Literal text of at most so many characters; the middle is left out.

    Parameters
    ----------
    text : object
        Anything; its ``str`` is taken.
    length : int
        Characters kept, the mark of omission included; at least 3.

    Examples
    --------
    >>> shorten("deck: gelcoat spray: gelcoat lot G-2417", 21)
    'deck: gelc…lot G-2417'
    """
    plain = " ".join(str(text).split())
    if len(plain) > length:
        tail = (length - 1) // 2
        plain = f"{plain[: length - 1 - tail]}…{plain[-tail:]}"
    return literal(plain)


def lines(*pieces: object) -> str:
    """Literal texts on lines of their own, blank ones left out."""
    return "<br>".join(text for text in (literal(piece) for piece in pieces) if text)


def blank_figure(height: int, **layout: Any) -> go.Figure:
    """An empty figure in the house's looks.

    Parameters
    ----------
    height : int
        Pixels.
    **layout
        Further settings of the layout.
    """
    figure = go.Figure()
    figure.update_layout(
        height=height,
        font={"family": FONT, "size": 13, "color": INK},
        paper_bgcolor=PAPER,
        plot_bgcolor=PAPER,
        margin={"l": 8, "r": 12, "t": 12, "b": 8},
        showlegend=False,
        hoverlabel={"font": {"family": FONT, "size": 13}, "align": "left", "bgcolor": PAPER},
        dragmode=False,
        bargap=0.35,
        separators=marked(".,"),
    )
    figure.update_xaxes(
        gridcolor=RULE, linecolor=PALE, zeroline=False, ticks="outside", tickcolor=PALE,
        automargin=True, fixedrange=True,
    )  # fmt: skip
    figure.update_yaxes(
        gridcolor=RULE, linecolor=PALE, zeroline=False, automargin=True, fixedrange=True
    )
    figure.update_layout(**layout)
    return figure


def category_axis(keys: list[str], labels: list[str], *, top_first: bool = True) -> dict[str, Any]:
    """Settings of an axis of names, which are never read as numbers or dates.

    Parameters
    ----------
    keys : list of str
        One unique key per place; the data of the traces.
    labels : list of str
        What is written there, already literal.
    top_first : bool, default True
        Whether the first stands at the top.
    """
    return {
        "type": "category",
        "categoryorder": "array",
        "categoryarray": keys,
        "tickmode": "array",
        "tickvals": keys,
        "ticktext": labels,
        "range": [len(keys) - 0.5, -0.5] if top_first else [-0.5, len(keys) - 0.5],
    }


def note(text: str, **place: Any) -> dict[str, Any]:
    """A small grey remark inside a figure; the text must be literal already."""
    return {
        "text": text,
        "showarrow": False,
        "font": {"size": 12, "color": GREY, "family": FONT},
    } | place
