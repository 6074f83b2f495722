"""Bracket, outlook, alternatives, discriminating hulls and states as tables."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest

from tests.analysis.containing.fleets import FAMILY, fleet
from tests.exposure.test_exposure import deck_plant, derived
from tracegraph.analysis.containing.balance import MassBalance
from tracegraph.analysis.containment import Containment, contain, contain_window
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.holding import HOLD_STATES
from tracegraph.report.containment import containment_sentences
from tracegraph.report.containment_checks import balance_sentences, check_sentences
from tracegraph.report.containment_tables import (
    alternatives_table,
    bracket_table,
    outlook_table,
    states_table,
    telling_table,
)
from tracegraph.store.reader import as_store

BLISTER = CaseDefinition(symptoms=("blister",), reporting_days=0)


@pytest.fixture(scope="module")
def found() -> Iterator[Containment]:
    """Five lots of 60 hulls; the third and fourth are held together."""
    levels = [lot for lot in "ABCDE" for _ in range(60)]
    claims = {120 + n: 5 for n in range(0, 20, 2)} | {1: 4, 70: 12}
    with fleet(levels, claims) as store:
        yield contain(store, FAMILY, "C", also=[(FAMILY, "D")], definition=BLISTER)


def test_the_bracket_tells_each_neighbour(found: Containment) -> None:
    levels = [lot for lot in "ABCDE" for _ in range(60)]
    with fleet(levels, {120 + n: 5 for n in range(0, 20, 2)} | {1: 4}) as store:
        table = bracket_table(contain(store, FAMILY, "C", definition=BLISTER))
    assert table.frame["lot"].tolist() == list("ABCDE")
    assert table.frame["side"].tolist() == ["before", "before", "suspect", "after", "after"]
    assert table.frame["affected"].tolist() == [1, 0, 10, 0, 0]
    assert table.frame["by its claims"].tolist() == [
        "not shown clean", "not shown clean", "", "not shown clean", "not shown clean",
    ]  # fmt: skip
    assert bracket_table(found).frame.empty  # several suspects have no one place in the order


def test_the_outlook_counts_the_hulls_that_have_not_claimed(found: Containment) -> None:
    table = outlook_table(found)
    assert table.frame["hulls"].sum() == 110
    assert found.forecast is not None
    total = table.frame[["usual", "beyond it"]].to_numpy().sum()
    assert total == pytest.approx(found.forecast.claims.loc["total", "mean"], rel=0.1)


def test_alternatives_and_the_hulls_that_tell_them_apart(found: Containment) -> None:
    table = alternatives_table(found).frame
    assert table["if it is"].tolist() == [f"{FAMILY} C", f"{FAMILY} D"]
    assert table["held"].tolist() == [60, 60]
    assert table["let go"].tolist() == [60, 60]
    telling = telling_table(found).frame
    assert len(telling) == 120
    by_cause = telling["claims due by now if it is the cause"]
    assert (by_cause >= telling["if it is not"]).all()
    assert telling["affected"].value_counts().to_dict() == {"no": 110, "affected": 10}


def test_both_suspects_stand_in_the_answer(found: Containment) -> None:
    assert containment_sentences(found)[0] == (
        f"120 hulls carry {FAMILY} C or {FAMILY} D on record; 0 more may, since a record is "
        "missing."
    )


def test_states_add_up(found: Containment) -> None:
    table = states_table(found)
    assert table.frame["state"].tolist() == list(HOLD_STATES)
    assert table.frame["total"].sum() == 120
    assert table.caption == "States add up to 120 exposed hulls."


def test_days_are_said_as_days() -> None:
    with as_store(derived(**deck_plant(9, [*list("AAAAA"), *list("BBBB")]))) as store:
        found = contain_window(store, date(2020, 1, 1), date(2030, 1, 1))
    assert containment_sentences(found)[0].startswith(
        "9 hulls had building between 2020-01-01 and 2030-01-01 on record"
    )


def test_how_many_are_affected_among_those_that_carry_one_alone(found: Containment) -> None:
    said = check_sentences(found)
    assert f"10 of 60 hulls that carry {FAMILY}: C alone are affected." in said
    assert f"0 of 60 hulls that carry {FAMILY}: D alone are affected." in said
    assert any(
        line.startswith("10 of 12 affected hulls carry one of them on record") for line in said
    )


def test_amounts_add_up_as_printed() -> None:
    balance = MassBalance(
        unit="kg", received=1158.62, on_hand=0.0, scrapped=0.0, used=1131.12, unaccounted=27.5,
        without_amount=0, per_hull=30.0, hulls_at_least=1, hulls_expected=1.2,
    )  # fmt: skip
    said = balance_sentences(balance, of_what="G-1")
    assert said[0] == (
        "G-1: 1,158.6 kg received, 1,131.1 kg used on record: 27.5 kg are not accounted for."
    )


def test_hulls_beside_the_suspect_are_told_apart_and_claim_as_is_usual() -> None:
    levels = [lot for lot in "ABCDE" for _ in range(60)]
    claims = {120 + n: 20 for n in range(0, 20, 2)} | {1: 4}
    followed = [22] * 300
    with fleet(levels, claims, followed=followed) as store:
        core = contain(store, FAMILY, "C", definition=BLISTER, until_month=22)
        wide = contain(store, FAMILY, "C", definition=BLISTER, until_month=22, widen=True)
    said = containment_sentences(wide)
    assert said[0].startswith(f"60 hulls carry {FAMILY} C on record; 0 more may")
    assert said[1] == "240 hulls beside it are listed too, not shown clean by claims."
    assert said[2] == "All are with owners."
    assert core.forecast is not None
    assert wide.forecast is not None
    excess = (one.claims.loc["excess", "mean"] for one in (core.forecast, wide.forecast))
    assert len(set(excess)) == 1
