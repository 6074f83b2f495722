from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tests.analysis.containing.fleets import FAMILY, fleet
from tests.analysis.containing.test_forecast import rates
from tracegraph.analysis.containing.bracket import (
    ENOUGH_EXPECTED,
    UNLIKE_SUSPECT,
    Bracket,
    bracket_sequence,
    shown_clean,
)
from tracegraph.analysis.containing.rates import RATIOS, ClaimRates
from tracegraph.analysis.containment import Containment, contain
from tracegraph.domain.definition import CaseDefinition
from tracegraph.stats.rates import garwood

BLISTER = CaseDefinition(symptoms=("blister",), reporting_days=0)


def test_silence_shows_clean_only_when_claims_should_have_come() -> None:
    # P(no claim | 3 expected) = exp(-3) = 0.05, the rule of three.
    assert np.exp(-ENOUGH_EXPECTED) < 0.05
    assert shown_clean(0, 3.0)
    assert not shown_clean(0, 2.99)
    assert not shown_clean(0, 0.0)
    # Upper 90 % limits of a Poisson mean (Garwood): 4 claims 9.15, 5 claims 10.51.
    assert float(garwood(4, 1.0, confidence=0.9)[1]) == pytest.approx(9.154, abs=1e-3)
    assert shown_clean(4, 4.6)
    assert not shown_clean(4, 4.5)


def sides(found: Bracket) -> list[tuple[str, str, bool]]:
    rows = found.rows
    return list(zip(rows["side"], rows["name"], rows["shown_clean"].astype(bool), strict=True))


def in_lots(claims: dict[int, int], **more: bool) -> Containment:
    """Lots of 60 hulls A to E one after another; about 6 of each claim by month 24."""
    levels = [lot for lot in "ABCDE" for _ in range(60)]
    with fleet(levels, claims) as store:
        return contain(store, FAMILY, "C", definition=BLISTER, **more)


def usual(lot: int, count: int) -> dict[int, int]:
    return {60 * lot + 7 * n: 3 + 2 * n for n in range(count)}


def test_the_walk_ends_at_the_first_lot_shown_clean() -> None:
    # B has no claim, D as many as the suspect's neighbours ought to have and more.
    claims = usual(0, 8) | usual(2, 8) | usual(3, 8) | {60 * 2 + n: 5 for n in range(1, 30, 2)}
    found = in_lots(claims).bracket
    assert found is not None
    assert found.unit == "lots"
    assert sides(found)[0] == ("before", "B", True)
    assert next(name for side, name, _ in sides(found) if side == "after") == "D"
    assert found.closed_before
    inside = found.rows.loc[found.rows["inside"], "name"].tolist()
    assert inside[0] == "C"
    assert "B" not in inside
    assert len(found.hull_ids) == 60 * (len(inside) - 1)


def test_lots_with_too_few_expected_claims_stay_inside_to_the_end() -> None:
    found = in_lots({60 * 2 + n: 5 for n in range(0, 20, 2)} | {1: 4}).bracket
    assert found is not None
    assert not found.closed_before
    assert not found.closed_after
    assert found.rows["inside"].all()
    assert found.rows["name"].tolist() == list("ABCDE")


def test_widening_lists_the_neighbours_as_possible_with_the_reason() -> None:
    claims = {60 * 2 + n: 5 for n in range(0, 20, 2)} | {1: 4}
    core, wide = in_lots(claims), in_lots(claims, widen=True)
    assert (len(core.hulls), len(wide.hulls)) == (60, 300)
    beside = wide.hulls[wide.hulls["grade"] == "possible"]
    assert len(beside) == 240
    assert beside["probability"].isna().all()
    assert set(beside["reason"]) == {"beside the suspect and not shown clean by claims"}
    assert wide.counts["total"].sum() == 300


def sequence(cases: set[int], expected: float, core: range, count: int = 40) -> Bracket:
    plain = rates(1.0, hulls=1000, per_month=1000.0 * expected / 12)
    case = np.isin(np.arange(1, count + 1), list(cases))
    known = ClaimRates(
        **(
            vars(plain)
            | {
                "hull_id": np.arange(1, count + 1), "case": case, "weight": np.ones(count),
                "exit_month": np.full(count, 12),
            }
        )
    )  # fmt: skip
    position = np.arange(1.0, count + 1)
    inside = np.isin(np.arange(1, count + 1), list(core))
    return bracket_sequence("pulls", position, np.arange(1, count + 1), inside, known)


def test_pulls_are_walked_in_blocks_that_could_show_themselves_clean() -> None:
    # Half a claim expected of each pull: six pulls without a claim are shown clean.
    found = sequence({20, 22, 25}, 0.5, range(20, 26))
    assert sides(found) == [
        ("before", "pulls 14 to 19", True),
        ("suspect", "pulls 20 to 25", False),
        ("after", "pulls 26 to 31", True),
    ]
    assert found.closed_before
    assert found.closed_after
    assert found.hull_ids == frozenset()
    # Claims just outside open it by one block.
    wider = sequence({20, 22, 25, 27, 28, 29, 30}, 0.5, range(20, 26))
    assert sides(wider)[-2:] == [
        ("after", "pulls 26 to 31", False),
        ("after", "pulls 32 to 37", True),
    ]
    assert wider.hull_ids == frozenset(range(26, 32))


def test_where_the_sequence_ends_first_it_stays_open() -> None:
    found = sequence({3}, 0.2, range(2, 39))
    assert not found.closed_before
    assert not found.closed_after
    assert found.hull_ids == {1, 39, 40}


@given(
    st.sets(st.integers(1, 40), max_size=12), st.floats(0.01, 2.0), st.integers(1, 40),
    st.integers(0, 10),
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_the_walk_never_passes_a_clean_block_nor_stops_before_one(
    cases: set[int], expected: float, first: int, length: int
) -> None:
    core = range(first, min(40, first + length) + 1)
    found = sequence(cases, expected, core)
    rows = found.rows
    assert (rows.loc[rows["side"] != "suspect", "inside"] != rows.loc[
        rows["side"] != "suspect", "shown_clean"]).all()  # fmt: skip
    for side, closed in (("before", found.closed_before), ("after", found.closed_after)):
        clean = rows.loc[rows["side"] == side, "shown_clean"].tolist()
        outward = clean[::-1] if side == "before" else clean
        assert sum(clean) == int(closed)
        if closed:
            assert outward[-1]
    assert not found.hull_ids & set(core)


def test_molds_are_walked_in_pulls() -> None:
    levels = ["M1"] * 80
    claims = dict.fromkeys(range(30, 50, 2), 6)
    with fleet(levels, claims, kind="mold") as store:
        found = contain(store, FAMILY, "M1", definition=BLISTER)
    assert found.bracket is not None
    assert found.bracket.unit == "pulls"
    assert found.bracket.rows.empty  # no part of it was recorded with its pull
    assert isinstance(found.hulls, pd.DataFrame)


def test_a_quiet_neighbour_is_unlike_the_suspect_and_a_loud_one_is_not() -> None:
    # C claims 15 of 60 early and A, D, E usually; B, beside it, as often as C.
    loud = {60 * lot + n: 5 for lot in (1, 2) for n in range(1, 30, 2)}
    found = in_lots(loud | usual(0, 2) | usual(3, 2) | usual(4, 2))
    assert found.bracket is not None
    chance = found.bracket.rows.set_index("name")["chance_as_suspect"]
    assert chance["B"] > 0.3
    assert chance["D"] < UNLIKE_SUSPECT
    assert found.rates is not None
    # The Poisson law by hand, over all ratios that the claims leave open.
    row = found.bracket.rows.set_index("name").loc["D"]
    by_hand = sum(
        weight * stats.poisson.cdf(row["observed"], row["expected"] * ratio)
        for weight, ratio in zip(found.rates.belief(), RATIOS, strict=True)
    )
    assert chance["D"] == pytest.approx(by_hand, rel=1e-9)
