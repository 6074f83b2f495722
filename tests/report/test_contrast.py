"""Affected hulls beside matched unaffected ones, in words."""

from __future__ import annotations

from tests.analysis.test_contrast import BLISTER, yard
from tracegraph.analysis.contrast import contrast
from tracegraph.report.contrast import contrast_sentences, contrast_table, pairs_table

AFFECTED = [14, 20, 26, 32, 38, 44]


def test_the_matching_and_the_most_telling_level_are_said_with_a_caution() -> None:
    with yard(cause=[*AFFECTED, 21, 40], affected=AFFECTED) as store:
        found = contrast(store, BLISTER, per_hull=3)
    said = contrast_sentences(found)
    assert said[0] == (
        "6 affected hulls beside 18 unaffected ones of the same model, built nearest and followed "
        "as long."
    )
    assert said[2].startswith("Most telling: lot X, on 6 of 6 affected hulls and ")
    assert said[-1].startswith(f"{len(found.levels)} levels were looked at; ")
    table = contrast_table(found, top=3)
    assert len(table.frame) == 3
    assert table.texts()["affected with it"].iloc[0] == "6 of 6"
    assert table.texts()["rate ratio"].iloc[0].endswith("to infinite)")
    assert len(pairs_table(found).frame) == 18


def test_an_affected_hull_without_a_match_is_named() -> None:
    with yard(cause=[0, 2], affected=[*range(0, 60, 2), 3], count=60) as store:
        found = contrast(store, BLISTER, per_hull=1)
    assert found.unmatched  # no hull of that model is left unaffected
    assert any(
        line.startswith(f"No unaffected hull fits beside {found.unmatched[0]}")
        for line in contrast_sentences(found)
    )
