"""Overview: how often, of what, at what cost, and what stands behind it."""

from __future__ import annotations

from datetime import date

import streamlit as st

from tracegraph.domain.definition import CaseDefinition
from tracegraph.pages import cached, show, state
from tracegraph.pages.asked import Asked
from tracegraph.pages.behind import stands_behind
from tracegraph.pages.page import link, page
from tracegraph.report.casefile import case_list
from tracegraph.report.casefile.open_cases import grave_sentences, open_case_sentences
from tracegraph.report.changes import NOTHING_BEFORE, changes_sentences, changes_table
from tracegraph.report.charts import pareto_chart, rates_chart
from tracegraph.report.explained import OVERVIEW
from tracegraph.report.overview import overview_sentences
from tracegraph.report.tables import DisplayTable
from tracegraph.store import Store


def render(store: Store, asked: Asked) -> None:
    """Draw the page."""
    found = cached.record_totals(store)
    symptoms = cached.symptoms(store)
    said = overview_sentences(found, symptoms)
    listed = _case_list(asked)
    for place, line in enumerate(grave_sentences(listed)):
        show.alarm(line, f"alarm-grave-{place}")
    show.headline(said[0])
    show.say(said[1:])
    if symptoms.empty:
        return
    with st.container(key="pair"):
        left, right = st.columns([0.48, 0.52], gap="medium")
    with left:
        st.header("Claims by month of building", anchor=False)
        rates = cached.rates(store, CaseDefinition())
        chart = rates_chart(rates.frame)
        show.figure(chart, "rates")
        show.aside(
            [
                "Hatched, with open points: not all hulls of the month have been followed so long "
                "yet. A hull counts once, with its first claim."
            ]
            + ([f"{rates.undated} hulls have no build date."] if rates.undated else []),
            "rates",
        )
        show.same_as_table(chart, "claim-rates", OVERVIEW)
    with right:
        st.header("Symptoms", anchor=False)
        chart = pareto_chart(symptoms)
        show.figure(chart, "pareto")
        show.aside(
            ["Bar: hulls affected, each counted once. Tick: claim lines. Dot: their cost."],
            "pareto",
        )
        show.same_as_table(chart, "symptoms", OVERVIEW)
    st.header("What stands behind them", anchor=False)
    behind = st.container()
    with st.container(key="pair-words"):
        left, right = st.columns([0.52, 0.48], gap="medium")
    with left:
        st.header("Open case files", anchor=False)
        _open_cases(asked, listed)
    with right:
        st.header("Since the records before", anchor=False)
        _since(store, asked)
    with st.container(key="screen-only"):
        show.aside(
            ["This page prints on one sheet, A4 or Letter (Ctrl and P), from a wide window."],
            "print",
        )
    # Last, since ranking goes on while all else can be read.
    with behind:
        stands_behind(store, asked)


def _case_list(asked: Asked) -> DisplayTable:
    files = state.case_files(state.store_folder(asked))
    entries = [] if files is None else [files.entries(number) for number in files.numbers()]
    return case_list(entries, date.today())


def _open_cases(asked: Asked, listed: DisplayTable) -> None:
    show.say(open_case_sentences(listed))
    if len(listed.frame):
        show.folded("All case files", "cases", lambda: show.table(listed, "cases"))
        link("cases", "To the case files", asked)


def _since(store: Store, asked: Asked) -> None:
    earlier = state.open_before(state.store_folder(asked))
    if earlier is None:
        show.say([NOTHING_BEFORE])
        return
    found = cached.changes_since(earlier, store)
    show.say(changes_sentences(found))
    show.folded(
        "All clusters then and now",
        "then-and-now",
        lambda: show.table(changes_table(found), "then-and-now"),
    )


if __name__ == "__main__":
    page("Overview", render)
