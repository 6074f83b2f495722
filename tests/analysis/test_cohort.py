"""Who counts as affected and who was at risk, by hand."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.records import Row, build_of
from tracegraph.analysis.cohort import Cohort, best_landmark, draw_cohort
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError, UnknownNameError
from tracegraph.linkage import link_records
from tracegraph.store import Build

BLISTER = CaseDefinition(symptoms=("blister",), cut_off=date(2026, 1, 31), reporting_days=31)


def hull(serial: str, in_service_on: str | None = "2025-01-01", **more: object) -> Row:
    return {
        "hull_serial": serial,
        "model": "S18",
        "completed_on": "2024-12-01",
        "shipped_on": "2024-12-20",
        "in_service_on": in_service_on,
        **more,
    }


def claim(serial: str, failed_on: str | None, **more: object) -> Row:
    return {
        "claim_no": f"C-{serial}-{failed_on}",
        "hull_serial": serial,
        "failed_on": failed_on,
        "opened_on": failed_on,
        "symptom": "blister",
        **more,
    }


def drawn(definition: CaseDefinition, **tables: list[Row]) -> tuple[Cohort, dict[str, int]]:
    build = build_of(**tables)
    link_records(build)
    cohort = draw_cohort(build, definition)
    return cohort, members(build)


def members(build: Build) -> dict[str, int]:
    return dict(
        build.rows("SELECT hull_serial, affected FROM cohort JOIN hull_index USING (hull_id)")
    )


def test_landmark_table_counts_cases_by_the_landmark_among_hulls_followed_to_it() -> None:
    definition = BLISTER.resolved(landmark_months=6)
    cohort, found = drawn(
        definition,
        hulls=[
            hull("early"),
            hull("late"),
            hull("well"),
            hull("young", "2025-08-01"),
            hull("unsold", None, place="dealer"),
            hull("on the day", "2025-07-01"),
        ],
        claims=[
            claim("early", "2025-07-01"),  # six months to the day
            claim("late", "2025-07-02"),
            claim("young", "2025-09-01"),
        ],
    )
    # Followed until 2025-12-31: "on the day" lacks one day of six months.
    assert found == {"early": 1, "late": 0, "well": 0}
    assert (cohort.affected, cohort.at_risk) == (1, 3)
    assert cohort.left_out["hulls followed for less than 6 months"] == 2
    assert cohort.left_out["hulls not delivered"] == 1
    assert cohort.left_out["affected hulls that the landmark leaves out"] == 2


def test_default_landmark_keeps_the_most_cases() -> None:
    hulls = [hull(f"H{i}") for i in range(10)]
    claims = [claim("H0", "2025-01-20"), claim("H1", "2025-05-20"), claim("H2", "2025-10-20")]
    cohort, _ = drawn(BLISTER, hulls=hulls, claims=claims)
    assert cohort.definition.landmark_months == 10
    assert cohort.affected == 3


@given(
    st.lists(
        st.tuples(st.integers(0, 30), st.integers(0, 40), st.integers(1, 5)),
        min_size=1,
        max_size=30,
    )
)
def test_best_landmark_against_trying_every_month(rows: list[tuple[int, int, int]]) -> None:
    months = pd.DataFrame(rows, columns=["case_month", "follow_months", "hulls"]).astype("Int64")

    def kept(landmark: int) -> int:
        return sum(n for came, left, n in rows if came <= landmark <= left)

    assert kept(best_landmark(months)) == max(kept(month) for month in range(1, 42))


def test_certainty_solicited_and_delivery_decide_what_counts() -> None:
    hulls = [hull(f"H{i}") for i in range(6)]
    cohort, found = drawn(
        BLISTER.resolved(landmark_months=8),
        hulls=hulls,
        claims=[
            claim("H0", "2025-03-01", certainty="possible"),
            claim("H1", "2025-03-01", solicited=True),
            claim("H2", "2024-12-25"),
            claim("H3", "2025-03-01", certainty="confirmed"),
            claim("lost", "2025-03-01"),
            claim("H4", "2025-03-01", symptom="leak"),
        ],
    )
    assert {serial for serial, affected in found.items() if affected} == {"H3"}
    assert "H1" not in found  # followed only until the solicited claim
    assert cohort.left_out["claims less certain than asked"] == 1
    assert cohort.left_out["claims solicited by the maker"] == 1
    assert cohort.left_out["claims before delivery"] == 1
    assert cohort.left_out["claims on a hull that is not in the records"] == 1


def test_before_delivery_is_a_claim_type_of_its_own() -> None:
    definition = BLISTER.resolved(claim_types=("before delivery",), landmark_months=1)
    cohort, found = drawn(
        definition,
        hulls=[hull("H0"), hull("H1")],
        claims=[claim("H0", "2024-12-25"), claim("H1", "2025-01-10")],
    )
    assert found == {"H0": 1, "H1": 0}
    assert cohort.affected == 1


def test_several_claims_make_one_affected_hull_at_the_first() -> None:
    cohort, _ = drawn(
        BLISTER.resolved(landmark_months=6),
        hulls=[hull("H0"), hull("H1")],
        claims=[claim("H0", "2025-09-01"), claim("H0", "2025-02-01"), claim("H0", "2025-04-01")],
    )
    assert cohort.affected == 1


def test_months_in_service_limit_the_claims_not_the_hulls() -> None:
    definition = BLISTER.resolved(service_months=(3, 9), landmark_months=10)
    cohort, found = drawn(
        definition,
        hulls=[hull("H0"), hull("H1")],
        claims=[claim("H0", "2025-01-20"), claim("H1", "2025-05-20")],
    )
    assert found == {"H0": 0, "H1": 1}
    assert cohort.at_risk == 2


def test_hull_that_left_is_followed_to_that_day() -> None:
    cohort, found = drawn(
        BLISTER.resolved(landmark_months=6),
        hulls=[hull("H0", exit_on="2025-04-01"), hull("H1")],
        claims=[claim("H1", "2025-02-01")],
    )
    assert found == {"H1": 1}
    assert cohort.left_out["hulls followed for less than 6 months"] == 1


def test_reporting_allowance_is_the_95_percent_point_of_old_claims() -> None:
    opened = [date(2024, 1, 1) + timedelta(days=d) for d in range(1, 101)]
    claims = [
        {
            "claim_no": f"C{i}",
            "hull_serial": "H0",
            "failed_on": "2024-01-01",
            "opened_on": day,
            "symptom": "blister",
        }
        for i, day in enumerate(opened)
    ]
    recent = claim("H0", "2025-12-30")
    cohort, _ = drawn(
        CaseDefinition(symptoms=("blister",)),
        hulls=[hull("H0", "2023-01-01")],
        claims=[*claims, recent],
    )
    assert cohort.definition.cut_off == date(2025, 12, 30)
    assert cohort.definition.reporting_days == 96


def test_unknown_names_offer_the_near_ones() -> None:
    with pytest.raises(UnknownNameError, match=r"There is no symptom 'blistr'\. Near: blister"):
        drawn(
            CaseDefinition(symptoms=("blistr",)),
            hulls=[hull("H0")],
            claims=[claim("H0", "2025-02-01")],
        )


def test_no_claims_at_all_is_said() -> None:
    with pytest.raises(DefinitionError, match="hold no claim"):
        drawn(CaseDefinition(), hulls=[hull("H0")])


def test_model_and_build_range_limit_the_hulls() -> None:
    definition = BLISTER.resolved(
        models=("s18",), built_from=date(2024, 12, 1), built_to=date(2024, 12, 31)
    )
    cohort, found = drawn(
        definition,
        hulls=[hull("H0"), hull("H1", completed_on="2024-11-30"), hull("H2", model="S22")],
        claims=[claim("H0", "2025-02-01")],
    )
    assert found == {"H0": 1}
    assert cohort.left_out["hulls of other models"] == 1
    assert cohort.left_out["hulls built outside the range"] == 1


def test_hulls_of_other_plants_stand_on_the_ladder() -> None:
    tables = {
        "hulls": [
            hull("N1", plant="North"),
            hull("N2", plant="North"),
            hull("S1", plant="South"),
            hull("S2", plant="South", model="S22"),
            hull("X1"),
        ],
        "claims": [claim("N1", "2025-03-01"), claim("S1", "2025-03-01")],
    }
    cohort, found = drawn(BLISTER.resolved(landmark_months=6, plants=("north",)), **tables)
    assert found == {"N1": 1, "N2": 0}
    assert cohort.left_out["hulls of other plants"] == 3
    assert cohort.ladder["built"] == 5
    assert cohort.ladder["in the definition"] == 2
    one_model = BLISTER.resolved(landmark_months=6, plants=("South",), models=("S22",))
    cohort, found = drawn(one_model, **tables)
    assert found == {"S2": 0}
    assert cohort.left_out["hulls of other plants"] == 3
    assert cohort.left_out["hulls of other models"] == 1
    with pytest.raises(UnknownNameError, match="North"):
        drawn(BLISTER.resolved(plants=("east",)), **tables)
