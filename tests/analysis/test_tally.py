"""Counting from arrays kept in memory against counting by SQL."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.plants import random_plant
from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.counting import Counts, count_exposure
from tracegraph.analysis.matched.loading import stored_exposure
from tracegraph.analysis.tally import Totals, count_stored, tally_of_few, tally_of_many
from tracegraph.domain.definition import CaseDefinition
from tracegraph.exposure import exposure_from_frames
from tracegraph.store import Build, Connection, in_memory_build
from tracegraph.store.reader import as_store

FAMILIES = {"deck: gelcoat lot": "material lot", "deck: sprayer": "people", "hull: mold": "mold"}
ANSWERS = st.lists(st.sampled_from(["A", "B", "C", None]), max_size=3, unique=True)
HULLS = st.lists(
    st.tuples(st.tuples(ANSWERS, ANSWERS, ANSWERS), st.booleans(), st.booleans()),
    min_size=1,
    max_size=12,
)
BLISTER = CaseDefinition(
    symptoms=("blister",), cut_off=date(2026, 1, 1), reporting_days=0, landmark_months=12
)


def small_build(hulls) -> Build:
    """Hulls with answers to three questions, affected or not, delivered early or too late."""
    serials = [f"H{number:02d}" for number in range(len(hulls))]
    delivered = [pd.Timestamp("2024-01-01" if early else "2025-12-01") for _, _, early in hulls]
    return exposure_from_frames(
        pd.DataFrame({"hull_serial": serials, "model": "S18", "in_service_on": delivered}),
        pd.DataFrame(
            [
                (serial, family, level)
                for serial, (answers, _, _) in zip(serials, hulls, strict=True)
                for family, levels in zip(FAMILIES, answers, strict=True)
                for level in levels
            ],
            columns=["hull_serial", "family", "level"],
        ),
        pd.DataFrame(
            [
                (f"C{serial}", serial, day, day, "blister")
                for serial, (_, bad, _), day in zip(serials, hulls, delivered, strict=True)
                if bad
            ],
            columns=["claim_no", "hull_serial", "opened_on", "failed_on", "symptom"],
        ),
        pd.DataFrame(
            {"family": list(FAMILIES), "kind": list(FAMILIES.values()), "part": "deck"}
        ).assign(step="", stage=1),
    )


def assert_equal_counts(ours: Counts, theirs: Counts) -> None:
    for name in ("level_id", "family_id", "unknown", "unknown_affected"):
        np.testing.assert_array_equal(getattr(ours, name), getattr(theirs, name))
    for one, other in zip(ours.tables.counts, theirs.tables.counts, strict=True):
        np.testing.assert_array_equal(one, other)


@settings(max_examples=60)
@given(HULLS, st.booleans())
def test_arrays_count_what_sql_counts(hulls, people):
    if not any(bad for _, bad, _ in hulls):
        return
    build = small_build(hulls)
    store = as_store(build)
    with store.session() as session:
        draw_cohort(session, BLISTER)
        by_sql = count_exposure(session, people=people)
        assert_equal_counts(count_stored(store, session, people=people), by_sql)
    build.close()


@given(HULLS, st.integers(0, 2**12 - 1))
def test_few_hulls_and_many_are_counted_alike(hulls, chosen):
    build = small_build([(answers, True, early) for answers, _, early in hulls])
    matrix = stored_exposure(as_store(build)).matrix
    build.close()
    marked = np.array([bool(chosen >> place & 1) for place in range(len(hulls))])
    many, few = tally_of_many(matrix, marked), tally_of_few(matrix, np.flatnonzero(marked))
    for name in ("exposed", "partly", "applies", "complete"):
        np.testing.assert_array_equal(getattr(many, name), getattr(few, name))


def test_a_second_definition_on_the_same_hulls_counts_no_population_again():
    build = random_plant(400, 4, 40, 30, missing=0.2)
    build.execute("UPDATE claim_index SET symptom = 'crack' WHERE claim_id % 2 = 1")
    store = as_store(build)
    with store.session() as session:
        for symptom in ("blister", "crack"):
            asked = CaseDefinition(symptoms=(symptom,), landmark_months=12)
            draw_cohort(session, asked)
            assert_equal_counts(count_stored(store, session), count_exposure(session))
    totals = store.kept("totals of populations", lambda _: None)
    assert isinstance(totals, Totals)
    assert len(totals) == 1


def test_only_so_many_populations_are_kept():
    build = random_plant(50, 2, 6, 5)
    totals = Totals(stored_exposure(as_store(build)).matrix)
    for left_out in range(20):
        population = np.arange(50) != left_out
        assert totals.of(population).exposed.sum() == 2 * 49
    assert len(totals) == 8
    assert totals.of(population) is totals.of(population)


def test_exposure_out_of_order_is_refused():
    build = random_plant(20, 2, 6, 5)
    build.execute("INSERT INTO exposure SELECT * FROM exposure LIMIT 1")
    with pytest.raises(ValueError, match="order of families, levels and hulls"):
        stored_exposure(as_store(build))


def test_whole_numbers_come_in_order(tmp_path):
    build = in_memory_build()
    build.execute("CREATE TEMP TABLE cohort AS SELECT i::INTEGER AS hull_id, 1 AS affected "
                  "FROM range(3000000) AS r(i)")  # fmt: skip
    assert isinstance(build, Connection)
    rows = build.whole_numbers("rank/cohort")
    assert (rows["hull_id"] == np.arange(3_000_000)).all()
