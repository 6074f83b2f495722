"""The traceability score by hand."""

from __future__ import annotations

import pandas as pd
import pytest

from tests.exposure.test_exposure import deck_plant, derived
from tracegraph.analysis.completeness import completeness
from tracegraph.store.reader import as_store


def test_score_counts_each_expected_record_once() -> None:
    # Expected of each hull: its gelcoat lot, its mold, its station. H3 lacks the lot.
    found = completeness(as_store(derived(**deck_plant(4, ["L1", "L2", None, "L1"]))))
    assert set(found.by_family["family"]) == {
        "deck: gelcoat spray: gelcoat lot", "deck: mold", "deck: gelcoat spray: station",
    }  # fmt: skip
    scores = found.by_hull.set_index("hull_serial")["score"]
    assert scores["H3"] == pytest.approx(2 / 3)
    assert (scores.drop("H3") == 1).all()
    assert found.by_hull["hull_serial"].iloc[0] == "H3"
    month = found.by_month.iloc[0]
    assert month["built_month"] == pd.Timestamp("2025-01-01")
    assert (month["recorded"], month["expected"]) == (11, 12)
