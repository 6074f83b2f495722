"""One hull beside another, or beside unaffected hulls that are like it."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from tracegraph.analysis.history import History
from tracegraph.domain.definition import CaseDefinition
from tracegraph.pages import cached, show, state
from tracegraph.pages.asked import Asked
from tracegraph.report.comparison import apart_table, comparison_sentences, shared_table
from tracegraph.report.contrast import contrast_sentences, contrast_table, pairs_table
from tracegraph.store import Store


def beside(store: Store, asked: Asked, found: History) -> None:
    """Draw this part of the Build history page.

    Parameters
    ----------
    store : Store
        The open store.
    asked : Asked
        What the page shows.
    found : History
        The hull looked at.
    """
    st.header("Beside other hulls", anchor=False)
    with st.container(horizontal=True, vertical_alignment="bottom", gap="medium"):
        typed = st.text_input(
            "Another hull",
            key=state.field("beside", asked.beside or ""),
            placeholder="as it is written",
            width=260,
        ).strip()
    state.keep(replace(asked, beside=typed or None))
    if typed:
        _another(store, found, typed)
    symptoms = sorted(found.claims["symptom"].dropna().unique())
    if symptoms:
        show.folded(
            "Beside unaffected hulls of the same model, built nearest",
            "unaffected",
            lambda: _unaffected(store, found, symptoms),
        )


def _another(store: Store, found: History, typed: str) -> None:
    compared = cached.comparison(store, (found.named.id, typed), state.people_reason())
    show.say(comparison_sentences(compared))
    show.table(apart_table(compared), "apart", height=320)
    show.folded("What they share", "shared", lambda: show.table(shared_table(compared), "shared"))


def _unaffected(store: Store, found: History, symptoms: list[str]) -> None:
    symptom = st.selectbox(
        "With claims of", symptoms, key=state.field("beside symptom", symptoms[0]), width=260
    )
    definition = CaseDefinition(symptoms=(str(symptom),))
    compared = cached.contrasted(store, definition, (found.named.id,), state.people_reason())
    show.say(contrast_sentences(compared))
    show.table(pairs_table(compared), "matched")
    show.table(contrast_table(compared, top=20), "apart-from-unaffected")
