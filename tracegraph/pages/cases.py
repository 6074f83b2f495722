"""Case files: which are open, and one of them from cluster to closed case."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import streamlit as st

from tracegraph.cases import CaseStore, Entry
from tracegraph.domain.errors import CaseFileError
from tracegraph.pages import case_writing, show, state
from tracegraph.pages.asked import Asked
from tracegraph.pages.page import link, page, way_to_hull
from tracegraph.report.casefile import CaseView, case_html, case_list, case_pdf, case_view
from tracegraph.report.casefile.open_cases import open_case_sentences
from tracegraph.report.tables import DisplayTable
from tracegraph.store import Store

_NONE_YET = (
    "No case file yet. A case keeps the definition as it stood, the suspects with their numbers, "
    "what was looked at, decided and done, and whether it worked."
)


def render(store: Store, asked: Asked) -> None:
    """Draw the page."""
    folder = state.store_folder(asked)
    files = state.case_files(folder)
    case_writing.show_told()
    if asked.case is None:
        _list(store, asked, files, folder)
        return
    if files is None or asked.case not in files.numbers():
        raise CaseFileError(
            f"There is no case {asked.case} here. Open the page without it to see the cases there "
            "are."
        )
    _one(store, asked, files, folder, files.entries(asked.case))


def _list(store: Store, asked: Asked, files: CaseStore | None, folder: Path) -> None:
    entries = [] if files is None else [files.entries(number) for number in files.numbers()]
    listed = case_list(entries, date.today())
    if not entries:
        show.headline(_NONE_YET)
    else:
        said = open_case_sentences(listed)
        show.headline(said[0])
        for row in listed.frame[listed.frame["safety"] != ""].to_dict("records"):
            show.alarm(f"{row['case']} {row['title']}: {row['safety']}", f"alarm-{row['case']}")
        st.header("All cases", anchor=False)
        numbers = [str(number) for number in listed.frame["case"]]
        # The notices stand above the table, whole.
        shown = DisplayTable(
            listed.frame.drop(columns="safety"), listed.styles, caption=listed.caption
        )
        key = show.table(shown, "cases", row_chosen=lambda: _choose(numbers))
        st.session_state[_KEY] = key
        with st.container(horizontal=True, vertical_alignment="bottom", gap="medium"):
            number = st.selectbox(
                "Case", numbers, key=state.field("case of list", numbers[0]), width=160
            )
            link("cases", "Open it", replace(asked, case=number))
    st.header("Open a new one", anchor=False)
    if not asked.symptom:
        show.say(["Choose the claims on the Cluster page first; a case keeps that definition."])
        link("cluster", "To the cluster", asked)
        return
    show.say([asked.definition().sentence()])
    case_writing.open_form(store, folder, asked)


_KEY = "table of cases"


def _choose(numbers: list[str]) -> None:
    rows = st.session_state[st.session_state[_KEY]].selection.rows
    if rows:
        state.change(case=numbers[rows[0]])


def _one(store: Store, asked: Asked, files: CaseStore, folder: Path, entries: list[Entry]) -> None:
    view = case_view(entries, date.today())
    for place, line in enumerate(view.safety):
        show.alarm(line, f"alarm-safety-{place}")
    link("cases", "All case files", replace(asked, case=None))
    show.headline(f"{view.case_no}: {view.title}")
    show.say([view.sentence, *view.summary])
    _reports(view, entries)
    st.header("Steps, and what each still lacks", anchor=False)
    show.table(view.steps, "steps")
    st.header("Write into it", anchor=False)
    if view.closed:
        show.say(["It is closed; what is written from now on stands after the closing."])
    case_writing.form(store, folder, entries, asked)
    st.header("Suspects, then and now", anchor=False)
    show.say([view.suspects_remark])
    _rows(view.suspects, "suspects-then-now", "No suspect is kept yet: rank them above.")
    if len(view.evidence.frame):
        show.folded(
            "What inspections and the effect add to each",
            "evidence",
            lambda: _seen(view),
        )
    st.header("Hulls looked at", anchor=False)
    _rows(view.inspections, "inspections", "None yet.")
    st.header("Containment", anchor=False)
    _held(view, asked)
    st.header("Actions", anchor=False)
    _rows(view.actions, "actions", "None is set yet.")
    st.header("Whether it worked", anchor=False)
    show.say(view.effect or ["No effect was checked yet; it needs an action that took effect."])
    st.header("Cost", anchor=False)
    show.say(view.cost)
    if view.cost_by_place is not None:
        show.table(view.cost_by_place, "cost-by-place")
    st.header("Everything that was written", anchor=False)
    show.table(view.entries, "entries", height=320)
    state_of = files.verify(view.case_no)
    show.aside(
        [
            "Each entry carries the hash of the one before. "
            + (
                f"All {state_of.entries} are as they were written."
                if state_of.whole
                else f"The chain is broken at entry {state_of.broken_at}: {state_of.reason}."
            )
        ],
        "chain",
    )


def _seen(view: CaseView) -> None:
    show.table(view.evidence, "evidence")
    show.say(view.evidence_words)


def _rows(shown: DisplayTable, name: str, nothing: str) -> None:
    if len(shown.frame):
        show.table(shown, name)
    else:
        show.say([nothing])


def _held(view: CaseView, asked: Asked) -> None:
    if view.held is None or view.hulls is None:
        show.say(["No list of hulls is kept yet: write one down above, from a suspect."])
        return
    hulls = view.hulls
    show.table(view.held, "held")
    show.folded("Each hull", "hulls", lambda: show.table(hulls, "hulls", height=320))
    way_to_hull([str(one) for one in hulls.frame.iloc[:, 0]], asked)


def _reports(view: CaseView, entries: list[Entry]) -> None:
    today = date.today()
    forms: dict[str, tuple[str, Callable[[], bytes]]] = {
        f"{view.case_no}.pdf": ("Report as PDF", lambda: case_pdf(entries, today, form="steps")),
        f"{view.case_no}.html": (
            "Report as HTML", lambda: case_html(entries, today, form="steps")
        ),
        f"{view.case_no}-summary.pdf": (
            "One page for the manager", lambda: case_pdf(entries, today, form="summary")
        ),
        f"{view.case_no}-8d.pdf": (
            "In 8D order", lambda: case_pdf(entries, today, form="8d")
        ),
    }  # fmt: skip
    with st.container(horizontal=True, gap="small"):
        for name, (label, make) in forms.items():
            show.download(make, name, label, "report", "secondary")


if __name__ == "__main__":
    page("Case files", render)
