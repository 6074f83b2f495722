from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.analysis.containing.fleets import END
from tracegraph.analysis.contrast import Contrast, contrast, match
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError
from tracegraph.exposure import exposure_from_frames
from tracegraph.report.genealogy_json import contrast_json
from tracegraph.store import Store
from tracegraph.store.reader import as_store

BLISTER = CaseDefinition(symptoms=("blister",), reporting_days=0)


def yard(
    cause: list[int], affected: list[int], count: int = 60, missing: tuple[int, ...] = ()
) -> Store:
    """Hulls of two models in turn; ``cause`` carry lot X, all carry their week."""
    serial = [f"H{n:03d}" for n in range(count)]
    built = [pd.Timestamp("2023-03-01") + pd.Timedelta(days=n) for n in range(count)]
    hulls = pd.DataFrame(
        {
            "hull_serial": serial,
            "model": ["S22" if n % 2 else "S26" for n in range(count)],
            "completed_on": built,
            "in_service_on": END - pd.DateOffset(months=24),
        }
    )
    rows = [(serial[n], "week", f"W{n // 7}") for n in range(count)]
    rows += [
        (serial[n], "lot", None if n in missing else "X" if n in cause else "Y")
        for n in range(count)
    ]
    rows += [(name, "sprayer", "P-1") for name in serial]
    exposure = pd.DataFrame(rows, columns=["hull_serial", "family", "level"])
    day = END - pd.DateOffset(months=18)
    claims = pd.DataFrame(
        [(f"C{n}", serial[n], day, day, "blister") for n in affected]
        + [("C", serial[0], END, END, "other")],
        columns=["claim_no", "hull_serial", "opened_on", "failed_on", "symptom"],
    )
    families = pd.DataFrame({"family": ["sprayer"], "kind": ["people"]})
    return as_store(exposure_from_frames(hulls, exposure, claims, families))


def level(found: Contrast, family: str, name: str) -> pd.Series:
    rows = found.levels
    return rows[(rows["family"] == family) & (rows["level"] == name)].iloc[0]


def test_what_sets_the_affected_apart_comes_first_and_the_weeks_do_not() -> None:
    affected = [14, 20, 26, 32, 38, 44]
    with yard(cause=[*affected, 21, 40], affected=affected) as store:
        found = contrast(store, BLISTER, per_hull=3)
    first = found.levels.iloc[0]
    assert (first["family"], first["level"]) == ("lot", "X")
    assert (first["affected_with"], first["affected_known"]) == (6, 6)
    assert first["unaffected_with"] <= 1
    assert first["p_greater"] < 0.01
    assert first["rate_ratio_low"] > 1
    # Each set of four has one hull with it, the affected one, or two.
    assert first["expected"] == pytest.approx(6 / 4, abs=0.5)
    weeks = found.levels[found.levels["family"] == "week"]
    assert (weeks["p_greater"] > 0.05).all()
    assert len(found.pairs) == 18
    assert found.unmatched == ()


def test_matched_hulls_are_of_the_same_model_and_near() -> None:
    affected = [20, 22, 31]
    with yard(cause=affected, affected=affected) as store:
        found = contrast(store, BLISTER, per_hull=2)
    number = found.pairs[["affected", "unaffected"]].apply(lambda s: s.str[1:].astype(int))
    assert (number["affected"] % 2 == number["unaffected"] % 2).all()
    assert found.pairs["days"].abs().max() <= 6
    assert (number["unaffected"] - number["affected"] == found.pairs["days"]).all()
    assert found.pairs["unaffected"].is_unique
    assert not set(found.pairs["unaffected"]) & {"H020", "H022", "H031"}


def test_a_missing_record_counts_neither_way() -> None:
    affected = [20, 22, 24]
    with yard(cause=affected, affected=affected, missing=(20, 18)) as store:
        found = contrast(store, BLISTER, per_hull=2)
    lot = level(found, "lot", "X")
    assert (lot["affected_with"], lot["affected_known"]) == (2, 2)
    assert lot["unaffected_known"] < 6


def test_some_of_the_affected_may_be_named() -> None:
    affected = [20, 22, 24]
    with yard(cause=affected, affected=affected) as store:
        found = contrast(store, BLISTER, hulls=["H020", "h-022"], per_hull=1)
        assert sorted(found.pairs["affected"]) == ["H020", "H022"]
        with pytest.raises(DefinitionError, match="Hull H021 is not affected"):
            contrast(store, BLISTER, hulls=["H020", "H021"])
        with pytest.raises(DefinitionError, match="per_hull must be 1 or more"):
            contrast(store, BLISTER, per_hull=0)


def test_people_are_left_out_without_a_reason() -> None:
    affected = [20, 22]
    with yard(cause=affected, affected=affected) as store:
        assert "people" not in set(contrast(store, BLISTER).levels["kind"])
        told = contrast(store, BLISTER, people_reason="new gun handed over")
        assert "people" in set(told.levels["kind"])
        document = contrast_json(told)
    assert document["people_reason"] == "new gun handed over"
    assert document["levels"][0]["family"]
    assert all(row["rate_ratio_high"] is None or row["rate_ratio_high"] > 0
               for row in document["levels"])  # fmt: skip


def test_nobody_affected_is_said() -> None:
    with yard(cause=[], affected=[10]) as store:
        narrow = CaseDefinition(symptoms=("blister",), reporting_days=0, service_months=(20, 24))
        with pytest.raises(DefinitionError, match="No hull is affected"):
            contrast(store, narrow)


HULLS = st.lists(
    st.tuples(
        st.sampled_from(["S22", "S26"]), st.integers(0, 20), st.none() | st.integers(0, 12),
        st.integers(0, 24),
    ),
    min_size=1, max_size=25,
)  # fmt: skip


@given(HULLS, st.integers(1, 3))
@settings(max_examples=120, deadline=None)
def test_matching_keeps_its_rules(
    hulls: list[tuple[str, int, int | None, int]], per_hull: int
) -> None:
    frame = pd.DataFrame(
        {
            "hull_id": np.arange(1, len(hulls) + 1),
            "model": [model for model, _, _, _ in hulls],
            "built_on": [pd.Timestamp("2024-01-01") + pd.Timedelta(days=d) for _, d, _, _ in hulls],
            "case_month": pd.array([month for _, _, month, _ in hulls], dtype="Int64"),
            "follow_months": [follow for _, _, _, follow in hulls],
        }
    )
    affected = frame.loc[frame["case_month"].notna(), "hull_id"]
    pairs = match(frame, affected, per_hull)
    rows = frame.set_index("hull_id")
    assert pairs["unaffected"].is_unique
    assert (pairs.groupby("affected").size() <= per_hull).all()
    for pair in pairs.itertuples():
        own, other = rows.loc[pair.affected], rows.loc[pair.unaffected]
        assert own["model"] == other["model"]
        assert pd.isna(other["case_month"])
        assert other["follow_months"] >= own["case_month"]
        assert pair.days == (other["built_on"] - own["built_on"]).days
    # Nobody is left without while a suitable hull is free.
    for hull in set(affected) - set(pairs["affected"]):
        own = rows.loc[hull]
        like = rows[
            (rows["model"] == own["model"])
            & rows["case_month"].isna()
            & (rows["follow_months"] >= own["case_month"])
        ]
        assert set(like.index) <= set(pairs["unaffected"])
