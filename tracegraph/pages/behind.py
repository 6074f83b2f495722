"""What stands behind the clusters, as a part of the Overview: it fills while they are ranked."""

from __future__ import annotations

import streamlit as st

from tracegraph.analysis.first_suspects import factors_frame
from tracegraph.pages import cached, show, state
from tracegraph.pages.asked import Asked
from tracegraph.pages.page import link
from tracegraph.report.explained import OVERVIEW
from tracegraph.report.formats import write_for
from tracegraph.report.overview import factors_table, ranked_sentence, standing_out
from tracegraph.store import Store

_STOPPED = "stopped ranking of"
_PATIENCE, _EVERY = 0.5, 2.0
"""Seconds to wait before half a result is shown, since most results are there at once, and
between two looks at how far it is."""


def stands_behind(store: Store, asked: Asked) -> None:
    """Draw this part, again and again until all clusters are ranked or it is stopped.

    Parameters
    ----------
    store : Store
        The records.
    asked : Asked
        What the page is to show.
    """
    work = cached.first_suspects_of(store)
    stopped = st.session_state.get(_STOPPED) == str(store.path)
    if not (stopped or work.failed):
        work.watch(state.session_mark())
        work.done(_PATIENCE)
    waiting = not (stopped or work.finished or work.failed)
    st.fragment(_draw, run_every=_EVERY if waiting else None)(store, asked, waiting)


def _draw(store: Store, asked: Asked, waiting: bool) -> None:
    write_for(asked.formats)  # drawn anew it runs in a thread of its own
    work = cached.first_suspects_of(store)
    stopped = st.session_state.get(_STOPPED) == str(store.path)
    if waiting and (stopped or work.finished or work.failed):
        # Drawn once more as a whole, it asks for no more pieces.
        st.rerun()
    found = work.done()
    factors = factors_frame(found)
    for sentence, symptom in standing_out(factors):
        words, way = st.columns([0.86, 0.14], vertical_alignment="center")
        with words:
            st.text(sentence)
        with way:
            link(
                "cluster",
                "Look at it",
                Asked(store=asked.store, symptom=(symptom,), formats=asked.formats),
            )
    show.say([ranked_sentence(factors, work.total, stopped=stopped)])
    if work.failed:
        show.alarm(work.failed, "alarm-ranking")
        st.button("Try again", on_click=work.watch, args=(state.session_mark(),))
    elif waiting:
        with st.container(key="working", horizontal=True, vertical_alignment="center"):
            st.progress(len(found) / work.total)
            st.button("Stop", on_click=_stop, args=(store,))
    elif stopped:
        st.button("Go on", on_click=st.session_state.pop, args=(_STOPPED, None))
    if len(found):
        show.folded(
            "Each cluster and its first suspect",
            "top-factors",
            lambda: show.table(factors_table(factors), "top-factors", section=OVERVIEW),
        )


def _stop(store: Store) -> None:
    st.session_state[_STOPPED] = str(store.path)
    cached.first_suspects_of(store).leave(state.session_mark())
