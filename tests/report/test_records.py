import json
from dataclasses import replace

import pytest

from tests.analysis.small_plant import plant_records
from tests.analysis.test_records_state import _build, _store_with_sources
from tracegraph.analysis.completeness import completeness
from tracegraph.analysis.records_state import RecordsState, records_state, set_aside_rows
from tracegraph.report.records import (
    check_as_json,
    cleaned_table,
    cost_sentence,
    fields_table,
    ledger_table,
    links_table,
    months_table,
    poorest_hulls_table,
    questions_table,
    reasons_table,
    records_sentences,
    score_sentence,
    set_aside_table,
)
from tracegraph.store.reader import as_store


@pytest.fixture(scope="module")
def state() -> RecordsState:
    return records_state(_store_with_sources())


def test_the_ledger_is_said_as_a_sum(state: RecordsState) -> None:
    said = records_sentences(state)
    assert said[0] == (
        "10 rows seen in 1 file or sheet: 6 became records, 3 set aside, 0 repeats, 1 titles and "
        "blank lines."
    )
    assert said[1].startswith("3 rows could not be read")
    assert said[2].startswith("1 of 4 claim lines name a hull that is not in the records")
    assert said[3].startswith("1 of 12 uses of a material have no lot written down")


def test_json_holds_links_completeness_and_what_was_set_aside(state: RecordsState) -> None:
    score = completeness(_store_with_sources())
    value = json.loads(json.dumps(check_as_json(state, score), allow_nan=False))
    assert {"links", "completeness", "set_aside"} <= set(value)
    claims = value["links"][0]
    assert (claims["link"], claims["not_linked"], claims["examples"]) == (
        "claim lines to hulls",
        1,
        ["C-3"],
    )
    assert value["set_aside"]["rows"] == 3
    assert value["set_aside"]["reasons"][0]["rows"] == 2
    assert value["files"][0]["sheet"] is None
    by_name = {row["family"]: row for row in value["completeness"]["families"]}
    assert by_name["hull: gelcoat spray: gelcoat lot"]["not_recorded"] == 1
    assert value["completeness"]["months"][0]["built_month"] == "2025-02-01"
    # The hull whose lot was not written down is the poorest.
    assert value["completeness"]["poorest_hulls"][0]["hull_serial"] == "BT-1004"


def test_the_score_is_said_with_both_numbers() -> None:
    score = completeness(_store_with_sources())
    expected, there = (int(score.by_month[name].sum()) for name in ("expected", "recorded"))
    assert score_sentence(score).startswith(f"{there} of {expected} (")
    assert months_table(score).frame["there"].sum() == there
    assert poorest_hulls_table(score, 2).frame["hull"].iloc[0] == "BT-1004"
    assert poorest_hulls_table(score, 2).caption == "The 2 poorest of 6 hulls."


def test_the_cost_to_the_ranking_is_said_with_the_question_that_loses_most(
    state: RecordsState,
) -> None:
    missing, asked = int(state.questions["not_recorded"].sum()), int(state.questions["hulls"].sum())
    said = cost_sentence(state)
    assert said.startswith(f"What that costs the ranking: {missing} of {asked} (")
    named = state.questions.set_index("family")
    worst = said.split("Most is lost at ")[1].rpartition(": ")[0]
    share = named["not_recorded"] / named["hulls"]
    assert share[worst] == share.max() > 0
    whole = replace(state, questions=state.questions.assign(not_recorded=0))
    assert cost_sentence(whole) == ("Every question is answered for every hull that it applies to.")


def test_tables(state: RecordsState) -> None:
    ledger = ledger_table(state).frame.iloc[0]
    parts = ["loaded", "set aside", "repeats", "titles, blanks"]
    assert ledger["rows seen"] == ledger[parts].sum()
    assert links_table(state).frame["such as"].iloc[0] == "C-3"
    first = questions_table(state, 3)
    assert first.frame["not recorded"].is_monotonic_decreasing
    assert first.caption.startswith("The first 3 of ")
    assert reasons_table(state).caption == "3 entries in 2 reasons."
    assert cleaned_table(state).frame["stored"].tolist() == ["(missing)"]
    assert fields_table(state).frame["filled, %"].between(0, 100).all()
    rows = set_aside_table(set_aside_rows(_store_with_sources()))
    assert rows.frame["line"].tolist() == [4, 9, 12]


def test_nothing_to_complain_about_is_one_sentence() -> None:
    records = plant_records()
    records["claims"] = records["claims"][:1]
    records["usages"] = [row for row in records["usages"] if row["lot_no"] is not None]
    assert len(records_sentences(records_state(as_store(_build(records))))) == 1
