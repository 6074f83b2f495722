from __future__ import annotations

import math
from typing import Any

import pytest

from tests.exposure.test_exposure import deck_plant, derived
from tests.support.records import Row
from tracegraph.analysis.containing.balance import MassBalance
from tracegraph.analysis.containment import contain
from tracegraph.report.containment_checks import balance_sentences
from tracegraph.store.reader import as_store

LOT = "deck: gelcoat spray: gelcoat lot"


def balance(
    used: list[tuple[str | None, float | None]], receipt: dict[str, Any], **more: list[Row]
) -> MassBalance:
    """Balance of lot A of a plant whose hulls used the given lots and amounts."""
    tables = deck_plant(len(used), [])
    tables["usages"] = [
        {"operation_id": f"G-H{n}", "material": "gelcoat", "lot_no": lot, "quantity": amount,
         "unit": "kg"}
        for n, (lot, amount) in enumerate(used, 1)
    ]  # fmt: skip
    tables["lots"] = [{"material": "gelcoat", "lot_no": "A", "unit": "kg"} | receipt]
    for name, rows in more.items():
        tables[name] = tables.get(name, []) + rows
    with as_store(derived(**tables)) as store:
        found = contain(store, LOT, "A").balance
    assert found is not None
    return found


FIVE: list[tuple[str | None, float | None]] = [("A", 20.0)] * 5


def test_what_is_left_over_must_have_gone_into_hulls_without_a_record() -> None:
    # 200 received, 30 on hand, 10 scrapped, 100 used on record: 60 left, three hulls of 20.
    found = balance(
        [*FIVE, (None, 20.0), (None, 20.0), (None, 20.0), ("A", 0.0)],
        {"received_qty": 200, "on_hand_qty": 30, "scrapped_qty": 10},
    )
    assert (found.received, found.used, found.unaccounted) == (200.0, 100.0, 60.0)
    assert found.per_hull == 20.0
    assert found.hulls_at_least == 3
    assert found.hulls_expected == pytest.approx(3.0, abs=0.2)
    assert found.closes is True
    assert balance_sentences(found) == (
        "200 kg received, 30 kg on hand, 10 kg scrapped, 100 kg used on record: 60 kg are not "
        "accounted for.",
        "That is 3 hulls at least; the hulls without a record add up to 3.",
    )


def test_a_list_that_cannot_hold_what_is_left_over_is_doubted() -> None:
    found = balance([*FIVE, ("B", 20.0)], {"received_qty": 300})
    assert found.hulls_at_least == 10
    assert found.hulls_expected == 0.0
    assert found.closes is False
    assert "does not close" in balance_sentences(found)[-1]


def test_more_used_than_received_is_said() -> None:
    found = balance(FIVE, {"received_qty": 40})
    assert found.unaccounted == -60.0
    assert found.closes is False
    assert "amounts or lot numbers are wrong" in balance_sentences(found)[-1]


def test_use_within_a_blend_counts_by_its_share() -> None:
    blends = [
        {"material": "gelcoat", "lot_no": "T", "parent_lot_no": "A", "share": 0.25},
        {"material": "gelcoat", "lot_no": "T", "parent_lot_no": "A", "share": 0.25},
        {"material": "gelcoat", "lot_no": "T", "parent_lot_no": "Z", "share": 0.5},
    ]
    found = balance([("A", 20.0), ("T", 20.0), ("T", 20.0)], {"received_qty": 40}, blends=blends)
    assert found.used == pytest.approx(20 + 0.5 * 40)
    assert found.unaccounted == pytest.approx(0.0)
    assert found.closes is True


def test_a_use_without_an_amount_is_taken_at_the_usual_one() -> None:
    found = balance([*FIVE, ("A", None)], {"received_qty": 130})
    assert (found.used, found.without_amount) == (120.0, 1)


@pytest.mark.parametrize(
    ("receipt", "used", "reason"),
    [
        ({}, FIVE, "the amount received was not written down"),
        ({"received_qty": 100}, [("A", None)] * 3, "no amount used was written down"),
        ({"received_qty": 100, "unit": "gal"}, FIVE, "amounts are in different units: gal, kg"),
    ],
)
def test_without_amounts_there_is_no_balance(
    receipt: dict[str, Any], used: list[tuple[str | None, float | None]], reason: str
) -> None:
    found = balance(used, receipt)
    assert found.reason == reason
    assert math.isnan(found.unaccounted)
    assert found.closes is None
    assert balance_sentences(found) == (f"No balance can be drawn: {reason}.",)


def test_pulls_of_a_mold_that_belong_to_no_part_are_counted() -> None:
    tables = deck_plant(6, ["A"] * 6)
    tables["parts"] = [part for part in tables["parts"] if part["pull_no"] not in (3, 4)]
    with as_store(derived(**tables)) as store:
        found = contain(store, "deck: mold", "M1").balance
    assert found is not None
    assert (found.unit, found.received, found.used, found.unaccounted) == ("pulls", 6, 4, 2)
    assert found.hulls_at_least == 2
