"""Every cluster that is big enough is ranked once, and what was found is kept with its build."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from tests.analysis.test_overview import HULLS, _claim, _hull, _store
from tests.support.records import Row
from tracegraph.analysis import first_suspects as module
from tracegraph.analysis.first_suspects import (
    COLUMNS,
    clusters,
    factors_frame,
    first_suspects,
    kept_first_suspects,
    top_factors,
)
from tracegraph.intake.load import load_folder
from tracegraph.store import Store, StoreDirectory, open_store
from tracegraph.store.findings import findings_path


def plant_with_a_bad_lot() -> Store:
    serials = [f"H{i:02d}" for i in range(40)]
    hulls = [_hull(s, "2025-01-10", "2025-03-01") for s in serials]
    parts: list[Row] = [
        {"part_serial": f"D-{s}", "part": "deck", "hull_serial": s, "pulled_at": "2025-01-05 10:00"}
        for s in serials
    ]
    operations: list[Row] = [
        {
            "operation_id": f"O-{s}",
            "step": "gelcoat spray",
            "part_serial": f"D-{s}",
            "started_at": "2025-01-04 10:00",
        }
        for s in serials
    ]
    usages: list[Row] = [
        {
            "operation_id": f"O-{s}",
            "material": "gelcoat",
            "lot_no": "G-BAD" if i < 8 else f"G-{i % 4}",
        }
        for i, s in enumerate(serials)
    ]
    claims = [_claim(f"C{i}", f"H{i:02d}", "2025-09-01") for i in range(6)]
    claims += [_claim(f"R{i}", f"H{i:02d}", "2025-09-01", symptom="rare") for i in range(4)]
    claims += [_claim("L", "H39", "2026-06-30", symptom="late")]
    return _store(hulls, claims, parts=parts, operations=operations, usages=usages)


def test_top_factors_rank_every_symptom_that_affects_enough_hulls() -> None:
    store = plant_with_a_bad_lot()
    frame = top_factors(store)
    assert frame["symptom"].tolist() == ["blister"]
    first = frame.iloc[0]
    assert (first["affected"], first["at_risk"]) == (6, 40)
    assert "gelcoat lot" in first["family"]
    assert first["level"] == "G-BAD"
    assert (first["affected_exposed"], first["exposed"]) == (6, 8)
    assert clusters(store, 4) == [("blister", None), ("rare", None)]
    assert len(top_factors(store, 4)) == 2
    assert top_factors(_store(HULLS, [])).empty


def test_a_cluster_in_which_nothing_is_shared_has_no_suspect() -> None:
    frame = top_factors(plant_with_a_bad_lot(), 1).set_index("symptom")
    assert frame.loc["late", "affected"] == 0
    assert pd.isna(frame.loc["late", "family"])
    assert pd.isna(frame.loc["late", "evidence"])


def test_a_build_is_ranked_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    records = tmp_path / "records"
    records.mkdir()
    hulls = "".join(f"H{n},S18,2025-01-{n:02d},2025-03-01\n" for n in range(1, 21))
    (records / "hulls.csv").write_text("hull_serial,model,completed_on,in_service_on\n" + hulls)
    claims = "".join(f"C{n},H{n},2025-09-01,leak\n" for n in range(1, 7))
    (records / "claims.csv").write_text("claim_no,hull_serial,opened_on,symptom\n" + claims)
    load_folder(records, StoreDirectory(tmp_path / "store"))
    with open_store(tmp_path / "store") as store:
        assert kept_first_suspects(store) == {}
        found = list(first_suspects(store))
        assert [one["symptom"] for one in found] == ["leak"]
        assert tuple(found[0]) == COLUMNS
        monkeypatch.setattr(module, "rank", None)
        assert list(first_suspects(store)) == found
        pd.testing.assert_frame_equal(factors_frame(found), top_factors(store))
        # A line that another program left half written is passed over.
        with findings_path(store.path).open("a") as file:
            file.write('{"kind": "fir')
        assert kept_first_suspects(store) == {"leak": found[0]}
