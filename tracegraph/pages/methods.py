"""How the numbers are made: the methods, section by section."""

from __future__ import annotations

import streamlit as st

from tracegraph.pages import show, state
from tracegraph.pages.asked import Asked
from tracegraph.pages.page import page
from tracegraph.report.methods import Section, methods, sections_of
from tracegraph.store import Store

_ALL = "all sections"


def render(store: Store, asked: Asked) -> None:
    """Draw the page."""
    show.headline("What each number means, how to check it by hand, and where it stops being true.")
    titles = {section.anchor: section.title for section in methods()}
    chosen = st.selectbox(
        "Section",
        [_ALL, *titles],
        key=state.field("section", asked.section if asked.section in titles else _ALL),
        format_func=lambda anchor: titles.get(anchor, anchor),
        on_change=_change,
        width=420,
    )
    with st.container(key="methods"):
        for section in methods() if chosen == _ALL else sections_of(chosen):
            _section(section)


def _change() -> None:
    chosen = st.session_state[state.field("section", _ALL)]
    state.change(section=None if chosen == _ALL else chosen)


def _section(section: Section) -> None:
    heading = st.header if section.depth == 2 else st.subheader
    heading(section.title, anchor=section.anchor)
    # Our own text: the only Markdown on any page.
    st.markdown(section.text)


if __name__ == "__main__":
    page("How the numbers are made", render)
