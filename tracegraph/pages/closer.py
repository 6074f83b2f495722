"""One suspect looked at closer, as a part of the Cluster page."""

from __future__ import annotations

import streamlit as st

from tracegraph.analysis.ranking import Ranking
from tracegraph.pages import cached, show, state
from tracegraph.pages.asked import Asked
from tracegraph.report.charts import service_chart
from tracegraph.report.cluster import others_beside
from tracegraph.report.suspect import suspect_sentences
from tracegraph.report.suspect_tables import suspect_tables
from tracegraph.store import Store


def closer(store: Store, ranking: Ranking, asked: Asked, reason: str | None) -> None:
    """Claims over service time, models one by one, and the suspect beside another one.

    Parameters
    ----------
    store : Store
        The records.
    ranking : Ranking
        What is ranked; the first rows are offered as the other suspect.
    asked : Asked
        Names the suspect.
    reason : str or None
        Why families of people are shown.
    """
    assert asked.factor is not None
    assert asked.level is not None
    mine = (asked.factor, asked.level)
    others = {" ".join(other): other for other in others_beside(ranking.frame, mine)}
    chosen = st.selectbox(
        "Tell it from",
        list(others),
        **state.viewed("beside", next(iter(others), ""), others),
        help="Another suspect: which of the two do the claims follow where only one is there?",
    )
    beside = others.get(chosen or "")
    found = cached.examined(store, asked.definition(), mine, beside, reason)
    show.say(suspect_sentences(found))
    chart = service_chart(found.curves)
    show.figure(chart, "service time")
    show.aside(
        [
            "First claims per 100 hulls by months in service, with 95 % bands; the blue curve is "
            "of hulls that carry the suspect and stops where fewer than five are at risk."
        ],
        "service-time",
    )
    for number, (heading, table) in enumerate(suspect_tables(found)):
        st.subheader(heading, anchor=False)
        show.table(table, f"closer-{number}")
    st.subheader("Claims over months in service", anchor=False)
    show.table(chart.table, "service-time", height=320)
