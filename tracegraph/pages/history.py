"""Build history: one hull, found by any of its numbers, against its peers."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from tracegraph.analysis.history import History, HullFacts
from tracegraph.pages import cached, show, state
from tracegraph.pages.asked import Asked
from tracegraph.pages.beside import beside
from tracegraph.pages.page import page
from tracegraph.pages.people import people_switch
from tracegraph.pages.waiting import waited
from tracegraph.report.charts import readings_chart, timeline_chart
from tracegraph.report.explained import HISTORY
from tracegraph.report.history import (
    claims_table,
    genealogy_lines,
    hull_dates,
    hull_headline,
    hull_sentences,
    inspections_table,
    missing_table,
    parts_table,
    photo_sentence,
)
from tracegraph.report.peers import findings_table, review_sentences
from tracegraph.report.peers import readings_table as peer_readings
from tracegraph.store import Store
from tracegraph.store.photos import photo

ALL_PARTS = "all parts"
_PHOTOS = 12


def render(store: Store, asked: Asked) -> None:
    """Draw the page."""
    asked = _which(asked)
    people = state.people_reason() is not None
    if asked.hull is None:
        show.headline("Which hull?")
        show.say(
            [
                "Type a hull, claim, part or component number, a job, or a hull identification "
                "number, as it is written on the paper before you."
            ]
        )
        return
    hull = cached.hull(store, asked.hull)
    reviewed = waited(
        cached.hull_review(store, asked.hull),
        "Reading its records and those of its peers",
        asked.hull,
        lambda: _known(hull),
    )
    if reviewed is None:
        return
    found = reviewed.history
    show.headline(hull_headline(found.hull))
    show.say(hull_sentences(found))
    show.say(review_sentences(reviewed))
    st.header("How it was built", anchor=False)
    chart = timeline_chart(found, people=people)
    show.figure(chart, "timeline")
    show.aside(
        [
            "Each box is one operation; the gap before it is the wait. Hatched: no record, though "
            "hulls of this model have one. ◆: a reading far from its peers."
        ],
        "timeline",
    )
    show.same_as_table(chart, "operations")
    st.header("Out of the ordinary", anchor=False)
    show.table(findings_table(reviewed), "findings")
    show.folded(
        "Each reading with its place among peers and its limits",
        "places",
        lambda: show.table(peer_readings(reviewed), "places", height=420, section=HISTORY),
    )
    _against_peers(found)
    left, right = st.columns(2, gap="large")
    with left:
        st.header("Claims", anchor=False)
        show.table(claims_table(found), "claims")
        st.header("Parts and bought items", anchor=False)
        show.table(parts_table(found), "parts")
    with right:
        st.header("Checks, every attempt", anchor=False)
        show.table(inspections_table(found, people=people), "checks")
        st.header("Missing records", anchor=False)
        show.table(missing_table(found), "missing-records")
    _photos(found)
    beside(store, asked, found)
    st.header("Genealogy", anchor=False)
    show.folded("What went into it", "genealogy", lambda: _genealogy(store, found, people=people))


def _known(hull: HullFacts) -> None:
    show.first_word(hull_headline(hull))
    show.say(hull_dates(hull))


def _which(asked: Asked) -> Asked:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        typed = st.text_input(
            "Hull, claim, part, component, job or hull identification number",
            key=state.field("hull", asked.hull or ""),
            placeholder="as it is written",
        ).strip()
        people_switch()
    asked = replace(asked, hull=typed or None)
    state.keep(asked)
    return asked


def _photos(found: History) -> None:
    """Pictures of checks, where the records name any."""
    named = found.inspections[found.inspections["photo"].notna()]
    if named.empty:
        return

    def draw() -> None:
        folder = state.current_folder()
        with st.container(horizontal=True, gap="medium"):
            for row in named.head(_PHOTOS).to_dict("records"):
                seen = photo(folder, str(row["photo"]))
                with st.container(width=300):
                    said = photo_sentence(row, seen)
                    if seen.jpeg is not None:
                        st.image(seen.jpeg, alt=said)
                    st.text(said)
        if len(named) > _PHOTOS:
            show.aside([f"The first {_PHOTOS} of {len(named)}."], "photos")

    show.folded("Pictures of the checks", "photos", draw)


def _genealogy(store: Store, found: History, *, people: bool) -> None:
    traced = cached.genealogy(store, found.named.id)
    st.code("\n".join(genealogy_lines(traced, people=people)), language=None)


def _against_peers(found: History) -> None:
    st.header("Against its peers", anchor=False)
    lanes = [ALL_PARTS, *dict.fromkeys(found.measures["lane"])]
    lane = st.selectbox("Readings of", lanes, **state.viewed("lane", ALL_PARTS, lanes), width=260)
    chart = readings_chart(found, lane=None if lane == ALL_PARTS else lane)
    show.figure(chart, "readings")
    show.aside(
        [
            "One strip for each reading, condition or wait, the most unusual first: ticks are "
            "peers, the bar their middle 90 %, the diamond this hull."
        ],
        "readings",
    )
    show.same_as_table(chart, "readings", HISTORY)


if __name__ == "__main__":
    page("Build history", render)
