"""Figures of a report as SVG, the same on screen and on paper."""

from __future__ import annotations

import html
import math
from collections.abc import Sequence

WIDTH = 640
_ROW, _LABEL, _PLOT = 24, 250, 300
_INK, _GREY = "#1f2a36", "#8a8a8a"


def bars_svg(rows: Sequence[tuple[str, float, str]], title: str) -> str:
    """Horizontal bars from zero.

    Parameters
    ----------
    rows : sequence of (str, float, str)
        Label, value, the value in words.
    title : str
        What a reader who does not see it is told.
    """
    most = max((value for _, value, _ in rows), default=0.0) or 1.0
    drawn = []
    for place, (label, value, words) in enumerate(rows):
        y, wide = _ROW * place, _PLOT * value / most
        drawn += [
            _text(_LABEL - 8, y + 16, label, end=True),
            f'<rect x="{_LABEL}" y="{y + 4}" width="{wide:.1f}" height="15" fill="{_INK}"/>',
            _text(_LABEL + wide + 6, y + 16, words),
        ]
    return _svg(drawn, _ROW * len(rows) + 4, title)


def ratios_svg(rows: Sequence[tuple[str, float, float, float]], title: str) -> str:
    """Ratios with their intervals on a log axis, with a line where there is no difference.

    Parameters
    ----------
    rows : sequence of (str, float, float, float)
        Label, ratio, lower and upper limit (infinite where there is none).
    title : str
        What a reader who does not see it is told.
    """
    ends = [one for _, *values in rows for one in values if math.isfinite(one) and one > 0.0]
    low = min([*ends, 0.5])
    high = max([*ends, 2.0])
    first, last = math.floor(math.log10(low)), math.ceil(math.log10(high))

    def across(value: float) -> float:
        spot = (math.log10(max(value, 10.0**first)) - first) / (last - first)
        return _LABEL + _PLOT * min(1.0, spot)

    foot = _ROW * len(rows) + 4
    drawn = [_line(across(1.0), 0, across(1.0), foot, _GREY)]
    for place, (label, ratio, lowest, highest) in enumerate(rows):
        y = _ROW * place + 12
        drawn += [
            _text(_LABEL - 8, y + 4, label, end=True),
            _line(across(lowest), y, across(highest), y, _INK),
            f'<circle cx="{across(ratio):.1f}" cy="{y}" r="4.5" fill="{_INK}"/>',
        ]
    for power in range(first, last + 1):
        drawn.append(_text(across(10.0**power) - 6, foot + 14, f"{10.0**power:g}"))
    drawn.append(_text(_LABEL + _PLOT + 24, foot + 14, "rate ratio"))
    return _svg(drawn, foot + 22, title)


def _svg(drawn: list[str], height: float, title: str) -> str:
    return (
        f'<svg role="img" aria-label="{html.escape(title)}" '
        f'width="{WIDTH}" height="{height:.0f}" viewBox="0 0 {WIDTH} {height:.0f}">'
        + "".join(drawn)
        + "</svg>"
    )


def _text(x: float, y: float, words: str, *, end: bool = False) -> str:
    anchor = ' text-anchor="end"' if end else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-family="sans-serif" font-size="12"{anchor}>'
        f"{html.escape(words)}</text>"
    )


def _line(x1: float, y1: float, x2: float, y2: float, ink: str) -> str:
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{ink}" '
        'stroke-width="1.5"/>'
    )
