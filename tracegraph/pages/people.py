"""Families of people: hidden until someone gives a reason."""

from __future__ import annotations

import streamlit as st

from tracegraph.pages import show, state


def people_switch() -> str | None:
    """The switch and its reason.

    Returns
    -------
    str or None
        The reason; None while people are hidden.
    """
    label = "People: hidden" if state.people_reason() is None else "People: shown"
    with st.popover(label):
        show.aside(
            [
                "Hidden at first: association is not fault. A reason is needed and is kept with "
                "the result."
            ],
            "people",
        )
        wanted = st.toggle(
            "Show them", key=state.field("people on", state.people_reason() is not None)
        )
        reason = st.text_input(
            "Reason", key=state.field("people reason", state.people_reason() or ""),
            disabled=not wanted, placeholder="why they are needed",
        )  # fmt: skip
        given = reason.strip() if wanted and reason.strip() else None
        if wanted and given is None:
            show.aside(["Until there is a reason they stay hidden."], "people-blank")
    state.set_people_reason(given)
    return given
