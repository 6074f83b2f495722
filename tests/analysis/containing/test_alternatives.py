"""Suspects that cannot be told apart, held together until that is decided."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd
import pytest

from tests.analysis.containing.fleets import fleet
from tests.exposure.test_exposure import deck_plant, derived
from tracegraph.analysis.containment import contain
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import UnknownNameError
from tracegraph.report.containment_checks import alternative_sentences
from tracegraph.store import Store
from tracegraph.store.reader import as_store

LOT, MOLD = "deck: gelcoat spray: gelcoat lot", "deck: mold"


@pytest.fixture(scope="module")
def store() -> Iterator[Store]:
    """H1 to H4 lot A and mold M1, H5 lot A alone, H6 mold M1 alone, H7 and H8 neither."""
    tables = deck_plant(8, list("AAAAABBB"))
    for part, mold in zip(
        tables["parts"], ("M1", "M1", "M1", "M1", "M2", "M1", "M2", "M2"), strict=True
    ):
        part["mold_no"] = mold
    with as_store(derived(**tables)) as opened:
        yield opened


def test_the_union_is_held_and_each_alternative_says_what_it_would_release(store: Store) -> None:
    found = contain(store, LOT, "A", also=[(MOLD, "M1"), (LOT, "A")])
    assert found.members == ((LOT, "A"), (MOLD, "M1"))
    assert set(found.hulls["hull_serial"]) == {f"H{n}" for n in range(1, 7)}
    table = found.alternatives.set_index("level")
    assert table.loc["A"].drop("family").to_dict() == {
        "recorded": 5, "listed": 5, "alone": 1, "released": 1,
    }  # fmt: skip
    assert table.loc["M1", ["recorded", "alone", "released"]].tolist() == [5, 1, 1]
    assert found.counts["total"].to_dict() == {
        "recorded": 6, "probable": 0, "possible": 0, "remote": 0, "cleared": 2,
        "not applicable": 0,
    }  # fmt: skip


def test_hulls_that_carry_one_alone_are_the_ones_to_inspect(store: Store) -> None:
    telling = contain(store, LOT, "A", also=[(MOLD, "M1")]).telling
    assert telling[["hull_serial", "carries"]].to_numpy().tolist() == [
        ["H5", f"{LOT}: A"],
        ["H6", f"{MOLD}: M1"],
    ]
    assert telling["expected_if_cause"].isna().all()


def test_one_suspect_has_nothing_to_be_told_from(store: Store) -> None:
    found = contain(store, LOT, "A")
    assert found.telling.empty
    assert found.alternatives["released"].tolist() == [0]
    assert alternative_sentences(found) == ()


def test_words_name_what_to_do(store: Store) -> None:
    said = alternative_sentences(contain(store, LOT, "A", also=[(MOLD, "M1")]))
    assert said[0].startswith("2 suspects cannot be told apart: all their hulls are held")
    assert said[1] == f"If it is {LOT} A alone, 5 hulls stay on the list and 1 are let go."
    # 20 to 1 at 0.30 against 0.03: 7 hulls (Kullback-Leibler, ln 20 / 0.46).
    assert "7 of them decide at 20 to 1" in said[-1]
    same = alternative_sentences(contain(store, LOT, "B", also=[(LOT, "A")]))
    assert "carry one of them alone" in same[-1]


def test_suspects_that_always_go_together_can_only_be_told_apart_elsewhere() -> None:
    with as_store(derived(**deck_plant(4, list("AAAB")))) as store:
        found = contain(store, LOT, "A", also=[("deck: gelcoat spray: gelcoat drum", "A/1")])
    assert found.telling.empty
    assert "only retained samples, a laboratory" in alternative_sentences(found)[-1]


def test_expected_claims_stand_beside_the_hulls_to_inspect() -> None:
    levels = ["A"] * 30 + ["B"] * 30 + ["C"] * 140
    claims = dict.fromkeys(range(10), 6) | dict.fromkeys(range(70, 75), 6)
    definition = CaseDefinition(symptoms=("blister",), reporting_days=0)
    with fleet(levels, claims) as store:
        found = contain(
            store, "deck: gelcoat lot", "A", also=[("deck: gelcoat lot", "B")],
            definition=definition,
        )  # fmt: skip
    telling = found.telling
    assert len(telling) == 60
    assert (telling["expected_if_cause"] > telling["expected_if_not"]).all()
    by_suspect = telling.groupby("carries")["affected"].sum()
    assert by_suspect.tolist() == [10, 0]
    assert isinstance(telling["months_in_service"], pd.Series)


def test_each_name_must_be_known(store: Store) -> None:
    with pytest.raises(UnknownNameError):
        contain(store, LOT, "A", also=[(MOLD, "M9")])
