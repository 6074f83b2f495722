"""Where the affected hulls meet: the graph and its table, as a part of the Cluster page."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from tracegraph.analysis.ranking import Ranking
from tracegraph.pages import cached, show, state
from tracegraph.pages.asked import Asked
from tracegraph.report.charts import convergence_chart
from tracegraph.report.charts.convergence import (
    convergence_table,
    mark_names,
    mark_sentence,
    members_table,
)
from tracegraph.report.cluster import graph_levels
from tracegraph.store import Store

_NONE = ""


def meeting(
    store: Store,
    ranking: Ranking,
    hulls: pd.DataFrame,
    asked: Asked,
    row: dict[str, object] | None,
) -> None:
    """Draw the graph; a mark is chosen by a click or in the list, and its lines are listed.

    Parameters
    ----------
    store : Store
        The records.
    ranking : Ranking
        What is ranked; its first levels that go with harm are drawn.
    hulls : DataFrame
        :attr:`~tracegraph.analysis.cluster.Cases.frame`.
    asked : Asked
        Names the mark.
    row : dict or None
        The suspect looked at.
    """
    levels = graph_levels(ranking.frame, row)
    if hulls.empty or not levels:
        return
    st.header("Where the affected hulls meet", anchor=False)
    found = cached.convergence_of(
        store, tuple(hulls["hull_id"].tolist()), tuple(levels), asked.symptom
    )
    names = mark_names(found)
    mark = asked.mark if asked.mark in names else None

    def by_point() -> None:
        points = st.session_state["convergence"]["selection"]["points"]
        if points:
            state.forget_field("mark")
            state.change(mark=str(points[0]["customdata"]))

    def by_list() -> None:
        state.change(mark=st.session_state[state.field("mark", _NONE)] or None)

    left, right = st.columns([0.68, 0.32], gap="medium")
    with left:
        show.figure(convergence_chart(found, mark), "convergence", on_select=by_point)
        show.aside(
            [
                "A line is as wide as the hulls that go that way on record; dotted: the record is "
                "missing."
                + (" Like things are folded into one counted mark." if found.folded else "")
            ],
            "convergence",
        )
    with right:
        st.selectbox(
            "Mark",
            [_NONE, *names],
            key=state.field("mark", mark or _NONE),
            format_func=lambda node: names.get(node, "all lines"),
            on_change=by_list,
            help="Choose here, or click a mark of the figure.",
        )
        if mark is not None:
            show.say([mark_sentence(found, mark)])
        show.table(convergence_table(found, mark), "convergence")
    if found.folded:
        show.folded(
            "What each mark stands for",
            "convergence-members",
            lambda: show.table(members_table(found), "convergence-members"),
        )
