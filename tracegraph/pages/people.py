"""Families of people: hidden until someone who may see them gives a reason."""

from __future__ import annotations

import streamlit as st

from tracegraph.domain.errors import TraceGraphError
from tracegraph.pages import show, state
from tracegraph.pages.person import person
from tracegraph.store.audit import people_reason

_REFUSED = "refused to show people"


def people_switch() -> None:
    """The switch and its reason; who gave one, and which, is written into the audit."""
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
        given = reason.strip() if wanted else ""
        if wanted and not given:
            show.aside(["Until there is a reason they stay hidden."], "people-blank")
        _settle(given)


def _settle(given: str) -> None:
    """Bring what is shown in line with the reason given; what changed is drawn anew."""
    shown = state.people_reason()
    if not given:
        st.session_state.pop(_REFUSED, None)
        if shown is not None:
            state.set_people_reason(None)
            st.rerun()
        return
    refused: tuple[str, str] | None = st.session_state.get(_REFUSED)
    if given != shown and (refused is None or refused[0] != given):
        # Asked once for each reason, so that the audit has one line for it.
        try:
            granted = people_reason(state.current_folder(), person(), given)
        except TraceGraphError as error:
            state.set_people_reason(None)
            refused = st.session_state[_REFUSED] = (given, str(error))
        else:
            st.session_state.pop(_REFUSED, None)
            state.set_people_reason(granted)
            st.rerun()
    if refused is not None and refused[0] == given:
        show.alarm(refused[1], "alarm-people")
