from __future__ import annotations

import pandas as pd
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.analysis.containing.holding import ReportCounts, report_counts, state_counts
from tracegraph.domain.holding import HOLD_STATES
from tracegraph.domain.records import PLACES

HULLS = pd.DataFrame(
    [
        ("owner", "D-1", "notified"),
        ("owner", "D-1", "corrected"),
        ("owner", "D-2", "refused"),
        ("owner", "D-2", "unreachable"),
        ("owner", "D-2", "unknown"),
        ("dealer", "D-1", "inspected clear"),
        ("transit", "D-1", "notified"),
        ("dealer", "D-2", "notified"),
        ("dealer", "D-2", "unknown"),
        ("plant", None, "corrected"),
    ],
    columns=["place", "dealer", "state"],
)


def test_counts_that_a_defect_report_asks_for() -> None:
    # D-1 was told of both hulls that it holds, D-2 of one of two.
    assert report_counts(HULLS) == ReportCounts(
        may_contain=10, purchasers_notified=3, dealers_notified=1, dealers=2, corrected=2,
        inspected_clear=1, refused=1, unreachable=1,
    )  # fmt: skip


def test_states_by_place() -> None:
    table = state_counts(HULLS)
    assert table.loc["notified"].to_dict() == {
        "plant": 0, "transit": 1, "dealer": 1, "owner": 1, "total": 3,
    }  # fmt: skip
    assert table["total"].sum() == len(HULLS)


@given(st.lists(st.tuples(st.sampled_from(PLACES), st.sampled_from(HOLD_STATES)), max_size=30))
def test_states_always_add_up(hulls: list[tuple[str, str]]) -> None:
    frame = pd.DataFrame(hulls, columns=["place", "state"]).assign(dealer="D-1")
    table = state_counts(frame)
    assert list(table.index) == list(HOLD_STATES)
    assert table["total"].sum() == len(hulls) == report_counts(frame).may_contain
    assert (table[list(PLACES)].sum(axis=1) == table["total"]).all()
