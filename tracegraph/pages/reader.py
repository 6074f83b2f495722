"""How this reader wants dates, numbers and units written, chosen at the foot of every page."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from tracegraph.pages import state
from tracegraph.report.formats import CHOICES, Formats

_ASKED: dict[str, tuple[str, dict[str, str]]] = {
    "dates": ("Dates", {"ymd": "2026-03-09", "dmy": "09.03.2026", "mdy": "03/09/2026"}),
    "decimal": ("Numbers", {"point": "1,234.5", "comma": "1 234,5"}),
    "temperature": ("Temperature", {"degC": "°C", "degF": "°F"}),
    "thickness": ("Film thickness", {"um": "µm", "mil": "mil"}),
    "figures": ("Figures saved as", {"svg": "SVG: drawing", "png": "PNG: picture"}),
}


def reader_choice(formats: Formats) -> None:
    """Draw the choices; they stand in the address and hold for all pages.

    Parameters
    ----------
    formats : Formats
        The choice in force.
    """
    with st.popover("Dates, numbers, units, figures"):
        for part, choices in CHOICES.items():
            label, words = _ASKED[part]
            st.selectbox(
                label,
                choices,
                key=state.field(part, getattr(formats, part)),
                format_func=words.__getitem__,
                on_change=_change,
                args=(formats, part),
            )


def _change(formats: Formats, part: str) -> None:
    chosen = st.session_state[state.field(part, getattr(formats, part))]
    state.change(formats=replace(formats, **{part: chosen}))
