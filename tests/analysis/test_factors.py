"""Whole-family tests over a store."""

from __future__ import annotations

import pytest

from tests.support.plants import random_plant
from tracegraph.analysis.factors import assess_families
from tracegraph.analysis.ranking import rank
from tracegraph.domain.definition import CaseDefinition
from tracegraph.store.reader import as_store

DEFINITION = CaseDefinition(symptoms=("blister",), landmark_months=24)


def test_family_of_two_levels_agrees_with_its_levels_own_chi_square() -> None:
    store = as_store(random_plant(400, 4, 8, 80, seed=2))
    families = assess_families(store, DEFINITION).set_index("family")
    levels = rank(store, DEFINITION).frame.drop_duplicates("family").set_index("family")
    assert set(families["method"]) == {"chi-square"}
    for family, row in families.iterrows():
        assert row["p_value"] == pytest.approx(levels.loc[family, "p_chi2"], rel=1e-9)
    assert list(families["p_value"]) == sorted(families["p_value"])


def test_many_thin_levels_are_resampled_with_a_seed_of_the_definition() -> None:
    store = as_store(random_plant(200, 2, 100, 12, seed=3))
    first = assess_families(store, DEFINITION)
    assert set(first["method"]) == {"resampled"}
    assert first.equals(assess_families(store, DEFINITION))
    assert first["p_value"].between(1 / 2000, 1).all()
