"""Cluster: define, rank, look, decide."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import streamlit as st

from tracegraph.analysis.cluster import Cases
from tracegraph.analysis.ranking import Ranking
from tracegraph.pages import cached, show, state
from tracegraph.pages.asked import Asked
from tracegraph.pages.closer import closer
from tracegraph.pages.measured import measured
from tracegraph.pages.meeting import meeting
from tracegraph.pages.over_time import over_time
from tracegraph.pages.page import link, page, way_to_hull
from tracegraph.pages.sentence import definition_sentence
from tracegraph.pages.waiting import waited
from tracegraph.report.casefile.on_file import on_file
from tracegraph.report.charts import ladder_chart, ladder_steps, strip_chart, suspects_chart
from tracegraph.report.charts.suspects import Measure
from tracegraph.report.cluster import (
    cases_sentence,
    cases_table,
    first_suspect,
    row_of,
)
from tracegraph.report.evidence import (
    definitions_words,
    evidence_answer,
    evidence_beside,
    evidence_table,
    folded,
)
from tracegraph.report.explained import COMPARED, EVIDENCE, EXPOSURE, PLAIN
from tracegraph.report.pairs import pairs_sentences, pairs_table
from tracegraph.report.reading import reading
from tracegraph.report.tables import beside_table, left_out_table, suspects_table
from tracegraph.report.words import REFER_TODAY, answer, full_sentence, ladder
from tracegraph.store import Store

_ORDERS = {
    "evidence": "evidence at matched months in service",
    "fisher": "Fisher's exact test on the plain table",
}

# Suspects in the table beside the figure; all levels are further down.
SHOWN = 15


def render(store: Store, asked: Asked) -> None:
    """Draw the page."""
    asked = definition_sentence(asked, cached.words(store))
    reason = state.people_reason()
    cases = cached.cases(store, asked.definition())
    if cases.safety_class == 1:
        show.alarm(REFER_TODAY)
    ranking = waited(
        cached.ranking(store, asked.definition(), reason, asked.order, asked.control),
        "Ranking what the affected hulls share",
        repr((asked.definition(), asked.order, asked.control, reason is None)),
        lambda: _known(cases),
    )
    if ranking is None:
        way_to_hull(list(dict.fromkeys(cases.frame["hull_serial"])), asked)
        return
    said = (
        answer(ranking, safety_class=cases.safety_class)
        if ranking.verdict is None
        else evidence_answer(ranking, safety_class=cases.safety_class)
    )
    show.headline(said.headline)
    show.say(said.sentences)
    show.say(on_file(state.case_files(state.store_folder(asked)), ranking))
    show.aside(
        [
            f"Who is compared: {ladder(ranking.cohort.ladder)}. {cases_sentence(cases.frame)}",
            *map(full_sentence, (*ranking.cohort.remarks, *ranking.remarks)),
            *_tried(store, ranking, asked),
            *(text for text in said.cautions if text != REFER_TODAY),
        ],
        "cautions",
    )
    if ranking.frame.empty:
        return
    asked, row = _chosen(ranking, asked)
    _compared(ranking, row)
    _suspects(ranking, asked, row)
    if ranking.verdict is not None:
        show.folded(
            "Two together: pairs that say more than their halves",
            "pairs",
            lambda: _pairs(store, asked, reason),
        )
    _suspect(store, ranking, asked, row, reason)
    meeting(store, ranking, cases.frame, asked, row)
    over_time(store, asked)
    st.header("Measured conditions", anchor=False)
    show.folded(
        "Temperatures, humidity, film, waits and mold pulls, as measured",
        "measured",
        lambda: measured(store, asked),
    )
    _affected(cases, asked)
    show.folded("All levels", "all-levels", lambda: _all_levels(ranking))


def _known(cases: Cases) -> None:
    """What is known before anything is ranked: who is affected, and who is compared."""
    show.first_word(cases_sentence(cases.frame))
    show.figure(ladder_chart(ladder_steps(cases.ladder)), "ladder-first")
    show.table(cases_table(cases), "affected-first", height=320, caption=False)


def _affected(cases: Cases, asked: Asked) -> None:
    st.header("Affected hulls", anchor=False)
    show.table(cases_table(cases), "affected-hulls")
    way_to_hull(list(dict.fromkeys(cases.frame["hull_serial"])), asked)


def _tried(store: Store, ranking: Ranking, asked: Asked) -> list[str]:
    tried = cached.definitions_tried(store, asked.definition())
    findings = () if ranking.verdict is None else ranking.verdict.findings
    return [definitions_words(tried, findings[0].p_family if findings else float("nan"))]


def _order(asked: Asked) -> None:
    """The control that changes what suspects are sorted by."""

    def change() -> None:
        state.forget_field("suspect")
        state.change(
            order=st.session_state[state.field("order", asked.order)], factor=None, mark=None
        )

    st.selectbox(
        "Sorted by",
        list(_ORDERS),
        key=state.field("order", asked.order),
        format_func=lambda order: _ORDERS[order],
        on_change=change,
        width=420,
    )


def _chosen(ranking: Ranking, asked: Asked) -> tuple[Asked, dict[str, Any]]:
    """The suspect asked for, or the first one where none is or it is not ranked."""
    row = row_of(ranking.frame, asked.factor, asked.level)
    if row is None:
        row = first_suspect(ranking.frame)
        asked = replace(asked, factor=str(row["family"]), level=str(row["level"]))
        state.keep(asked)
    return asked, row


def _compared(ranking: Ranking, row: dict[str, Any]) -> None:
    st.header("Who is compared", anchor=False)
    chart = ladder_chart(ladder_steps(ranking.cohort.ladder, row))
    show.figure(chart, "ladder")
    show.same_as_table(chart, "ladder", COMPARED)
    show.folded(
        "Who is left out",
        "left-out",
        lambda: show.table(left_out_table(ranking.cohort.left_out), "left-out"),
    )


def _suspects(ranking: Ranking, asked: Asked, row: dict[str, Any]) -> None:
    """The table, the figure and the list from which a suspect is chosen."""
    st.header("Suspects", anchor=False)
    _order(asked)
    by_evidence = ranking.verdict is not None
    rows = folded(ranking.frame) if by_evidence else ranking.frame
    top = rows.head(SHOWN)
    rank = int(row["rank"])
    place = int((rows["rank"] < rank).sum())
    keys: dict[str, str] = {}

    def choose(number: int) -> None:
        chosen = ranking.frame.iloc[number - 1]
        state.forget_field("suspect")
        state.forget_field("beside")
        state.forget_field("mark")
        state.change(factor=str(chosen["family"]), level=str(chosen["level"]), mark=None)

    def by_row() -> None:
        rows = st.session_state[keys["table"]]["selection"]["rows"]
        if rows:
            choose(int(top["rank"].iloc[rows[0]]))

    def by_point() -> None:
        points = st.session_state["suspects figure"]["selection"]["points"]
        if points:
            choose(int(points[0]["customdata"]))

    left, right = st.columns([0.64, 0.36], gap="small")
    shown = (evidence_beside if by_evidence else beside_table)(rows, SHOWN)
    with left:
        keys["table"] = show.table(
            shown,
            "suspects",
            row_chosen=by_row,
            chosen=place if place < len(top) else None,
            height=35 * (len(top) + 1) + 3,
            section=EVIDENCE if by_evidence else PLAIN,
        )
    with right:
        measure: Measure = "rate_ratio" if by_evidence else "risk_ratio"
        chart = suspects_chart(rows, SHOWN, names=False, measure=measure)
        show.figure(chart, "suspects figure", on_select=by_point)
        what = "Rate ratio at matched months in service" if by_evidence else "Risk ratio"
        show.aside([f"{what} with its 95 % interval; rows as in the table, by rank."], "ratio")
    listed = ranking.frame.head(max(100, rank))
    names = dict(zip(listed["rank"], listed["family"] + " " + listed["level"], strict=True))

    def by_list() -> None:
        choose(int(st.session_state[state.field("suspect", rank)]))

    st.selectbox(
        "Look at",
        list(names),
        key=state.field("suspect", rank),
        format_func=lambda number: f"{number}. {names[number]}",
        on_change=by_list,
        help="Choose here, by a row of the table (arrow keys, then Shift and Space), or by a dot "
        "of the figure.",
    )


def _pairs(store: Store, asked: Asked, reason: str | None) -> None:
    frame = cached.pairs(store, asked.definition(), reason)
    show.say(pairs_sentences(frame))
    show.table(pairs_table(frame), "pairs")


def _suspect(
    store: Store, ranking: Ranking, asked: Asked, row: dict[str, Any], reason: str | None
) -> None:
    st.header("Where it lies in the order of building", anchor=False)
    show.say([reading(row)])
    laid_out = cached.strip(
        store, asked.definition(), str(row["family"]), str(row["level"]), reason
    )
    chart = strip_chart(laid_out)
    show.figure(chart, "strip")
    show.aside(
        [
            "Each dot is a hull of the comparison, filled when affected; the bar marks when "
            "hulls carry the level."
        ],
        "strip",
    )
    with st.container(horizontal=True, gap="medium"):
        link("containment", "Contain it: every hull that carries it", asked)
        link("cases", "Case files: keep what is found", replace(asked, case=None))
    show.same_as_table(chart, "build-order", EXPOSURE)
    show.folded(
        "Look closer: service time, models, and beside another suspect",
        "closer",
        lambda: closer(store, ranking, asked, reason),
    )


def _all_levels(ranking: Ranking) -> None:
    show.table(suspects_table(ranking.frame, None), "all-levels", height=420)
    if ranking.verdict is not None:
        scored = ranking.frame[ranking.frame["score"].notna()]
        show.table(evidence_table(scored, None), "all-scored", height=420)


if __name__ == "__main__":
    page("Cluster", render)
