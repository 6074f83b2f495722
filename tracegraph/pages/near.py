"""Numbers that lead nowhere: accept what one stands for, or take it back, by a recorded act."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

import streamlit as st

from tracegraph.domain.acts import Act, meanings_in_force
from tracegraph.domain.errors import TraceGraphError
from tracegraph.intake.acting import act_on_records
from tracegraph.pages import show, state
from tracegraph.pages.person import person, signed_by
from tracegraph.report.near import (
    acts_table,
    meaning_line,
    near_sentence,
    near_table,
    offer_line,
)
from tracegraph.store import Store, StoreDirectory
from tracegraph.store.acts import read_acts

_TOLD = "told of an act"

Offer = tuple[str, str, str]
"""Link, written number, number that it stands for."""


def render(store: Store, folder: Path) -> None:
    """Draw this part of the records page.

    Parameters
    ----------
    store : Store
        The build in force.
    folder : Path
        The store directory, which keeps the acts.
    """
    offers = store.frame("records/near_matches")
    acts = read_acts(folder)
    st.header("Numbers that lead nowhere", anchor=False)
    told = st.session_state.pop(_TOLD, None)
    if told:
        show.alarm(told, "alarm-act")
    show.say([near_sentence(offers)])
    if len(offers):
        show.table(near_table(offers), "near-matches", height=280)
        named = {
            (str(row["link"]), str(row["written"]), str(row["near"])): offer_line(
                row["link"], row["written"], row["near"], row["records"]
            )
            for row in offers.to_dict("records")
        }
        _form("accept", "Take a number for another", "Accept", named, folder)
    in_force = {
        (meaning.link, meaning.written, meaning.meant): meaning_line(meaning)
        for meaning in meanings_in_force(acts)
    }
    if in_force:
        _form("undo", "Take back what was accepted", "Undo", in_force, folder)
    if acts:
        show.folded("What was said so far", "acts", lambda: show.table(acts_table(acts), "acts"))


def _form(
    what: Literal["accept", "undo"],
    label: str,
    verb: str,
    named: dict[Offer, str],
    folder: Path,
) -> None:
    key = state.field(f"{what} which", next(iter(named)))
    if st.session_state[key] not in named:
        st.session_state[key] = next(iter(named))
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        chosen = st.selectbox(label, list(named), key=key, format_func=named.__getitem__, width=420)
        who = signed_by(what)
        why = st.text_input(
            "Why", key=state.field(f"{what} why", ""), placeholder="photo of the plate", width=260
        )
        st.button(
            verb,
            key=f"{what} now",
            disabled=not (who and why.strip()),
            on_click=_record,
            args=(what, chosen, who, why, folder),
        )


def _record(
    what: Literal["accept", "undo"], chosen: Offer, who: str, why: str, folder: Path
) -> None:
    link, written, meant = chosen
    now = datetime.now(UTC).isoformat(timespec="seconds")
    act = Act(now, who, what, link, written, meant, why.strip())
    try:
        act_on_records(StoreDirectory(folder), act, by=person())
    except TraceGraphError as error:
        st.session_state[_TOLD] = str(error)
        return
    state.forget_field(f"{what} why")
