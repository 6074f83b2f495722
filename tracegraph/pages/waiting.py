"""Wait for long work in sight of the reader: what, for how long, and a way out."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any, TypeVar

import streamlit as st

from tracegraph.domain.errors import TraceGraphError
from tracegraph.pages import show, state
from tracegraph.pages.background import Background

Piece = TypeVar("Piece")

_STOPPED, _LAST = "stopped waiting for", "waits for"
_QUICK, _STEP = 0.2, 0.5
"""Seconds before a reader is told that it takes longer, and between two words about it."""


def waited(
    work: Background[Piece], what: str, mark: str, meanwhile: Callable[[], None] | None = None
) -> Piece | None:
    """The result of work that is one piece, or None where the reader does not wait.

    Any other control answers while the reader waits. The work goes on, unless the reader stops
    it or asks for other work of the kind in its place, and nobody else waits for it.

    Parameters
    ----------
    work : Background
        From :meth:`~tracegraph.pages.background.Background.of_one`.
    what : str
        What is done, in our own words, such as "Ranking".
    mark : str
        Tells this work from the other work of a page; changes with what is asked.
    meanwhile : callable, optional
        Draws what is known without it; gone when the work is done.

    Raises
    ------
    TraceGraphError
        If the work failed.
    """
    draw = meanwhile or (lambda: None)
    if st.session_state.get(_STOPPED) == mark and not work.finished:
        draw()
        show.say([f"Stopped: {what[0].lower()}{what[1:]} is not waited for."])
        st.button("Go on", key="go on", on_click=st.session_state.pop, args=(_STOPPED, None))
        return None
    began = time.monotonic()
    last: dict[str, Background[Any]] = st.session_state.setdefault(_LAST, {})
    before = last.get(what)
    if before is not None and before is not work:
        before.leave(state.session_mark())
    last[what] = work
    work.watch(state.session_mark())
    found = work.done(_QUICK)
    if not (found or work.failed):
        place = st.empty()
        with place.container():
            draw()
            with st.container(key="working", horizontal=True, vertical_alignment="center"):
                line = st.empty()
                st.button("Stop", key="stop", on_click=_stop, args=(work, mark))
        while not (found or work.failed):
            # A click elsewhere ends this run at the next word.
            line.text(f"{what}: {time.monotonic() - began:.0f} s so far.")
            found = work.done(_STEP)
        place.empty()
    if work.failed:
        raise TraceGraphError(work.failed)
    return found[0]


def _stop(work: Background[Piece], mark: str) -> None:
    st.session_state[_STOPPED] = mark
    work.leave(state.session_mark())
