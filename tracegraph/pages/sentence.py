"""The case definition as a sentence with its controls in place."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from tracegraph.domain.definition import CERTAINTY_ORDER
from tracegraph.pages import state
from tracegraph.pages.asked import Asked
from tracegraph.pages.people import people_switch

_SURE: dict[str, tuple[str, ...]] = {
    "confirmed or probable": CERTAINTY_ORDER[:2],
    "confirmed": CERTAINTY_ORDER[:1],
    "confirmed, probable or possible": CERTAINTY_ORDER,
}
_AUTO = 0
_LANDMARKS = (_AUTO, 1, 3, 6, 9, 12, 15, 18, 21, 24, 30, 36, 48, 60)


def definition_sentence(asked: Asked, words: dict[str, list[str]]) -> Asked:
    """Show the definition; return it as the reader changed it.

    Parameters
    ----------
    asked : Asked
        What was asked so far.
    words : dict of str to list of str
        From :func:`~tracegraph.analysis.cluster.choices`.

    Returns
    -------
    Asked
        Also kept in the session and in the address.
    """
    with st.container(horizontal=True, vertical_alignment="center", key="sentence", gap="small"):
        st.text("Claims of")
        symptom = _one_of("symptom", asked.symptom, words["symptom"], "any symptom", 210)
        st.text("in")
        zone = _one_of("zone", asked.zone, words["zone"], "any zone", 160)
        st.text("on")
        model = st.multiselect(
            "Models",
            _with(words["model"], asked.model),
            key=state.field("model", list(asked.model)),
            placeholder="all models",
            label_visibility="collapsed",
            width=190,
        )
        plant = _plants(asked.plant, words["plant"])
        st.text("built from")
        built_from = st.date_input(
            "Built from", None, key=state.field("from", asked.built_from),
            label_visibility="collapsed", width=135, format=asked.formats.day_pattern,
        )  # fmt: skip
        st.text("to")
        built_to = st.date_input(
            "Built to", None, key=state.field("to", asked.built_to),
            label_visibility="collapsed", width=135, format=asked.formats.day_pattern,
        )  # fmt: skip
        certainty = st.selectbox(
            "Certainty",
            list(_SURE),
            key=state.field("certainty", _said(asked.certainty)),
            label_visibility="collapsed",
            width=230,
        )
        st.text(", up to")
        landmark = st.selectbox(
            "Months in service",
            sorted({*_LANDMARKS, asked.landmark or _AUTO}),
            key=state.field("landmark", asked.landmark or _AUTO),
            format_func=lambda months: "auto" if months == _AUTO else str(months),
            label_visibility="collapsed",
            width=90,
        )
        st.text("months in service.")
        control = _controls(symptom, asked.control, words["symptom"])
        people_switch()
    changed = replace(
        asked,
        symptom=symptom,
        zone=zone,
        model=tuple(model),
        plant=plant,
        built_from=built_from,
        built_to=built_to,
        certainty=_SURE[certainty],
        landmark=landmark or None,
        control=control,
    )
    if changed.definition() != asked.definition():
        # Another cluster has other suspects.
        changed = replace(changed, factor=None, level=None, mark=None)
    state.keep(changed)
    return changed


def _one_of(
    name: str, chosen: tuple[str, ...], known: list[str], anything: str, width: int
) -> tuple[str, ...]:
    options = ["", *_with(known, chosen)]
    word = st.selectbox(
        name.capitalize(),
        options,
        key=state.field(name, chosen[0] if chosen else ""),
        format_func=lambda option: option or anything,
        label_visibility="collapsed",
        width=width,
    )
    return (word,) if word else ()


def _controls(
    symptom: tuple[str, ...], chosen: tuple[str, ...], known: list[str]
) -> tuple[str, ...]:
    """Symptoms that cannot share the cause; they are asked for beside one symptom only."""
    if not symptom:
        return ()
    apart = tuple(word for word in chosen if word not in symptom)
    if apart != chosen:
        state.forget_field("control")
    st.text("Cannot share its cause:")
    controls = st.multiselect(
        "Controls",
        [word for word in _with(known, apart) if word not in symptom],
        key=state.field("control", list(apart)),
        placeholder="no control",
        label_visibility="collapsed",
        width=190,
    )
    return tuple(controls)


def _plants(chosen: tuple[str, ...], known: list[str]) -> tuple[str, ...]:
    """Plants asked for; there is nothing to choose where all hulls come from one."""
    if len(known) < 2 and not chosen:
        return ()
    st.text("from")
    plants = st.multiselect(
        "Plants",
        _with(known, chosen),
        key=state.field("plant", list(chosen)),
        placeholder="all plants",
        label_visibility="collapsed",
        width=190,
    )
    return tuple(plants)


def _with(known: list[str], chosen: tuple[str, ...]) -> list[str]:
    """The known words, and what the address asks for although the records do not know it."""
    return known + [word for word in chosen if word not in known]


def _said(certainty: tuple[str, ...]) -> str:
    for text, words in _SURE.items():
        if set(words) == set(certainty):
            return text
    return next(iter(_SURE))
