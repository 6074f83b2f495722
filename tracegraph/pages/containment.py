"""Containment: every hull that carries a suspect or may carry it, and where it is."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from tracegraph.analysis.containment import Containment
from tracegraph.analysis.holding import hold as hold_of
from tracegraph.analysis.on_record import OnRecord
from tracegraph.domain.records import PLACES
from tracegraph.pages import cached, hold, show, state
from tracegraph.pages.asked import Asked
from tracegraph.pages.page import link, page, way_to_hull
from tracegraph.pages.people import people_switch
from tracegraph.pages.waiting import waited
from tracegraph.report.containment import (
    containment_sentences,
    counts_table,
    held_table,
    on_record_sentences,
)
from tracegraph.report.containment_checks import check_sentences
from tracegraph.report.containment_tables import (
    alternatives_table,
    bracket_table,
    outlook_table,
    telling_table,
)
from tracegraph.report.explained import CONTAINMENT
from tracegraph.report.holdlist import CAUTIONS, hold_list_csv, hold_list_xlsx, range_sentence
from tracegraph.store import Store
from tracegraph.store.acts import read_hold_acts

_GRADES = ("recorded", "probable", "possible")
_ALL = "all"


def render(store: Store, asked: Asked) -> None:
    """Draw the page."""
    asked = _which(store, asked)
    reason = state.people_reason()
    if asked.factor is None or asked.level is None:
        show.headline("Which suspect?")
        show.say(["Choose one on the cluster page, or a factor and a level here."])
        link("cluster", "To the cluster", asked)
        return
    definition = asked.definition() if asked.symptom else None
    folder = state.store_folder(asked)
    told = cached.recorded(store, asked.factor, asked.level, reason)
    listed = waited(
        cached.containment(store, asked.factor, asked.level, definition, reason),
        "Listing the hulls that may carry it",
        repr((asked.factor, asked.level, definition, reason is None)),
        lambda: _known(told),
    )
    if listed is None:
        return
    held = hold_of(listed, read_hold_acts(folder))
    found = held.found
    said = containment_sentences(found)
    show.headline(said[0])
    show.say(said[1:])
    st.header("How sure, and where", anchor=False)
    show.table(counts_table(found), "grade-by-place", section=CONTAINMENT)
    st.header("The hulls", anchor=False)
    grades, places = [_ALL, *_GRADES], [_ALL, *PLACES]
    with st.container(horizontal=True, gap="medium", vertical_alignment="bottom"):
        grade = st.selectbox("Grade", grades, **state.viewed("grade", _ALL, grades), width=180)
        place = st.selectbox("Place", places, **state.viewed("place", _ALL, places), width=180)
        show.download(
            lambda: hold_list_xlsx(found), "hold-list.xlsx", "Hold list as Excel", "hold", "primary"
        )
        show.download(
            lambda: hold_list_csv(found), "hold-list.csv", "Hold list as CSV", "hold", "secondary"
        )
    show.table(
        held_table(
            found,
            grade=None if grade == _ALL else grade,
            place=None if place == _ALL else place,
        ),
        "hulls",
        height=420,
    )
    way_to_hull(list(dict.fromkeys(found.hulls["hull_serial"])), asked)
    hold.render(held, folder)
    _checked(found)
    st.header("Ranges of numbers that enclose them", anchor=False)
    show.say([range_sentence(row) for row in found.ranges.to_dict("records")])
    show.aside(CAUTIONS, "cautions")


def _known(told: OnRecord) -> None:
    said = on_record_sentences(told)
    show.first_word(said[0])
    show.say(said[1:])


def _checked(found: Containment) -> None:
    st.header("What checks it, and what is to come", anchor=False)
    show.say(check_sentences(found))
    if found.bracket is not None and len(found.bracket.rows):
        show.table(bracket_table(found), "beside-it")
    if found.forecast is not None:
        show.table(outlook_table(found), "further-claims")
    if len(found.members) > 1:
        show.table(alternatives_table(found), "alternatives")
        show.table(telling_table(found), "hulls-that-tell")


def _which(store: Store, asked: Asked) -> Asked:
    families = cached.families(store, state.people_reason() is not None)
    names = [*families, *([asked.factor] if asked.factor and asked.factor not in families else [])]
    left, right, side = st.columns([0.44, 0.44, 0.12], vertical_alignment="bottom")
    with left:
        factor = st.selectbox(
            "Factor", names, index=None, key=state.field("factor", asked.factor),
            placeholder="part: step: thing",
        )  # fmt: skip
    with right:
        levels = cached.levels(store, factor) if factor in families else []
        level_asked = asked.level if factor == asked.factor else None
        if factor != asked.factor:
            state.forget_field("level")
        known = [*levels, *([level_asked] if level_asked and level_asked not in levels else [])]
        level = st.selectbox(
            "Level", known, index=None, key=state.field("level", level_asked),
            placeholder="lot, mold, band",
        )  # fmt: skip
    with side:
        people_switch()
    asked = replace(asked, factor=factor, level=level)
    state.keep(asked)
    return asked


if __name__ == "__main__":
    page("Containment", render)
