"""Chances of hulls without a record, from the records before and after."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd
import pytest

from tests.exposure.test_exposure import deck_plant, derived
from tests.support.records import Row
from tests.support.stock_plant import FAMILY, Habits, stock_plant
from tracegraph.analysis.containing.grading import Graded, grade, union
from tracegraph.analysis.naming import find_suspect
from tracegraph.store import Build

LOT = "deck: gelcoat spray: gelcoat lot"


def graded(build: Build, family: str, level: str) -> pd.DataFrame:
    """Grades and chances by hull serial."""
    return _graded(build, family, level)[1]


def _graded(build: Build, family: str, level: str) -> tuple[Graded, pd.DataFrame]:
    hulls = build.frame_of("SELECT hull_id, hull_serial FROM hull_index ORDER BY hull_id")
    hulls = hulls.set_index("hull_id")
    found = grade(build, find_suspect(build, family, level), hulls.index)
    return found, found.hulls.join(hulls).set_index("hull_serial")


def chances(build: Build, family: str, level: str) -> dict[str, float]:
    frame = graded(build, family, level)
    asked = ~frame["grade"].isin(["recorded", "cleared", "not applicable"])
    return {str(serial): float(p) for serial, p in frame.loc[asked, "probability"].items()}


def lots(pattern: str) -> list[str | None]:
    """A letter for each hull: A and B are lots, a question mark was not written down."""
    return [None if letter == "?" else letter for letter in pattern]


def plant(pattern: str, **more: list[Row]) -> Build:
    tables = deck_plant(len(pattern), lots(pattern), **more)
    return derived(**tables)


def test_the_chance_falls_evenly_between_two_lots() -> None:
    # P(k-th of g hulls on the first lot) = 1 - k / (g + 1).
    build = plant("AAAA???BB")
    frame = graded(build, LOT, "A")
    assert frame["grade"].tolist() == [
        *["recorded"] * 4, "probable", "probable", "possible", *["cleared"] * 2,
    ]  # fmt: skip
    assert frame["probability"].tolist()[4:7] == pytest.approx([0.75, 0.5, 0.25])
    assert graded(build, LOT, "B")["probability"].tolist()[4:7] == pytest.approx([0.25, 0.5, 0.75])


def test_a_use_out_of_order_is_spread_over_the_lots_in_stock_that_day() -> None:
    receipts = [
        {"material": "gelcoat", "lot_no": lot, "received_on": "2024-12-01",
         "expires_on": "2025-06-01", "received_qty": 400, "on_hand_qty": left}
        for lot, left in (("A", 50), ("B", 0), ("C", 90))
    ]  # fmt: skip
    build = plant("CCAA?AABB", lots=receipts)
    found, frame = _graded(build, LOT, "A")
    assert found.chances is not None
    memory = found.chances.streams.memory
    # Four uses stand between two recorded ones, all in order: Beta(1 + 0, 9 + 4).
    assert (memory.keep, memory.out, memory.in_order) == (0.0, 0, 4)
    stray = 1 / 14
    # On the fifth day A and C lay there, since some is still on hand, and B, used later.
    assert frame.loc["H5", "probability"] == pytest.approx((1 - stray) + stray / 3)
    assert chances(build, LOT, "C")["H5"] == pytest.approx(stray / 3)
    assert chances(build, LOT, "B")["H5"] == pytest.approx(stray / 3)


def test_a_hull_far_from_the_lot_is_remote_and_never_cleared() -> None:
    frame = graded(plant("?AAAAABBBBBCCCCCDDDDD?EEEEE"), LOT, "A")
    assert frame.loc["H1", "grade"] == "probable"
    assert frame.loc["H22", "grade"] == "remote"
    assert frame.loc["H22", "probability"] < 0.01


def test_a_hull_on_both_lots_of_a_change_over_carries_both() -> None:
    extra = [{"operation_id": "G-H4", "material": "gelcoat", "lot_no": "B"}]
    build = plant("AAAABBBB", usages=extra)
    for lot in "AB":
        assert graded(build, LOT, lot).loc["H4", "grade"] == "recorded"


def test_work_without_any_sheet_is_placed_by_other_work_on_the_hull() -> None:
    pattern = "AAAAAABBBBBB"
    tables = deck_plant(len(pattern), lots(pattern))
    # Every deck was laminated on the day after its gelcoat; the sheet of H4 is lost.
    tables["operations"] += [
        {"operation_id": f"L-H{n}", "step": "laminate", "part_serial": f"P-H{n}",
         "started_at": f"2025-01-{n + 1:02d} 09:00"}
        for n in range(1, len(pattern) + 1)
    ]  # fmt: skip
    tables["operations"] = [row for row in tables["operations"] if row["operation_id"] != "G-H4"]
    tables["usages"] = [row for row in tables["usages"] if row["operation_id"] != "G-H4"]
    build = derived(**tables)
    frame = graded(build, LOT, "A")
    assert frame.loc["H4", "grade"] == "probable"
    assert graded(build, LOT, "B").loc["H4", "probability"] < 0.1


def test_a_hull_that_cannot_be_placed_is_possible_with_the_reason() -> None:
    tables = deck_plant(3, ["A", "A", "B"])
    tables["hulls"].append({"hull_serial": "X", "model": "S18"})
    frame = graded(derived(**tables), LOT, "A")
    assert frame.loc["X", "grade"] == "possible"
    assert np.isnan(frame.loc["X", "probability"])
    assert frame.loc["X", "reason"] == (
        "no record of it, and none to place its use in time by; not estimated"
    )


def drum_rows(told: Sequence[tuple[str | None, str | None]]) -> Build:
    tables = deck_plant(len(told), [])
    tables["usages"] = [
        {"operation_id": f"G-H{n}", "material": "gelcoat", "lot_no": lot, "drum_no": drum}
        for n, (lot, drum) in enumerate(told, 1)
    ]
    return derived(**tables)


def test_a_drum_is_asked_among_the_drums_of_its_lot() -> None:
    build = drum_rows(
        [("A", "1"), ("A", "1"), ("A", None), ("A", "2"), (None, None), ("B", "1"), ("B", None)]
    )
    first = graded(build, "deck: gelcoat spray: gelcoat drum", "A/1")
    second = graded(build, "deck: gelcoat spray: gelcoat drum", "A/2")
    # Known to be lot A, halfway between its drums 1 and 2.
    assert first.loc["H3", "probability"] == pytest.approx(0.5, abs=0.08)
    assert second.loc["H3", "probability"] == pytest.approx(0.5, abs=0.08)
    # Lot not known: half a chance of lot A, then drum 2 for sure.
    assert second.loc["H5", "probability"] == pytest.approx(0.5, abs=0.1)
    assert first.loc["H5", "probability"] < 0.1
    # Lot B was written down: another lot clears the drum.
    assert first.loc["H7", "grade"] == second.loc["H7", "grade"] == "cleared"


def test_a_supplier_is_carried_by_its_lots_and_by_blends_of_them() -> None:
    build = plant(
        "AAAA?AATT",
        lots=[
            {"material": "gelcoat", "lot_no": "A", "supplier": "SP-1"},
            {"material": "gelcoat", "lot_no": "B", "supplier": "SP-2"},
        ],
        blends=[{"material": "gelcoat", "lot_no": "T", "parent_lot_no": "A", "share": 0.5}],
    )
    frame = graded(build, "deck: gelcoat spray: gelcoat supplier", "SP-1")
    assert frame["grade"].tolist() == [*["recorded"] * 4, "probable", *["recorded"] * 4]


def test_a_lot_within_blends_is_told_by_the_blends_around() -> None:
    build = plant(
        "TTT?TTUUU?UU",
        blends=[
            {"material": "gelcoat", "lot_no": "T", "parent_material": "base",
             "parent_lot_no": "R", "share": 0.9},
            {"material": "gelcoat", "lot_no": "U", "parent_material": "base",
             "parent_lot_no": "Q", "share": 1.0},
        ],
    )  # fmt: skip
    frame = graded(build, "deck: gelcoat spray: base lot", "R")
    assert frame.loc["H4", "grade"] == "probable"
    assert frame.loc["H10", "grade"] in {"remote", "possible"}
    assert frame.loc["H7", "grade"] == "cleared"


def test_any_part_asks_the_missing_uses_of_every_part() -> None:
    tables = deck_plant(9, lots("AAAA?BBBB"))
    for n, lot in enumerate("AAAAAABB?", 1):
        tables["parts"].append({"part_serial": f"Q-H{n}", "part": "hull", "hull_serial": f"H{n}"})
        tables["operations"].append(
            {"operation_id": f"Q-H{n}", "step": "gelcoat spray", "part_serial": f"Q-H{n}",
             "started_at": f"2025-01-{n:02d} 12:00"}
        )  # fmt: skip
        tables["usages"].append(
            {"operation_id": f"Q-H{n}", "material": "gelcoat",
             "lot_no": None if lot == "?" else lot}
        )  # fmt: skip
    build = derived(**tables)
    frame = graded(build, "any part: gelcoat lot", "A")
    # The hull of H5 was sprayed with A; the deck of H6 with B, its hull with A.
    assert frame.loc[["H1", "H5", "H6"], "grade"].tolist() == ["recorded"] * 3
    assert frame.loc["H9", "grade"] in {"possible", "remote"}
    assert frame.loc["H7", "grade"] == "cleared"


def test_bought_items_follow_the_order_of_fitting() -> None:
    tables = deck_plant(12, lots("A" * 12))
    tables["components"] = [
        {"hull_serial": f"H{n}", "component": "fuel hose", "lot_no": lot,
         "fitted_at": f"2025-02-{n:02d} 10:00"}
        for n, lot in enumerate(lots("PPPP?PPQQQQQ"), 1)
    ]  # fmt: skip
    frame = graded(derived(**tables), "hull: fuel hose: lot", "P")
    assert frame.loc["H5", "grade"] == "probable"
    assert frame.loc["H12", "grade"] == "cleared"


def test_a_mold_is_told_by_the_share_of_parts_around_it() -> None:
    tables = deck_plant(30, lots("A" * 30))
    for n, part in enumerate(tables["parts"]):
        part["mold_no"] = None if n == 14 else ("M1" if n % 3 else "M2")
        part["pulled_at"] = str(pd.Timestamp("2025-01-01 16:00") + pd.Timedelta(days=n))
    for n, work in enumerate(tables["operations"]):
        start = pd.Timestamp("2025-01-01 07:00") + pd.Timedelta(days=n)
        work |= {"started_at": str(start), "finished_at": str(start)}
    build = derived(**tables)
    one, two = (graded(build, "deck: mold", mold).loc["H15"] for mold in ("M1", "M2"))
    assert one["probability"] > 0.4
    assert two["probability"] > 0.01
    assert one["probability"] > two["probability"]


def test_the_union_takes_the_surest_grade_and_clears_only_when_all_clear() -> None:
    build = plant("AAA?BBB")
    members: list[Graded] = []
    for family, level in ((LOT, "A"), (LOT, "B"), ("deck: gelcoat spray: weekday", "Monday")):
        members.append(_graded(build, family, level)[0])
    frame = union(members[:2])
    assert frame["grade"].tolist() == [*["recorded"] * 3, "probable", *["recorded"] * 3]
    each = [one.hulls["probability"].iloc[3] for one in members[:2]]
    assert frame["probability"].iloc[3] == pytest.approx(1 - (1 - each[0]) * (1 - each[1]))
    with_day = union([members[0], members[2]])
    # 2025-01-06, the sixth hull, is the only Monday.
    assert with_day["grade"].tolist()[4:] == ["cleared", "recorded", "cleared"]


@pytest.mark.parametrize(
    "habits",
    [
        Habits(missing=0.15),
        Habits(missing=0.4, in_blocks=True),
        Habits(missing=0.15, dates_only=True, lost_sheets=0.5),
    ],
    ids=["15 % lost", "40 % lost in blocks", "dates only, sheets lost"],
)
def test_lists_hold_the_hulls_that_truly_carry_a_lot(habits: Habits) -> None:
    made = stock_plant(7, 260, habits)
    told: list[float] = []
    came: list[Any] = []
    found = exposed = listed = 0
    with made.store() as store, store.session() as session:
        hulls = session.frame_of("SELECT hull_id, hull_serial FROM hull_index ORDER BY 1")
        hulls = hulls.set_index("hull_id")["hull_serial"]
        for part in ("hull", "deck"):
            family = FAMILY.format(part=part)
            own = made.truth[made.truth["part"] == part]
            for lot in sorted(own.loc[own["recorded"], "lot_no"].unique()):
                frame = grade(session, find_suspect(session, family, lot), hulls.index).hulls
                true = hulls.isin(own.loc[own["lot_no"] == lot, "hull_serial"])
                assert not (true & (frame["grade"] == "cleared")).any()
                held = frame["grade"].isin(["recorded", "probable", "possible"])
                found, exposed = found + int((true & held).sum()), exposed + int(true.sum())
                listed += int(held.sum())
                doubt = frame["grade"].isin(["probable", "possible"])
                told += frame.loc[doubt, "probability"].tolist()
                came += true[doubt].tolist()
    assert found / exposed >= 0.99
    assert found / listed >= 0.6
    chance, true_share = np.array(told), np.array(came, dtype=float)
    for low, high in ((0.01, 0.2), (0.2, 0.8), (0.8, 1.01)):
        inside = (chance >= low) & (chance < high)
        spread = 3 * np.sqrt(0.25 / inside.sum())
        assert true_share[inside].mean() == pytest.approx(chance[inside].mean(), abs=spread)


def test_a_blend_of_the_lot_holds_none_of_its_drums_by_name() -> None:
    # Blend T of lot A has a drum 1 as well; hulls on it do not carry drum A/1.
    tables = deck_plant(7, [])
    told = [("A", "1"), ("A", "1"), ("T", "1"), ("T", "1"), (None, None), ("T", "1"), ("T", "1")]
    tables["usages"] = [
        {"operation_id": f"G-H{n}", "material": "gelcoat", "lot_no": lot, "drum_no": drum}
        for n, (lot, drum) in enumerate(told, 1)
    ]
    tables["blends"] = [{"material": "gelcoat", "lot_no": "T", "parent_lot_no": "A", "share": 0.5}]
    build = derived(**tables)
    drum = graded(build, "deck: gelcoat spray: gelcoat drum", "A/1")
    assert drum["grade"].tolist()[:4] == ["recorded", "recorded", "cleared", "cleared"]
    assert drum.loc["H5", "probability"] < 0.1
    lot = graded(build, LOT, "A")
    assert lot.loc["H5", "probability"] > 0.9
