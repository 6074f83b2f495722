"""Who sits in front of the page, and in whose name acts are written down."""

from __future__ import annotations

import streamlit as st

from tracegraph.domain.permission import Person, whoever
from tracegraph.pages import state


def person() -> Person:
    """Who is about to act; every function that does a sensitive act takes it as ``by``.

    Raises
    ------
    NotAllowedError
        On a shared server, if nobody has signed in.
    """
    return whoever(None)


def signed_by(name: str) -> str:
    """Ask for the code of the person who acts; somebody who signed in has one already.

    Parameters
    ----------
    name : str
        What the form is about; unique on a page.

    Returns
    -------
    str
        The code; blank until one was typed.
    """
    somebody = person()
    if somebody.signed_in:
        st.text_input("Who", somebody.code, key=f"signed {name}", disabled=True, width=150)
        return somebody.code
    return st.text_input(
        "Who", key=state.field(f"{name} who", ""), placeholder="code", width=110
    ).strip()
