"""From records in a store to the frame of suspects."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.counting import level_names
from tracegraph.analysis.matched.loading import family_days, stored_exposure, stored_population
from tracegraph.analysis.matched.ranking import rank_matched
from tracegraph.domain.definition import CaseDefinition
from tracegraph.exposure import exposure_from_frames
from tracegraph.store import Store
from tracegraph.store.reader import as_store

HULLS = 900
BAD = "L07"


def frames(certainty="confirmed", other_raised=False):
    """Lots of 30 hulls in turn, mixed; one is bad; two of three records kept."""
    rng = np.random.default_rng(11)
    lot = np.empty(HULLS, int)
    lot[np.argsort(np.arange(HULLS) + rng.normal(0, 25, HULLS))] = np.arange(HULLS) // 30
    serial = [f"H{number:04d}" for number in range(HULLS)]
    built = [date(2020, 1, 1) + timedelta(days=number) for number in range(HULLS)]
    hulls = pd.DataFrame(
        {
            "hull_serial": serial,
            "model": rng.choice(["S18", "S22"], HULLS),
            "completed_on": built,
            "in_service_on": built,
        }
    )
    names = pd.Series([f"L{code:02d}" for code in lot]).where(rng.random(HULLS) < 0.9)
    parts = [("deck: gelcoat spray: gelcoat lot", names)]
    parts.append(("deck: mold", pd.Series(rng.choice(["M1", "M2", "M3"], HULLS))))
    weeks = pd.Series([day.strftime("%G-W%V") for day in built])
    parts.append(("deck: gelcoat spray: week", weeks))
    parts.append(("deck: gelcoat spray: operator", pd.Series(rng.choice(list("ABCD"), HULLS))))
    exposure = pd.concat(
        pd.DataFrame({"hull_serial": serial, "family": family, "level": level})
        for family, level in parts
    )
    families = pd.DataFrame(
        {
            "family": [family for family, _ in parts],
            "kind": ["material lot", "mold", "timing", "people"],
        }
    )
    bad = lot == 7
    claims = [_claims(rng, serial, built, np.where(bad, 0.5, 0.02), "blister", certainty)]
    claims.append(
        _claims(rng, serial, built, np.where(bad & other_raised, 0.5, 0.03), "leak", "confirmed")
    )
    last = pd.DataFrame(
        {
            "claim_no": ["Z"],
            "hull_serial": serial[:1],
            "opened_on": [date(2024, 6, 1)],
            "failed_on": [date(2024, 6, 1)],
            "symptom": ["other"],
            "certainty": ["confirmed"],
        }
    )
    return hulls, exposure, pd.concat([*claims, last]), families


def _claims(rng, serial, built, chance, symptom, certainty):
    failed = np.flatnonzero(rng.random(HULLS) < chance)
    days = [built[hull] + timedelta(days=int(rng.integers(30, 500))) for hull in failed]
    return pd.DataFrame(
        {
            "claim_no": [f"{symptom}{hull}" for hull in failed],
            "hull_serial": [serial[hull] for hull in failed],
            "opened_on": days,
            "failed_on": days,
            "symptom": symptom,
            "certainty": certainty,
        }
    )


@pytest.fixture(scope="module")
def store() -> Store:
    return as_store(exposure_from_frames(*frames()))


BLISTER = CaseDefinition(symptoms=("blister",))


def ranked(store, definition=BLISTER, **options):
    with store.session() as session:
        cohort = draw_cohort(session, definition)
        return rank_matched(store, session, cohort, **options)


def named(store, found):
    return found.frame.join(level_names(store)[["family", "level"]])


def test_the_bad_lot_comes_first_at_level_two(store):
    first = named(store, ranked(store)).iloc[0]
    assert (first["level"], first["evidence"], first["round"]) == (BAD, 2, 1)
    assert "stable-missing" in first["rests_on"]
    assert first["p_family"] < 0.05
    assert first["matched_cases"] > first["expected"]


def test_the_same_question_gives_the_same_answer(store):
    pd.testing.assert_frame_equal(ranked(store).frame, ranked(store).frame)


def test_weeks_and_people_take_no_part_until_people_are_asked_for(store):
    families = set(named(store, ranked(store))["family"])
    assert families == {"deck: gelcoat spray: gelcoat lot", "deck: mold"}
    with_people = named(store, ranked(store, people=True))
    assert set(with_people["family"]) == families | {"deck: gelcoat spray: operator"}
    operators = with_people["family"].str.endswith("operator")
    assert (with_people.loc[operators, "evidence"] < 2).all()


def test_confirmed_claims_alone_are_asked_where_not_all_are_confirmed(store):
    assert "stable-confirmed" in ranked(store).frame.iloc[0]["rests_on"]
    only = CaseDefinition(symptoms=("blister",), certainty=("confirmed",))
    assert "stable-confirmed" not in ranked(store, only).frame.iloc[0]["rests_on"]
    unsure = as_store(exposure_from_frames(*frames(certainty="probable")))
    # No confirmed claim carries the lot: nothing to ask.
    assert "stable-confirmed" not in ranked(unsure).frame.iloc[0]["rests_on"]


def test_a_complaint_that_must_be_even_holds_the_lot_back_when_it_is_not(store):
    leak = CaseDefinition(symptoms=("leak",))
    even = ranked(store, controls=(leak,)).frame.iloc[0]
    assert even["evidence"] == 2
    uneven = as_store(exposure_from_frames(*frames(other_raised=True)))
    raised = ranked(uneven, controls=(leak,)).frame.iloc[0]
    assert raised["evidence"] == 1
    assert "controls-raised" in raised["held_back_by"]


def test_no_case_gives_an_empty_frame(store):
    assert not len(
        ranked(
            store,
            CaseDefinition(symptoms=("blister",), models=("S18",), built_from=date(2022, 6, 1)),
        ).frame
    )


def test_exposure_is_read_once(store):
    assert stored_exposure(store) is stored_exposure(store)


def test_population_has_months_margins_and_days(store):
    with store.session() as session:
        draw_cohort(session, BLISTER)
        people = stored_population(session)
    assert len(people) == HULLS
    assert sorted(people.margins) == ["build period", "dealer", "model"]
    assert len(np.unique(people.margins["build period"])) == 5
    assert np.diff(people.built_day).tolist() == [1.0] * (HULLS - 1)
    assert people.case.sum() > 20


def test_without_operations_the_day_of_completion_is_the_clock(store):
    with store.session() as session:
        draw_cohort(session, BLISTER)
        people = stored_population(session)
    assert len(family_days(store, 1, people)) == 1
