"""Who sits in front of the page, and in whose name acts are written down."""

from __future__ import annotations

import os
import time
from pathlib import Path

import streamlit as st

from tracegraph.domain.errors import NotAllowedError
from tracegraph.domain.permission import OWNER, SETTINGS_VARIABLE, Person, is_shared
from tracegraph.pages import state
from tracegraph.store.roster import read_roster

_HERE = {"localhost", "127.0.0.1", "[::1]"}


def person() -> Person:
    """Who is about to act; every function that does a sensitive act takes it as ``by``.

    Raises
    ------
    SignInError
        On a shared server, if nobody has signed in, or too long ago.
    NotAllowedError
        If whoever signed in has no role, or if somebody reaches an app from outside that knows
        no roles.
    """
    if is_shared():
        roster = read_roster(Path(os.environ[SETTINGS_VARIABLE]))
        return roster.person(st.user.to_dict(), time.time())
    host = st.context.headers.get("Host", "localhost").rsplit(":", 1)
    if (host[0] if host[-1].isdigit() else ":".join(host)) not in _HERE:
        raise NotAllowedError(
            "This app is set up for the person in front of its own machine, and was reached from "
            "elsewhere. For several people, set up a server with sign-in: docs/server.md."
        )
    return OWNER


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
