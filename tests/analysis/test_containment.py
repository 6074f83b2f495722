from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.analysis.small_plant import linked_plant
from tracegraph.analysis.containment import Containment, contain
from tracegraph.analysis.reach import closure
from tracegraph.analysis.scopes import node_numbers
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import AmbiguousNameError, DefinitionError, UnknownNameError
from tracegraph.exposure import build_exposure, exposure_from_frames
from tracegraph.store import Store
from tracegraph.store.reader import as_store

HULL_LOT = "hull: gelcoat spray: gelcoat lot"
HULL_DRUM = "hull: gelcoat spray: gelcoat drum"


@pytest.fixture(scope="module")
def store() -> Iterator[Store]:
    build = linked_plant()
    build_exposure(build)
    with as_store(build) as store:
        yield store


def grades(found: Containment) -> dict[str, str]:
    return dict(zip(found.hulls["hull_serial"], found.hulls["grade"], strict=True))


def test_a_lot_reaches_hulls_through_blends_and_a_blank_between_its_uses_is_probable(
    store: Store,
) -> None:
    found = contain(store, HULL_LOT, "G-1")
    assert grades(found) == {
        "BT-1004": "probable",  # in the plant; sprayed between two hulls with G-2, part G-1
        "BT-1003": "recorded",  # at the dealer
        "BT-1001": "recorded",
        "BT-1002": "recorded",
        "BT-1005": "recorded",
    }
    assert found.hulls["hull_serial"].tolist()[:2] == ["BT-1004", "BT-1003"]
    assert found.hulls["priority"].tolist() == [1, 2, 3, 4, 5]
    assert found.counts["total"].to_dict() == {
        "recorded": 4, "probable": 1, "possible": 0, "remote": 0, "cleared": 1,
        "not applicable": 0,
    }  # fmt: skip
    assert found.counts.loc["recorded"].to_dict() == {
        "plant": 0, "transit": 0, "dealer": 1, "owner": 3, "total": 4,
    }  # fmt: skip


@pytest.mark.parametrize("lot", ["G-0", "G-1", "G-2", "G-3"])
def test_recorded_hulls_are_those_that_the_genealogy_reaches(store: Store, lot: str) -> None:
    with store.session() as session:
        (number,) = node_numbers(session, "lot", [f"gelcoat|{lot}"])
        reached = set(closure(session, [number], "downstream")["node_id"])
        serials = dict(session.rows("SELECT node_id, key FROM nodes WHERE kind = 'hull'"))
    hulls: set[str] = set()
    for part in ("hull", "deck"):
        try:
            found = contain(store, f"{part}: gelcoat spray: gelcoat lot", lot)
        except UnknownNameError:  # no deck was sprayed with it
            continue
        hulls |= set(found.hulls.loc[found.hulls["grade"] == "recorded", "hull_serial"])
    assert hulls == {serial for node, serial in serials.items() if node in reached}
    assert hulls


def test_a_chance_stands_beside_each_hull(store: Store) -> None:
    hulls = contain(store, HULL_LOT, "G-1").hulls.set_index("hull_serial")
    assert hulls.loc["BT-1001", "probability"] == 1.0
    # All that lay in the store that day, G-1 and its blend G-2, carries G-1.
    assert hulls.loc["BT-1004", "probability"] == pytest.approx(1.0)
    assert hulls["reason"].isna().all()
    assert set(hulls["state"]) == {"unknown"}


def test_the_state_of_the_action_is_told_by_hull(store: Store) -> None:
    states = {"BT-1001": "corrected", "BT-1004": "notified", "BT-2001": "refused"}
    hulls = contain(store, HULL_LOT, "G-1", states=states).hulls.set_index("hull_serial")
    assert hulls["state"].to_dict() == {
        "BT-1004": "notified", "BT-1003": "unknown", "BT-1001": "corrected",
        "BT-1002": "unknown", "BT-1005": "unknown",
    }  # fmt: skip
    with pytest.raises(DefinitionError, match="one of unknown, notified"):
        contain(store, HULL_LOT, "G-1", states={"BT-1001": "done"})


def test_a_drum_names_its_lot_and_other_lots_clear_a_blank_drum(store: Store) -> None:
    found = contain(store, HULL_DRUM, "G-1/2")
    assert found.parent == (HULL_LOT, "G-1")
    # BT-2001's drum was not written down, but its lot was, and it is G-3.
    assert grades(found) == {"BT-1002": "recorded", "BT-1004": "possible"}
    assert found.counts["total"].sum() == 6
    at_the_parent = contain(store, *found.parent)
    assert set(grades(found)) <= set(grades(at_the_parent))


def test_a_blank_drum_of_the_same_lot_is_possible() -> None:
    with as_store(
        exposure_from_frames(
            pd.DataFrame({"hull_serial": ["A", "B"], "model": "S", "in_service_on": "2025-01-01"}),
            pd.DataFrame(
                [
                    ("A", "deck: gelcoat drum", "G-1/1"), ("A", "deck: gelcoat lot", "G-1"),
                    ("B", "deck: gelcoat drum", None), ("B", "deck: gelcoat lot", "G-1"),
                ],
                columns=["hull_serial", "family", "level"],
            ),
            claims([]),
            pd.DataFrame(
                {
                    "family": ["deck: gelcoat drum", "deck: gelcoat lot"],
                    "kind": ["drum", "material lot"],
                }
            ),
        )
    ) as store:  # fmt: skip
        found = contain(store, "deck: gelcoat drum", "G-1/1")
    assert grades(found) == {"A": "recorded", "B": "possible"}
    assert np.isnan(found.hulls["probability"]).tolist() == [False, True]
    assert found.hulls["reason"].tolist()[1].endswith("not estimated")
    assert found.as_of == date(2025, 1, 1)


def test_months_in_service_are_whole_and_counted_to_the_last_claim(store: Store) -> None:
    found = contain(store, HULL_LOT, "G-1")
    assert found.as_of == date(2026, 5, 3)
    months = found.hulls.set_index("hull_serial")["months_in_service"]
    # In service 2025-04-01, 2025-04-02, 2025-04-05; the others were not delivered.
    assert months.dropna().to_dict() == {"BT-1001": 13, "BT-1002": 13, "BT-1005": 12}
    earlier = contain(store, HULL_LOT, "G-1", as_of=date(2025, 4, 2))
    assert earlier.hulls.set_index("hull_serial")["months_in_service"].dropna().to_dict() == {
        "BT-1001": 0,
        "BT-1002": 0,
    }


def test_affected_needs_a_definition(store: Store) -> None:
    plain = contain(store, HULL_LOT, "G-1").hulls.set_index("hull_serial")
    assert plain["affected"].isna().all()
    assert plain["claims"].to_dict()["BT-1001"] == 2
    blister = CaseDefinition(symptoms=("Blister",), claim_types=("in service", "before delivery"))
    asked = contain(store, HULL_LOT, "G-1", definition=blister)
    hulls = asked.hulls.set_index("hull_serial")
    assert hulls["affected"].to_dict() == {
        "BT-1003": False, "BT-1001": True, "BT-1002": False, "BT-1005": False, "BT-1004": False,
    }  # fmt: skip
    assert hulls["claims"].to_dict()["BT-1001"] == 1
    assert asked.definition is not None
    assert asked.definition.cut_off == date(2026, 5, 3)


def test_the_enclosing_range_says_what_else_lies_in_it(store: Store) -> None:
    ranges = contain(store, HULL_LOT, "G-2").ranges
    rows = ranges.set_index(["model", "basis"])
    assert rows.loc[("S22", "recorded"), ["first", "last"]].tolist() == ["US-QZX1003XA525"] * 2
    wide = rows.loc[("S22", "all listed")]
    assert wide[["first", "last", "number"]].tolist() == [
        "US-QZX1003XA525",
        "US-QZX1004XA525",
        "HIN",
    ]
    pieces = ["recorded", "probable", "possible", "not_exposed"]
    assert (ranges["hulls_in_range"] == ranges[pieces].sum(axis=1)).all()
    around = contain(store, "deck: gelcoat spray: gelcoat lot", "G-1").ranges
    assert around.loc[around["model"] == "S26", "not_exposed"].tolist() == [0, 0]
    assert contain(store, HULL_LOT, "G-3").ranges.loc[0, "not_exposed"] == 0


def test_names_are_found_without_regard_to_case_and_spaces(store: Store) -> None:
    found = contain(store, " Hull:Gelcoat  spray : gelcoat LOT", "g-1")
    assert (found.family, found.level, found.kind) == (HULL_LOT, "G-1", "material lot")


def test_unknown_names_offer_the_near_ones(store: Store) -> None:
    with pytest.raises(UnknownNameError, match=f"Near: .*{HULL_LOT}"):
        contain(store, "hull: gelcoat spry: gelcoat lot", "G-1")
    with pytest.raises(UnknownNameError, match=r"There is no level 'G-11'\. Near: .*G-1"):
        contain(store, HULL_LOT, "G-11")


def test_people_need_a_reason(store: Store) -> None:
    family = "hull: gelcoat spray: operator"
    for reason in (None, "  "):
        with pytest.raises(DefinitionError, match="only with a reason"):
            contain(store, family, "P-07", people_reason=reason)
    assert len(contain(store, family, "P-07", people_reason="gun handover").hulls) == 6


def claims(rows: list[tuple[str, str, str, str]]) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=["claim_no", "hull_serial", "opened_on", "symptom"])


def test_two_spellings_of_a_level_are_not_merged() -> None:
    with as_store(
        exposure_from_frames(
            pd.DataFrame({"hull_serial": ["A", "B"], "model": "S", "in_service_on": "2025-01-01"}),
            pd.DataFrame({"hull_serial": ["A", "B"], "family": "f", "level": ["gb-12c", "GB-12C"]}),
            claims([]),
        )
    ) as store:
        assert grades(contain(store, "f", "gb-12c")) == {"A": "recorded"}
        with pytest.raises(AmbiguousNameError, match="GB-12C, gb-12c"):
            contain(store, "f", "Gb-12c")


PLACES = ("plant", "transit", "dealer", "owner")
ANSWERS = st.sampled_from([(), ("L1",), ("L2",), ("L1", "L2"), (None,), ("L2", None), ("L1", None)])


@given(st.lists(st.tuples(ANSWERS, st.sampled_from(PLACES)), min_size=1, max_size=12))
@settings(max_examples=25, deadline=None)
def test_counts_always_add_up_and_a_blank_never_clears(
    hulls: list[tuple[tuple[str | None, ...], str]],
) -> None:
    serials = [f"H{n:02d}" for n in range(len(hulls))]
    rows = [
        (serial, "f", level)
        for serial, (answers, _) in zip(serials, hulls, strict=True)
        for level in answers
    ] + [("Z", "f", "L1")]
    frame = pd.DataFrame(
        {"hull_serial": [*serials, "Z"], "place": [*(place for _, place in hulls), "owner"]}
    ).assign(model="S", in_service_on="2025-01-01")
    exposure = pd.DataFrame(rows, columns=["hull_serial", "family", "level"])
    with as_store(exposure_from_frames(frame, exposure, claims([]))) as store:
        found = contain(store, "f", "L1")
    assert found.counts["total"].sum() == len(frame)
    assert (found.counts[list(PLACES)].sum(axis=1) == found.counts["total"]).all()
    acted = found.counts.loc[["recorded", "probable", "possible"], "total"]
    assert acted.sum() == len(found.hulls)
    by_grade = grades(found)
    for serial, (answers, place) in zip(serials, hulls, strict=True):
        expected = "recorded" if "L1" in answers else "possible" if None in answers else None
        assert by_grade.get(serial) == expected
        if expected:
            listed = found.hulls.set_index("hull_serial").loc[serial]
            assert listed["place"] == place
