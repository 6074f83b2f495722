"""Measured conditions of the work against the claims, as a part of the Cluster page."""

from __future__ import annotations

import streamlit as st

from tracegraph.pages import cached, show, state
from tracegraph.pages.asked import Asked
from tracegraph.report.charts import condition_chart
from tracegraph.report.conditions import (
    conditions_sentences,
    conditions_table,
    detail_sentences,
    detail_tables,
)
from tracegraph.store import Store


def measured(store: Store, asked: Asked) -> None:
    """Draw the section: the list in words, and one condition from all sides."""
    found = cached.conditions(store, asked.definition())
    show.say(conditions_sentences(found))
    if found.frame.empty:
        return
    show.table(conditions_table(found, None), "conditions", height=320)
    families = found.frame["family"].tolist()
    chosen = st.selectbox(
        "Condition",
        families,
        **state.viewed("condition", families[0], families),
        help="Which measured condition to look at from all sides; the least likely by chance "
        "stands first.",
    )
    if chosen is None:
        return
    one = cached.condition(store, asked.definition(), chosen)
    show.say(detail_sentences(one))
    chart = condition_chart(one)
    show.figure(chart, "condition")
    show.same_as_table(chart, "condition")
    for number, (heading, table) in enumerate(detail_tables(one)):
        st.subheader(heading, anchor=False)
        show.table(table, f"condition-{number}")
