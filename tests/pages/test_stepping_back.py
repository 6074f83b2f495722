"""A step back on a page is left as it is, so that the next step leads further back."""

from __future__ import annotations

from pathlib import Path

from tests.pages.conftest import Open, words

LOT = {"factor": "hull: gelcoat spray: gelcoat lot", "level": "GW-2147"}


def test_a_step_back_is_not_undone(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "cluster", symptom="blister")
    words(at)
    assert set(at.query_params) == {"symptom", *LOT}
    for name in LOT:
        del at.query_params[name]
    at.run()
    said = words(at)
    assert "carry hull: gelcoat spray: gelcoat lot GW-2147" in said
    assert set(at.query_params) == {"symptom"}
    at.run()
    assert set(at.query_params) == {"symptom"}
    at.multiselect(key="field: model").set_value(["S22"]).run()
    assert set(at.query_params) >= {"symptom", "model", "factor"}
