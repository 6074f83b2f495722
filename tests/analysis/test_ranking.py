"""The ranking of a store against a second road: pandas counts and scipy's tests."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import false_discovery_control, fisher_exact

from tests.support.plants import random_plant
from tracegraph.analysis.ranking import rank, rank_frames
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError, FlatTableError
from tracegraph.store.reader import as_store

DEFINITION = CaseDefinition(
    symptoms=("blister",), cut_off=date(2026, 1, 1), reporting_days=0, landmark_months=12
)


def frames(
    answers: list[tuple[str | None, ...]], affected: list[bool]
) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """Hulls, exposure and claims of one family "deck: gelcoat lot"."""
    serials = [f"H{i:02d}" for i in range(len(answers))]
    hulls = pd.DataFrame(
        {"hull_serial": serials, "model": "S18", "in_service_on": pd.Timestamp("2024-01-01")}
    )
    exposure = pd.DataFrame(
        [
            {"hull_serial": serial, "family": "deck: gelcoat lot", "level": level}
            for serial, levels in zip(serials, answers, strict=True)
            for level in levels
        ],
        columns=["hull_serial", "family", "level"],
    )
    claims = pd.DataFrame(
        [
            {
                "claim_no": f"C{serial}",
                "hull_serial": serial,
                "opened_on": pd.Timestamp("2024-06-01"),
                "failed_on": pd.Timestamp("2024-06-01"),
                "symptom": "blister",
            }
            for serial, bad in zip(serials, affected, strict=True)
            if bad
        ],
        columns=["claim_no", "hull_serial", "opened_on", "failed_on", "symptom"],
    )
    return hulls, exposure, claims


def by_hand(
    answers: list[tuple[str | None, ...]], affected: list[bool]
) -> dict[str, tuple[int, ...]]:
    """a, b, c, d, unknown of each level by the rule of three answers."""
    levels = {level for row in answers for level in row if level is not None}
    counts = {}
    for level in levels:
        a = b = c = d = unknown = 0
        for row, bad in zip(answers, affected, strict=True):
            if level in row:
                a, b = a + bad, b + (not bad)
            elif None in row:
                unknown += 1
            elif row:
                c, d = c + bad, d + (not bad)
        counts[level] = (a, b, c, d, unknown)
    return counts


hull_answers = st.lists(
    st.tuples(
        st.lists(st.sampled_from(["A", "B", "C", None]), max_size=3).map(
            lambda x: tuple(dict.fromkeys(x))
        ),
        st.booleans(),
    ),
    min_size=2,
    max_size=14,
)


@settings(max_examples=40)
@given(hull_answers)
def test_counts_and_tests_against_pandas_and_scipy(
    hulls: list[tuple[tuple[str | None, ...], bool]],
) -> None:
    answers, affected = [row for row, _ in hulls], [bad for _, bad in hulls]
    if not any(affected):
        return
    ranked = rank_frames(*frames(answers, affected), DEFINITION).frame
    expected = by_hand(answers, affected)
    assert set(ranked["level"]) == set(expected)
    for row in ranked.to_dict("records"):
        a, b, c, d, unknown = expected[row["level"]]
        assert (row["affected_exposed"], row["exposed"]) == (a, a + b)
        assert (row["affected_unexposed"], row["unexposed"]) == (c, c + d)
        assert row["unknown"] == unknown
        if min(a + b, c + d, a + c, b + d) == 0:
            assert not row["testable"]
            assert np.isnan(row["p_fisher"])
        else:
            assert row["p_fisher"] == pytest.approx(fisher_exact([[a, b], [c, d]]).pvalue, rel=1e-9)
            assert row["p_harm"] == pytest.approx(
                fisher_exact([[a, b], [c, d]], alternative="greater").pvalue, rel=1e-9
            )
    assert list(ranked["rank"]) == list(range(1, len(ranked) + 1))


def test_repeated_rows_and_row_order_change_nothing() -> None:
    answers = [("A",)] * 5 + [("B",)] * 6 + [("A", "B")] * 2 + [(None,)] * 2
    affected = [True, True, True, False, False] + [False] * 6 + [True, False] + [True, False]
    hulls, exposure, claims = frames(answers, affected)
    first = rank_frames(hulls, exposure, claims, DEFINITION).frame
    twice = pd.concat([exposure, exposure]).sample(frac=1, random_state=1)
    again = rank_frames(
        hulls.sample(frac=1, random_state=2), twice, pd.concat([claims, claims]), DEFINITION
    ).frame
    pd.testing.assert_frame_equal(first, again)


def test_q_is_benjamini_hochberg_over_what_can_be_tested() -> None:
    build = random_plant(80, 4, 100, 10, seed=4)
    frame = rank(as_store(build), CaseDefinition(symptoms=("blister",), landmark_months=24)).frame
    tried = frame["testable"] & ~frame["thin"]
    assert tried.any()
    assert (~tried).any()
    expected = false_discovery_control(frame.loc[tried, "p_fisher"].to_numpy(), method="bh")
    assert frame.loc[tried, "q_bh"].to_numpy() == pytest.approx(expected, rel=1e-12)
    assert frame.loc[~tried, "q_bh"].isna().all()


def test_lots_of_one_hull_each_are_too_thin_not_quietly_tested() -> None:
    answers = [(f"L{i}",) for i in range(50)]
    affected = [i < 5 for i in range(50)]
    ranking = rank_frames(*frames(answers, affected), DEFINITION)
    assert ranking.levels == 0
    assert ranking.frame["thin"].all()


def test_harm_before_protection_however_strong() -> None:
    answers = [("good",)] * 40 + [("bad",)] * 8
    affected = [False] * 40 + [True] * 4 + [False] * 4
    frame = rank_frames(*frames(answers, affected), DEFINITION).frame
    assert list(frame["level"]) == ["bad", "good"]
    assert list(frame["direction"]) == ["harm", "protective"]


def test_no_affected_hull_and_all_affected_are_not_testable() -> None:
    for affected in ([True] * 4, [True] + [False] * 3):
        answers = [("A",)] * 4
        frame = rank_frames(*frames(answers, affected), DEFINITION).frame
        assert not frame["testable"].any()


def test_family_that_does_not_apply_leaves_the_hull_out_of_that_family() -> None:
    answers: list[tuple[str | None, ...]] = [("A",), ("B",), (), ()]
    frame = rank_frames(*frames(answers, [True, False, False, False]), DEFINITION).frame
    row = frame.set_index("level").loc["A"]
    assert row["exposed"] + row["unexposed"] + row["unknown"] == 2


def test_people_are_hidden_until_a_reason_is_given() -> None:
    build = random_plant(60, 2, 6, 10)
    build.execute("UPDATE families SET kind = 'people' WHERE family_id = 2")
    store = as_store(build)
    definition = CaseDefinition(symptoms=("blister",), landmark_months=24)
    hidden = rank(store, definition)
    assert "people" not in set(hidden.frame["kind"])
    shown = rank(store, definition, people_reason="training records are being checked")
    assert "people" in set(shown.frame["kind"])
    assert shown.levels > hidden.levels
    with pytest.raises(DefinitionError, match="reason"):
        rank(store, definition, people_reason="  ")


def test_tiny_p_values_keep_their_order() -> None:
    # 900/0 against 0/2700: log10 p -877.375; 899/1 against 1/2699: -870.989.
    answers = [("A",)] * 900 + [("B",)] * 2700
    affected = [True] * 900 + [False] * 2700
    hulls, exposure, claims = frames(answers, affected)
    second = exposure.assign(family="deck: resin lot")
    second.loc[0, "level"], second.loc[3000, "level"] = "B", "A"
    frame = rank_frames(hulls, pd.concat([exposure, second]), claims, DEFINITION).frame
    top = frame[frame["direction"] == "harm"]
    assert list(top["family"]) == ["deck: gelcoat lot", "deck: resin lot"]
    assert top["log10_p_fisher"].to_numpy() == pytest.approx([-877.375, -870.989], abs=5e-4)


def test_frames_without_a_needed_column_say_which() -> None:
    hulls, exposure, claims = frames([("A",), ("B",)], [True, False])
    with pytest.raises(FlatTableError, match="lacks level"):
        rank_frames(hulls, exposure.drop(columns="level"), claims, DEFINITION)
    with pytest.raises(FlatTableError, match="comes twice"):
        rank_frames(pd.concat([hulls, hulls]), exposure, claims, DEFINITION)


def test_order_of_evidence_keeps_every_row_of_the_plain_order() -> None:
    build = random_plant(300, 4, 60, 30, seed=5)
    store = as_store(build)
    definition = CaseDefinition(symptoms=("blister",), landmark_months=24)
    plain = rank(store, definition).frame
    evidence = rank(store, definition, order="evidence").frame
    assert set(evidence["level_id"]) == set(plain["level_id"])
    scored = evidence["score"].dropna()
    assert scored.is_monotonic_decreasing
    assert len(scored) == scored.index[-1] + 1
    with pytest.raises(DefinitionError, match="fisher or evidence"):
        rank(store, definition, order="alphabet")  # type: ignore[arg-type]  # the point of the test
