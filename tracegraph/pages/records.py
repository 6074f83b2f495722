"""Records: what came in, what was set aside, and how well it hangs together."""

from __future__ import annotations

import streamlit as st

from tracegraph.analysis.records_state import set_aside_rows
from tracegraph.pages import cached, loading, near, show, state
from tracegraph.pages.asked import Asked
from tracegraph.pages.page import page
from tracegraph.pages.waiting import waited
from tracegraph.report.charts import completeness_chart
from tracegraph.report.explained import RECORDS
from tracegraph.report.records import (
    amount_sentence,
    cleaned_table,
    fields_table,
    ledger_table,
    links_table,
    months_table,
    poorest_hulls_table,
    questions_table,
    reasons_table,
    records_sentences,
    score_sentence,
    set_aside_table,
)
from tracegraph.report.set_aside_files import set_aside_archive
from tracegraph.store import Store

PAGE_ROWS = 200
_ALL = "all files"


def render(store: Store, asked: Asked) -> None:
    """Draw the page."""
    folder = state.store_folder(asked)
    looked = waited(
        cached.state_of_records(store),
        "Looking at what is missing in the records",
        "records",
        lambda: show.first_word(amount_sentence(cached.record_totals(store))),
    )
    if looked is None:
        return
    found, score = looked
    said = records_sentences(found)
    show.headline(said[0])
    show.say([score_sentence(score), *said[1:]])
    if not loading.watch(folder):
        show.folded("Load more records", "load", lambda: loading.offer(folder))
    show.say([str(text) for text in found.remarks["text"]])
    st.header("Files", anchor=False)
    show.table(ledger_table(found), "ledger")
    st.header("Set aside", anchor=False)
    show.table(reasons_table(found), "set-aside-reasons")
    total = int(found.reasons["rows"].sum())
    if total:
        files = sorted(set(found.reasons["file"]))
        show.download(
            lambda: set_aside_archive(store),
            "set-aside.zip",
            "Files to mend",
            "set-aside",
            "secondary",
        )
        show.folded("The rows themselves", "rows", lambda: _whole_rows(store, files, total))
    st.header("Links between records", anchor=False)
    show.table(links_table(found), "links", height=35 * (len(found.links) + 1) + 3)
    near.render(store, state.store_folder(asked))
    st.header("Stored otherwise than written", anchor=False)
    show.table(cleaned_table(found), "cleaned")
    st.header("How much of what should be there is there", anchor=False)
    chart = completeness_chart(score)
    show.figure(chart, "completeness")
    show.aside(
        ["Darker: more of the records expected in that month are missing."],
        "completeness",
    )
    show.same_as_table(chart, "missing-by-month", RECORDS)
    left, right = st.columns(2, gap="large")
    with left:
        show.table(months_table(score), "score-by-month", height=320)
    with right:
        show.table(poorest_hulls_table(score), "poorest-hulls", height=320)
    st.header("What the records answer", anchor=False)
    show.table(questions_table(found), "questions", height=420)
    show.folded(
        "Columns and how many rows fill them",
        "columns",
        lambda: show.table(fields_table(found), "columns", height=420),
    )


def _whole_rows(store: Store, files: list[str], total: int) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        names = [_ALL, *files]
        file = st.selectbox("File", names, **state.viewed("file", _ALL, names), width=320)
        pages = max(1, -(-total // PAGE_ROWS))
        number = st.number_input(
            f"Page of {pages}", 1, pages, **state.viewed("page", 1, range(1, pages + 1)), width=140
        )
    rows = set_aside_rows(
        store,
        file=None if file == _ALL else file,
        limit=PAGE_ROWS,
        offset=PAGE_ROWS * (int(number) - 1),
    )
    show.table(set_aside_table(rows), "set-aside-rows")


if __name__ == "__main__":
    page("Records", render)
