"""What overview, cluster, history and containment say and list."""

from __future__ import annotations

import pandas as pd
import pytest

from tests.analysis.small_plant import plant_records, plant_store
from tests.analysis.test_cluster import BLISTER
from tests.analysis.test_cluster import _store as lot_store
from tests.analysis.test_first_suspects import plant_with_a_bad_lot
from tests.analysis.test_overview import CLAIMS, HULLS, _store
from tests.report.rankings import Cells, frame_of
from tests.support.records import build_of
from tracegraph.analysis.cluster import cluster_cases
from tracegraph.analysis.containment import contain
from tracegraph.analysis.first_suspects import top_factors
from tracegraph.analysis.history import history
from tracegraph.analysis.overview import pareto, totals
from tracegraph.analysis.tracing import trace
from tracegraph.linkage import link_records
from tracegraph.report.cluster import (
    cases_sentence,
    cases_table,
    first_suspect,
    graph_levels,
    others_beside,
    row_of,
)
from tracegraph.report.containment import containment_sentences, counts_table, held_table
from tracegraph.report.hin import hin_words
from tracegraph.report.history import (
    claims_table,
    genealogy_lines,
    hull_headline,
    hull_sentences,
    inspections_table,
    missing_table,
    parts_table,
)
from tracegraph.report.overview import (
    factors_table,
    overview_sentences,
    ranked_sentence,
    standing_out,
)
from tracegraph.report.verdict_words import LEVELS
from tracegraph.store.reader import as_store

LOT = "deck: gelcoat spray: gelcoat lot"


def test_the_overview_says_how_much_and_what_weighs_most() -> None:
    store = _store(HULLS, CLAIMS)
    said = overview_sentences(totals(store), pareto(store))
    assert said == (
        "4 of 7 hulls have a claim: 6 claim lines at a cost of 160.",
        "6 hulls are in service, built 2025-01-10 to 2026-01-12; the last claim was opened on "
        "2026-06-30.",
        "Most hulls: blister (2).",
    )


def test_the_overview_of_no_claims_asks_for_them() -> None:
    store = _store(HULLS, [])
    said = overview_sentences(totals(store), pareto(store))
    assert said[0] == "No claims on 7 hulls, built 2025-01-10 to 2026-01-12."
    assert standing_out(top_factors(store)) == []
    assert factors_table(top_factors(store)).caption == "No cluster."


def test_factors_that_stand_out_are_sentences_with_both_counts() -> None:
    # By the claims of forty hulls nothing passes chance; as if they were more, one does.
    found = top_factors(plant_with_a_bad_lot(), 4)
    factors = found.assign(evidence=[2, 0])
    said = standing_out(factors)
    assert [symptom for _, symptom in said] == ["blister"]
    assert "6 of 8 hulls with" in said[0][0]
    assert "against 0 of 32 others (association specific to it)" in said[0][0]
    table = factors_table(factors)
    assert table.frame["reads"].tolist() == [LEVELS[2], LEVELS[0]]
    assert table.frame["affected"].tolist() == ["6 of 40", "4 of 40"]
    assert ranked_sentence(factors, 2) == (
        "No shared factor stands out in 1 of 2 clusters of 5 or more affected hulls."
    )
    assert ranked_sentence(factors, 3).startswith("Being ranked: 2 of 3 clusters")
    assert ranked_sentence(factors, 3, stopped=True).startswith("Stopped: ranked 2 of 3")
    grave = factors.assign(safety_class=1)
    assert "refer to a person today" in standing_out(grave)[0][0]


def test_a_symptom_without_a_suspect_is_listed_as_such() -> None:
    factors = top_factors(plant_with_a_bad_lot(), 1)
    table = factors_table(factors)
    # One claim on one hull: nothing is shared.
    late = table.frame[table.frame["symptom"] == "late"].iloc[0]
    assert late["reads"] == LEVELS[0]


def test_cases_are_told_and_listed() -> None:
    cases = cluster_cases(lot_store(), BLISTER)
    assert cases_sentence(cases.frame) == "2 hulls affected in all."
    later = cases.frame.assign(counted=[True, False])
    assert "1 of them later than the plain table looks" in cases_sentence(later)
    table = cases_table(cases)
    assert table.frame["first claim"].tolist() == ["C1", "C3"]
    assert table.caption == "2 affected hulls."


def test_the_row_of_a_suspect_is_found_by_its_name() -> None:
    frame = frame_of([(9, 52, 3, 1017), (1, 59, 11, 1010)])
    row = row_of(frame, LOT, "G-2")
    assert row is not None
    assert row["exposed"] == 60
    assert row_of(frame, LOT, "none such") is None
    assert row_of(frame, None, None) is None
    assert first_suspect(frame)["level"] == "G-1"


def test_other_suspects_are_offered_without_the_one_looked_at() -> None:
    frame = frame_of([(9, 52, 3, 1017), (8, 40, 4, 1029), (1, 59, 11, 1010)])
    assert others_beside(frame, (LOT, "G-1"), most=1) == [(LOT, "G-2")]
    paired = frame.assign(kind=["pair", "material lot", "material lot"])
    assert (LOT, "G-1") not in others_beside(paired, (LOT, "G-3"))


def test_the_graph_holds_the_chosen_level_and_the_strong_ones() -> None:
    tables: list[Cells] = [(9, 52, 3, 1017), (8, 40, 4, 1029), (1, 59, 11, 1010)]
    frame = frame_of(tables)
    weak = row_of(frame, LOT, "G-3")
    assert graph_levels(frame, weak) == [2, 0, 1]
    assert graph_levels(frame.assign(part="any part"), weak) == []
    assert graph_levels(frame_of(tables[2:]), None) == []


def test_a_hulls_history_is_told() -> None:
    found = history(plant_store(), "BT-1004")
    assert hull_headline(found.hull) == "Hull BT-1004, S22: no claim."
    said = hull_sentences(found)
    assert said[0] == "Built 2025-02-04, not in service. Now in the plant, dealer D-1."
    assert said[1] == (
        "Hull identification number US-QZX1004XA525: maker QZX, serial 1004X, January of a year "
        "ending in 5, model year 2025."
    )
    assert said[2] == "Not in the records: hull gelcoat spray gelcoat lot."
    assert missing_table(found).frame["what"].tolist() == ["gelcoat lot"]


def test_claims_are_told_with_their_month_and_their_gravity() -> None:
    records = plant_records()
    records["claims"][0]["safety_class"] = 1
    records["claims"][1]["failed_on"] = "2025-03-01"
    build = build_of(**records)
    link_records(build)
    found = history(as_store(build), "BT-1001")
    assert hull_headline(found.hull) == "Hull BT-1001, S22: 2 claim lines."
    said = hull_sentences(found)
    assert "Claim C-1/2: leak, before delivery, probable." in said
    assert (
        "Claim C-1/1: blister, after 11 months in service, probable. May hurt someone: refer to "
        "a person today." in said
    )
    assert claims_table(found).caption == "2 claim lines."


def test_inspectors_are_listed_on_request_only() -> None:
    found = history(plant_store(), "BT-1001")
    assert "inspector" not in inspections_table(found).frame.columns
    assert inspections_table(found, people=True).frame["inspector"].tolist()[0] == "P-21"
    assert inspections_table(found).caption == "3 checks, 1 failed."
    table = parts_table(found).frame
    assert table["what"].tolist() == ["deck", "hull", "bilge pump"]


def test_the_genealogy_hides_people_unless_asked() -> None:
    found = trace(plant_store(), "BT-1001", direction="up")
    hidden, shown = genealogy_lines(found), genealogy_lines(found, people=True)
    assert any("gelcoat G-1" in line for line in hidden)
    assert not any("P-07" in line for line in hidden)
    assert any("person P-07" in line for line in shown)


@pytest.mark.parametrize(
    ("hin", "expected"),
    [
        (
            "QZX00095A323",
            "maker QZX, serial 00095, January of a year ending in 3, model year 2023.",
        ),
        ("US QZX00095L326", "maker QZX, serial 00095, December of a year ending in 3"),
        # I, O and Q do not occur in the serial (33 CFR 181.25); M is no month.
        ("QZX0OO95A323", "it does not have the usual form; check it against the hull."),
        ("QZX00095M323", "it does not have the usual form; check it against the hull."),
        ("", "it does not have the 12 characters of the usual form."),
    ],
)
def test_a_hull_identification_number_is_read_out(hin: str, expected: str) -> None:
    assert hin_words(hin).startswith(expected)


def test_containment_says_how_many_how_sure_and_where() -> None:
    found = contain(lot_store(), LOT, "G-1", definition=BLISTER)
    said = containment_sentences(found)
    assert said[0] == (f"4 hulls carry {LOT} G-1 on record; 1 more may, since a record is missing.")
    assert said[1] == "All are with owners."
    assert said[2].startswith("2 of these 5 are affected under the definition: Claims of Blister")
    counts = counts_table(found)
    assert counts.frame["total"].sum() == 12
    assert counts.frame["grade"].iloc[0] == "recorded"
    table = held_table(found)
    assert table.caption == "5 hulls that carry it or may."
    assert held_table(found, grade="recorded", place="owner").caption == (
        "4 of 5 hulls that carry it or may."
    )
    assert held_table(found, place="plant").frame.empty


def test_containment_without_a_definition_names_no_affected_hulls() -> None:
    found = contain(lot_store(), LOT, "G-1")
    assert not any("affected" in text for text in containment_sentences(found))
    assert held_table(found).frame["affected"].isna().all()
    assert isinstance(held_table(found).texts(), pd.DataFrame)
