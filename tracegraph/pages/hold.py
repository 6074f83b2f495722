"""Where a hold stands: the state of each hull, written down with who, when and why."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import streamlit as st

from tracegraph.analysis.holding import Hold
from tracegraph.domain.errors import TraceGraphError
from tracegraph.domain.holding import DECIDED, HOLD_STATES, NO_NOTICE, NOTIFY, STATE, HoldAct
from tracegraph.domain.holding import DISCOVERED as FOUND
from tracegraph.pages import show, state
from tracegraph.pages.person import person, signed_by
from tracegraph.report.containment_tables import states_table
from tracegraph.report.formats import reader
from tracegraph.report.holding import hold_acts_table, hold_sentences, progress_table
from tracegraph.store.acts import append_hold_acts

_TOLD = "told of a hold"
_SORTS = {
    STATE: "State of hulls",
    FOUND: "Day of discovery",
    DECIDED: "Decision about notice",
}


def render(held: Hold, folder: Path) -> None:
    """Draw this part of the containment page.

    Parameters
    ----------
    held : Hold
        The hulls with their states, and what was written down about them.
    folder : Path
        The store directory, which keeps the acts.
    """
    st.header("Where the hold stands", anchor=False)
    told = st.session_state.pop(_TOLD, None)
    if told:
        show.alarm(told, "alarm-hold")
    show.say(hold_sentences(held, date.today()))
    show.table(states_table(held.found), "states")
    _form(held, folder)
    if held.acts:
        show.folded(
            "What was written down, and how the states changed",
            "hold-acts",
            lambda: _written_down(held),
        )


def _written_down(held: Hold) -> None:
    show.table(hold_acts_table(held), "hold-acts")
    if held.standing.states:
        show.table(progress_table(held), "hold-progress")


def _form(held: Hold, folder: Path) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        what = st.selectbox(
            "Write down",
            list(_SORTS),
            key=state.field("hold what", STATE),
            format_func=_SORTS.__getitem__,
            width=210,
        )
        value, hulls = "", [""]
        if what == STATE:
            hulls = st.multiselect(
                "Hulls", list(held.found.hulls["hull_serial"]), key=state.field("hold hulls", []),
                placeholder="one or several", width=300,
            )  # fmt: skip
            value = st.selectbox(
                "State", HOLD_STATES[1:], key=state.field("hold state", HOLD_STATES[1]), width=170
            )
        elif what == DECIDED:
            value = st.selectbox(
                "Decision", (NOTIFY, NO_NOTICE), key=state.field("hold decision", NOTIFY), width=150
            )
        day = st.date_input(
            "Day", key=state.field("hold day", date.today()), format=reader().day_pattern, width=140
        )
        who = signed_by("hold")
        why = st.text_input(
            "Why", key=state.field("hold why", ""), placeholder="letter of 9 March", width=240
        )
        st.button(
            "Write down",
            key="hold now",
            disabled=not (hulls and day and who and why.strip()),
            on_click=_record,
            args=(folder, held.name, what, value, hulls, day, who, why),
        )


def _record(
    folder: Path,
    name: str,
    what: str,
    value: str,
    hulls: list[str],
    day: date,
    who: str,
    why: str,
) -> None:
    now = datetime.now(UTC).isoformat(timespec="seconds")
    try:
        append_hold_acts(
            folder,
            [
                HoldAct(now, who, name, what, value, hull, day.isoformat(), why.strip())
                for hull in hulls
            ],
            by=person(),
        )
    except TraceGraphError as error:
        st.session_state[_TOLD] = str(error)
        return
    state.forget_field("hold hulls")
    state.forget_field("hold why")
