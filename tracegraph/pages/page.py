"""The frame that every page stands in: looks, the open store, errors as sentences."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import streamlit as st

from tracegraph.domain.errors import TraceGraphError
from tracegraph.pages import show, state
from tracegraph.pages.asked import Asked
from tracegraph.pages.first_run import offer_records
from tracegraph.pages.reader import reader_choice
from tracegraph.report.formats import moment, write_for
from tracegraph.store import Store


def page(title: str, render: Callable[[Store, Asked], None]) -> None:
    """Run one page.

    Parameters
    ----------
    title : str
        Heading, in our own words.
    render : callable
        Draws the page from the open store and what was asked.
    """
    st.title(title, anchor=False)
    try:
        asked = state.begin()
        write_for(asked.formats)
        folder = state.store_folder(asked)
        store = state.open_current(folder)
        if store is None:
            offer_records(folder)
            return
        if state.told_new_version(store):
            show.say(["The records were loaded anew; the numbers below are from the new ones."])
        render(store, asked)
        _about(store, asked, folder.name)
    except TraceGraphError as error:
        show.alarm(str(error), "alarm-error")


def link(name: str, label: str, asked: Asked) -> None:
    """A link to another page that carries what is asked in its address.

    Parameters
    ----------
    name : str
        File of the page without its ending.
    label : str
        Our own words; it is read as Markdown.
    asked : Asked
        What the page is to show.
    """
    st.page_link(
        str(Path(__file__).with_name(f"{name}.py")),
        label=label,
        query_params=asked.address(),
        icon=":material/arrow_forward:",
    )


def way_to_hull(hulls: Sequence[str], asked: Asked) -> None:
    """A list of hulls and the way to the build history of the one chosen.

    Parameters
    ----------
    hulls : sequence of str
        Serials.
    asked : Asked
        What the page is to show besides.
    """
    if not len(hulls):
        return
    with st.container(horizontal=True, vertical_alignment="bottom", gap="medium"):
        hull = st.selectbox("Hull", hulls, key=state.field("hull of list", hulls[0]), width=220)
        link("history", "Its build history", replace(asked, hull=hull))


def _about(store: Store, asked: Asked, name: str) -> None:
    at = store.meta("loaded_at")
    loaded = "at an unknown time" if at is None else f"{moment(datetime.fromisoformat(at))} UTC"
    stores = state.neighbours(state.store_folder(Asked()))
    with st.container(key="foot"):
        show.aside([f"Records: {name}, data version {store.version}, loaded {loaded}."], "about")
        with st.container(horizontal=True, vertical_alignment="bottom", gap="medium"):
            reader_choice(asked.formats)
            if len(stores) > 1:
                key = state.field("store", name)
                st.selectbox(
                    "Other records",
                    stores,
                    key=key,
                    width=300,
                    on_change=lambda: state.change(store=st.session_state[key]),
                )
