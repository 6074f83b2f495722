"""What checks a containment, in words."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.analysis.containing.fleets import FAMILY, fleet
from tests.analysis.containing.test_forecast import listed, rates
from tests.exposure.test_exposure import deck_plant, derived
from tracegraph.analysis.containing.forecast import forecast
from tracegraph.analysis.containment import Containment, contain
from tracegraph.domain.definition import CaseDefinition
from tracegraph.report.containment_checks import (
    bracket_sentences,
    check_sentences,
    forecast_sentences,
    late_sentences,
    order_sentences,
)
from tracegraph.report.holdlist import about
from tracegraph.store.reader import as_store

BLISTER = CaseDefinition(symptoms=("blister",), reporting_days=0)
LOT = "deck: gelcoat spray: gelcoat lot"


@pytest.fixture(scope="module")
def found() -> Iterator[Containment]:
    """Five lots of 60 hulls; the third claims far too often."""
    levels = [lot for lot in "ABCDE" for _ in range(60)]
    claims = {120 + n: 5 for n in range(0, 20, 2)} | {1: 4}
    with fleet(levels, claims) as store:
        yield contain(store, FAMILY, "C", definition=BLISTER)


def test_the_effect_is_said_with_its_interval(found: Containment) -> None:
    (said,) = [line for line in check_sentences(found) if "rate ratio" in line]
    assert said.startswith("10 of 11 affected hulls carry it on record, ")
    assert "95 % interval" in said


def test_neighbours_not_shown_clean_are_counted(found: Containment) -> None:
    assert found.bracket is not None
    assert bracket_sentences(found.bracket) == (
        "4 lots beside it, with 240 hulls, are not shown clean by claims that should have come "
        "and did not.",
        "No lot looked at before or after it is shown clean.",
        "4 of 4 of them claim too little to carry the cause as strongly as the suspect; a weaker "
        "effect is not ruled out.",
    )


def test_further_claims_are_said_with_what_is_usual_apart(found: Containment) -> None:
    assert found.forecast is not None
    (said,) = forecast_sentences(found.forecast)
    assert said.startswith("Up to month 24 in service ")
    assert "8 chances in 10" in said
    assert said.endswith("beyond what is usual.")
    guess = forecast(rates(5.0), listed(), until_month=24)
    assert "which is a guess" in forecast_sentences(guess)[-1]


def test_hulls_without_a_record_say_how_they_were_placed() -> None:
    with as_store(derived(**deck_plant(9, [*list("AAAA"), None, *list("AABB")]))) as store:
        found = contain(store, LOT, "A")
    assert order_sentences(found) == (
        "Hulls without a record were placed between the uses before and after: of 1 listed 1 "
        "are expected to carry it. Of 4 uses with records on either side 0 were out of order.",
    )


def test_without_a_doubt_nothing_is_said_of_the_order() -> None:
    with as_store(derived(**deck_plant(4, list("AABB")))) as store:
        assert order_sentences(contain(store, LOT, "A")) == ()


def test_all_of_it_stands_in_the_hold_list(found: Containment) -> None:
    lines = about(found)
    assert set(check_sentences(found)) <= set(lines)


def test_hulls_past_the_last_claim_seen_are_told_and_not_called_safe(found: Containment) -> None:
    (said,) = late_sentences(found)
    assert said.startswith("50 of 50 hulls listed that have not claimed are past month 5 ")
    assert said.endswith("a later one is not ruled out.")
    assert said in check_sentences(found)
