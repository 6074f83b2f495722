from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.case_entries import SUSPECT, opened, ranked, sealed
from tracegraph.cases.chain import Entry
from tracegraph.cases.corroboration import BACKGROUND, corroboration

ONE, TWO = ("hull: mold", "M-2"), ("hull: gelcoat lot", "G-1")
FIRST = {**SUSPECT, "round": 1}
SECOND = {**SUSPECT, "family": TWO[0], "level": TWO[1], "rank": 2, "round": 1}


def looked(found: bool, one: bool | None, two: bool | None = None, *, claimed: bool = False):
    carrying = [
        {"hull": "B-9", "family": name[0], "level": name[1], "carries": carries}
        for name, carries in ((ONE, one), (TWO, two))
    ]
    hull = f"B-{found}{one}{two}{claimed}"
    for row in carrying:
        row["hull"] = hull
    content = {"hull": hull, "what": "w", "result": "r", "found": found, "claimed": claimed}
    return "inspected", content | {"carrying": carrying}


def case(*written: tuple[str, dict[str, Any]], suspects: list[dict[str, Any]]) -> list[Entry]:
    return sealed(opened(), ranked(suspects=suspects), *written)


def effect(verdict: str) -> tuple[str, dict[str, Any]]:
    return "effect", {"family": ONE[0], "level": ONE[1], "verdict": verdict}


def test_two_faults_found_carry_one_suspect_and_a_cure_demonstrates_it() -> None:
    two = [looked(True, True), looked(True, True)]
    (seen,) = corroboration(case(*two, suspects=[FIRST]))
    # 0.30 / 0.03 for each: 100 to 1.
    assert (seen.odds, seen.rival, seen.level) == (pytest.approx(100.0), BACKGROUND, 3)
    (seen,) = corroboration(case(*two, effect("improved"), suspects=[FIRST]))
    assert seen.level == 3
    (seen,) = corroboration(case(*two, effect("effective"), suspects=[FIRST]))
    assert (seen.level, seen.rests_on) == (4, ("inspection", "removal effective"))
    # A cure alone is no independent line, and a later check takes an earlier one back.
    (seen,) = corroboration(case(effect("effective"), suspects=[FIRST]))
    assert seen.level == 2
    (seen,) = corroboration(case(*two, effect("effective"), effect("no change"), suspects=[FIRST]))
    assert seen.level == 3


def test_a_rival_is_told_apart_only_by_hulls_that_carry_one_of_the_two() -> None:
    both = [looked(True, True, True), looked(True, True, True)]
    first, second = corroboration(case(*both, suspects=[FIRST, SECOND]))
    assert (first.odds, first.rival, first.level) == (1.0, "G-1 (hull: gelcoat lot)", 2)
    assert (second.odds, second.level) == (1.0, 2)
    apart = [looked(True, True, False), looked(True, True, False), looked(False, False, True)]
    first, second = corroboration(case(*apart, suspects=[FIRST, SECOND]))
    # Against the rival 10 x 10 x 0.97 / 0.70; against no suspect at all 100.
    assert (first.odds, first.level) == (pytest.approx(100.0), 3)
    assert second.odds == pytest.approx(1 / (100.0 * 0.97 / 0.70))
    assert second.refuted
    assert not first.refuted


def test_a_weaker_suspect_and_one_of_another_round_are_no_rivals() -> None:
    both = [looked(True, True, True), looked(True, True, True)]
    for other in ({**SECOND, "evidence": 1}, {**SECOND, "round": 2}):
        first, _ = corroboration(case(*both, suspects=[FIRST, other]))
        assert (first.rival, first.level) == (BACKGROUND, 3)


def test_aliases_stand_together() -> None:
    alias = {"family": TWO[0], "level": TWO[1], "jaccard": 1.0}
    (seen,) = corroboration(
        case(looked(True, True, True), suspects=[{**FIRST, "aliases": [alias]}, SECOND])
    )
    assert seen.aliases == (TWO,)


def test_level_1_is_raised_by_nothing() -> None:
    weak = {**FIRST, "evidence": 1}
    (seen,) = corroboration(
        case(looked(True, True), looked(True, True), effect("effective"), suspects=[weak])
    )
    assert (seen.odds, seen.level) == (pytest.approx(100.0), 1)


@given(st.lists(st.tuples(st.booleans(), st.sampled_from([True, False, None]), st.booleans())))
def test_hulls_that_claimed_and_unknown_ones_tell_nothing(
    hulls: list[tuple[bool, bool | None, bool]],
) -> None:
    rows = [looked(found, one, claimed=claimed) for found, one, claimed in hulls]
    (seen,) = corroboration(case(*rows, suspects=[FIRST]))
    told = [(found, one) for found, one, claimed in hulls if not claimed]
    assert seen.found_with == told.count((True, True))
    assert seen.clean_with == told.count((False, True))
    assert seen.not_told == sum(one is None for _, one in told)
    if not any(one is True for _, one in told):
        assert seen.odds == 1.0
