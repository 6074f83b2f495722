"""Write into a case file: the forms, and what is said after each."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import streamlit as st

from tracegraph.cases import CaseStore, Entry, acts
from tracegraph.cases.engine import default_cases_url
from tracegraph.cases.notes import NOTE_FORMS
from tracegraph.domain.errors import TraceGraphError
from tracegraph.domain.records import PLACES
from tracegraph.pages import show, state
from tracegraph.pages.asked import Asked
from tracegraph.pages.person import person, signed_by
from tracegraph.report.casefile import written
from tracegraph.store import Store

_TOLD = "told of a case"
_WORDS = 260

Act = Callable[[CaseStore, str], Entry]
"""What is done with the case files in somebody's name."""


def show_told() -> None:
    """Say what became of what was written last."""
    told = st.session_state.pop(_TOLD, None)
    if told:
        show.alarm(told, "alarm-case")


def open_form(store: Store, folder: Path, asked: Asked) -> None:
    """Ask for what opening a case needs, and open it."""
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        title = _text("case title", "Title", "blisters on the S24 deck", 380)
        who = signed_by("case")
        pressed = st.button("Open a case", key="case open", disabled=not (title and who))
    if pressed:
        entry = _write(
            folder,
            who,
            lambda files, by: written.open_case(
                files,
                store,
                by,
                title,
                asked.definition(),
                people_reason=state.people_reason(),
            ),
        )
        if entry is not None:
            state.forget_field("case title")
            state.change(case=entry.case_no)
            st.rerun()


def form(store: Store, folder: Path, entries: list[Entry], asked: Asked) -> None:
    """Ask what is to be written into a case, and write it."""
    case_no = entries[0].case_no
    forms: dict[str, Callable[[], Act | None]] = {
        "Suspects as ranked today": lambda: _from_records(
            lambda files, who: written.rank_case(files, store, who, case_no)
        ),
        "What changed since": lambda: _from_records(
            lambda files, who: written.rerun_case(files, store, who, case_no)
        ),
        "A hull looked at": lambda: _inspection(store, case_no),
        "Hulls that carry a suspect": lambda: _containment(store, entries),
        "A decision": lambda: _decision(case_no),
        "An action": lambda: _action(case_no),
        "An action that took effect": lambda: _done(case_no),
        "Whether it worked": lambda: _effect(store, entries),
        "What it costs": lambda: _cost(store, case_no),
        "A note": lambda: _note(case_no),
        "A file": lambda: _file(case_no),
        "Day of discovery": lambda: _day_known(case_no, acts.discover),
        "First report to the agency": lambda: _day_known(case_no, acts.report_made),
        "Closing": lambda: _closing(entries),
    }
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        what = st.selectbox(
            "Write down", list(forms), key=state.field("case what", next(iter(forms))), width=240
        )
        act = forms[what]()
        who = signed_by("case")
        pressed = st.button("Write it", key="case write", disabled=act is None or not who)
    if pressed and act is not None:
        with st.spinner("Asking the records."):
            entry = _write(folder, who, act)
        if entry is not None:
            st.session_state[_TOLD] = (
                f"Entry {entry.seq} ({entry.kind}) of {entry.case_no} was written by {entry.who}."
            )
            for name in _FORGOTTEN:
                state.forget_field(f"case {name}")
        st.rerun()


_FORGOTTEN = ("looked for", "seen", "decided", "why", "to do", "lines", "hull")


def _write(folder: Path, who: str, act: Act) -> Entry | None:
    try:
        return act(CaseStore(default_cases_url(folder), folder, person()), who)
    except TraceGraphError as error:
        st.session_state[_TOLD] = str(error)
        return None


def _from_records(act: Act) -> Act:
    return act


def _inspection(store: Store, case_no: str) -> Act | None:
    hull = _text("case hull", "Hull", "as typed", 130)
    what = _text("case looked for", "Looked for", "voids under the deck gelcoat")
    result = _text("case seen", "Seen", "three voids, 4 mm")
    there = st.selectbox(
        "The fault was", ("there", "not there"), key=state.field("case fault", "there"), width=130
    )
    if not (hull and what and result):
        return None
    found = there == "there"
    return lambda files, who: acts.inspect(
        files, store, who, case_no, hull, what, result, found=found
    )


def _containment(store: Store, entries: list[Entry]) -> Act | None:
    suspect = _suspect(entries)
    if suspect is None:
        return None
    return lambda files, who: written.contain_case(files, store, who, entries[0].case_no, *suspect)


def _effect(store: Store, entries: list[Entry]) -> Act | None:
    suspect = _suspect(entries)
    if suspect is None:
        return None
    return lambda files, who: written.check_case_effect(
        files, store, who, entries[0].case_no, *suspect
    )


def _suspect(entries: list[Entry]) -> tuple[str, str] | None:
    """One of the suspects kept when the case was last ranked."""
    ranked = [entry for entry in entries if entry.kind == "ranked"]
    if not ranked:
        st.text("Write down the suspects first.")
        return None
    named = [(str(row["family"]), str(row["level"])) for row in ranked[-1].content["suspects"]]
    return st.selectbox(
        "Suspect",
        named,
        key=state.field("case suspect", named[0] if named else None),
        format_func=lambda pair: f"{pair[0]} {pair[1]}",
        width=380,
    )


def _decision(case_no: str) -> Act | None:
    about = st.selectbox("About", acts.ABOUT, key=state.field("case about", "cause"), width=140)
    notify: bool | None = None
    if about == "risk":
        said = st.selectbox(
            "Notice", ("to be given", "not needed"), key=state.field("case notice", "to be given"),
            width=140,
        )  # fmt: skip
        notify = said == "to be given"
    what = _text("case decided", "Decided", "the lot is held")
    reason = _text("case why", "Why", "9 of 12 affected hulls carry it")
    if not (what and reason):
        return None
    return lambda files, who: acts.decide(
        files, who, case_no, what, reason, about=about, notify=notify
    )


def _action(case_no: str) -> Act | None:
    what = _text("case to do", "To do", "return the lot to the supplier")
    owner = _text("case owner", "Who does it", "code", 120)
    due = _day("case due", "Due")
    if not (what and owner and due):
        return None
    return lambda files, who: acts.act(files, who, case_no, what, owner, due)


def _done(case_no: str) -> Act | None:
    number = st.number_input(
        "Action", min_value=1, step=1, key=state.field("case action", 1), width=110
    )
    on = _day("case took effect", "Took effect on")
    first = st.date_input(
        "First hull built under it", key=state.field("case first built", None),
        format="YYYY-MM-DD", width=190,
    )  # fmt: skip
    if on is None:
        return None
    return lambda files, who: acts.done(files, who, case_no, int(number), on, first)


def _cost(store: Store, case_no: str) -> Act:
    rates = {}
    for place in PLACES:
        rate = st.number_input(
            f"One hull, {place}", min_value=0.0, value=None, key=f"case rate {place}", width=140,
            placeholder="as before",
        )  # fmt: skip
        if rate is not None:
            rates[place] = float(rate)
    return lambda files, who: written.cost_case(files, store, who, case_no, rates)


def _note(case_no: str) -> Act | None:
    kind = st.selectbox("Form", NOTE_FORMS, key=state.field("case form", "note"), width=190)
    lines = st.text_area(
        "Lines; [4, 7] at the end ties one to those entries", key=state.field("case lines", ""),
        height=90, width=420,
    )  # fmt: skip
    told = [line for line in lines.splitlines() if line.strip()]
    if not told:
        return None
    return lambda files, who: acts.note(files, who, case_no, kind, told)


def _file(case_no: str) -> Act | None:
    given = st.file_uploader("File", key="case file", width=420)
    if given is None:
        return None
    name, content = given.name, given.getvalue()
    return lambda files, who: acts.attach(files, who, case_no, name, content)


def _day_known(
    case_no: str, write: Callable[[CaseStore, str, str, date, str], Entry]
) -> Act | None:
    on = _day("case on", "Day")
    reason = _text("case why", "Why", "letter of 9 March")
    if on is None or not reason:
        return None
    return lambda files, who: write(files, who, case_no, on, reason)


def _closing(entries: list[Entry]) -> Act | None:
    reason = _text("case why", "Why", "effect shown")
    if not reason:
        return None
    return lambda files, who: acts.close(files, who, entries[0].case_no, reason)


def _text(name: str, label: str, example: str, width: int = _WORDS) -> str:
    return st.text_input(label, key=state.field(name, ""), placeholder=example, width=width).strip()


def _day(name: str, label: str) -> date | None:
    found: date | None = st.date_input(
        label, key=state.field(name, date.today()), format="YYYY-MM-DD", width=140
    )
    return found
