"""Claims by period of building and months in service, as a part of the Cluster page."""

from __future__ import annotations

import streamlit as st

from tracegraph.pages import cached, show
from tracegraph.pages.asked import Asked
from tracegraph.report.build_months import (
    against_expected_table,
    build_month_sentences,
    cells_table,
)
from tracegraph.report.charts import triangle_chart
from tracegraph.store import Store

PERIOD, WIDTH = 3, 3


def over_time(store: Store, asked: Asked) -> None:
    """Draw the section."""
    st.header("Over time", anchor=False)
    found = cached.cohorts(store, asked.definition(), PERIOD, WIDTH)
    show.say(build_month_sentences(found))
    if found.months.empty:
        return
    chart = triangle_chart(found)
    show.figure(chart, "build-months")
    show.same_as_table(chart, "build-months")
    show.folded(
        "Each period against hulls followed as long",
        "build-months-expected",
        lambda: show.table(against_expected_table(found), "build-months-expected"),
    )
    show.folded(
        "Every square with the hulls behind it",
        "build-months-cells",
        lambda: show.table(cells_table(found), "build-months-cells", height=420),
    )
