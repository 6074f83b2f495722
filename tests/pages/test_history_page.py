"""The build history marks what is out of the ordinary in words and by a sign."""

from __future__ import annotations

from pathlib import Path

from tests.pages.conftest import Open, unfold, words
from tracegraph.report.peers import MARKS


def test_findings_carry_a_sign_and_a_word(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "history", hull="S26-0095")
    assert "It proves no fault and blames nobody." in words(at)
    found = next(f.value for f in at.dataframe if "finding" in f.value.columns)
    assert "missing record" in set(found["finding"])
    assert list(found[""]) == [MARKS[kind] for kind in found["finding"]]
    unfold(at, "places")
    words(at)
    assert any("place among peers, %" in f.value.columns for f in at.dataframe)
