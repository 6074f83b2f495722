"""The door of a shared server: who may come in, and the way out."""

from __future__ import annotations

import streamlit as st
from streamlit.errors import StreamlitAuthError

from tracegraph.domain.errors import SignInError, TraceGraphError
from tracegraph.pages import show
from tracegraph.pages.person import person

_TOLD = "told of signing in"


def came_in() -> bool:
    """Whether whoever opened the page may see the records; if not, the page says what to do."""
    try:
        person()
    except SignInError as error:
        show.headline(str(error))
        show.say(["After signing in, open your link once more to come back to the same view."])
        told = st.session_state.pop(_TOLD, None)
        if told:
            show.alarm(told, "alarm-error")
        st.button("Sign in", type="primary", on_click=_sign_in)
        return False
    except TraceGraphError as error:
        show.alarm(str(error), "alarm-error")
        if st.user.get("is_logged_in"):
            st.button("Sign out", on_click=st.logout)
        return False
    return True


def who_is_in() -> None:
    """Say who has signed in, in which role, and offer the way out; nothing on one's own machine."""
    somebody = person()
    if somebody.signed_in:
        with st.container(horizontal=True, vertical_alignment="center", gap="medium"):
            show.aside([f"Signed in as {somebody.code}; role: {somebody.role}."], "who")
            st.button("Sign out", type="tertiary", on_click=st.logout)


def _sign_in() -> None:
    try:
        st.login()
    except (StreamlitAuthError, ModuleNotFoundError) as error:
        st.session_state[_TOLD] = (
            f"Signing in is not set up on this server: {error} See docs/server.md."
        )
