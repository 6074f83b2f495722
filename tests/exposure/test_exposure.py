"""Records become answers: exposed, not exposed, or not written down."""

from __future__ import annotations

import math
from collections.abc import Iterable

import pytest

from tests.support.records import Row, build_of
from tracegraph.exposure import build_exposure
from tracegraph.linkage import link_records
from tracegraph.store import Build

Answers = dict[str, set[str | None]]


def derived(**tables: list[Row]) -> Build:
    build = build_of(**tables)
    link_records(build)
    build_exposure(build)
    return build


def answers(build: Build, family: str) -> Answers:
    """Levels of each hull, by serial; None stands for a use that was not written down."""
    found: Answers = {}
    for serial, level in build.rows(
        "SELECT h.hull_serial, CASE WHEN e.level_id = 0 THEN 'known: none' ELSE l.level END "
        "FROM exposure AS e JOIN families AS f USING (family_id) "
        "JOIN hull_index AS h USING (hull_id) "
        "LEFT JOIN levels AS l USING (level_id) WHERE f.family = $family",
        {"family": family},
    ):
        found.setdefault(serial, set()).add(level)
    return found


def deck_plant(count: int, used: Iterable[str | None], **more: list[Row]) -> dict[str, list[Row]]:
    """Hulls H1.. with one deck each, sprayed on one day after another with the given lots."""
    serials = [f"H{i}" for i in range(1, count + 1)]
    tables = {
        "hulls": [{"hull_serial": s, "model": "S18"} for s in serials],
        "parts": [
            {
                "part_serial": f"P-{s}",
                "part": "deck",
                "hull_serial": s,
                "mold_no": "M1",
                "pull_no": i,
                "pulled_at": f"2025-01-{i:02d} 16:00",
            }
            for i, s in enumerate(serials, 1)
        ],
        "operations": [
            {
                "operation_id": f"G-{s}",
                "step": "gelcoat spray",
                "part_serial": f"P-{s}",
                "station": "B1",
                "started_at": f"2025-01-{i:02d} 07:00",
                "finished_at": f"2025-01-{i:02d} 08:00",
            }
            for i, s in enumerate(serials, 1)
        ],
        "usages": [
            {"operation_id": f"G-{s}", "material": "gelcoat", "lot_no": lot, "drum_no": "1"}
            for s, lot in zip(serials, used, strict=False)
        ],
    }
    for name, rows in more.items():
        tables[name] = tables.get(name, []) + rows
    return tables


def test_three_answers() -> None:
    build = derived(**deck_plant(4, ["L1", "L2", None]))
    assert answers(build, "deck: gelcoat spray: gelcoat lot") == {
        "H1": {"L1"},
        "H2": {"L2"},
        "H3": {None},
        "H4": {None},
    }
    assert answers(build, "deck: gelcoat spray: gelcoat drum")["H1"] == {"L1/1"}


def test_family_that_does_not_apply_leaves_no_row() -> None:
    tables = deck_plant(4, ["L1"] * 4)
    tables["hulls"] += [{"hull_serial": f"X{i}", "model": "S26"} for i in range(3)]
    found = answers(derived(**tables), "deck: gelcoat spray: gelcoat lot")
    assert set(found) == {"H1", "H2", "H3", "H4"}


def test_one_blank_among_several_lots_is_exposed_to_those_and_unknown_for_the_rest() -> None:
    extra = [{"operation_id": "G-H1", "material": "gelcoat", "lot_no": None}]
    build = derived(**deck_plant(3, ["L1", "L1", "L2"], usages=extra))
    assert answers(build, "deck: gelcoat spray: gelcoat lot")["H1"] == {"L1", None}
    flags = build.rows(
        "SELECT e.level_id IS NULL, complete, first_row FROM exposure AS e "
        "JOIN families USING (family_id) JOIN hull_index USING (hull_id) "
        "WHERE family = 'deck: gelcoat spray: gelcoat lot' AND hull_serial = 'H1' ORDER BY 1"
    )
    assert flags == [(False, False, True), (True, False, False)]


def test_repeated_usage_rows_count_once() -> None:
    tables = deck_plant(3, ["L1", "L1", "L2"])
    tables["usages"] += tables["usages"]
    build = derived(**tables)
    assert build.scalar("SELECT count(*) FROM exposure") == build.scalar(
        "SELECT count(*) FROM (SELECT DISTINCT family_id, level_id, hull_id FROM exposure)"
    )


def test_exposure_reaches_up_through_blends_and_suppliers() -> None:
    build = derived(
        **deck_plant(
            3,
            ["D1", "L2", None],
            blends=[
                {
                    "material": "gelcoat",
                    "lot_no": "D1",
                    "parent_material": "base",
                    "parent_lot_no": "B1",
                    "share": 0.6,
                },
                {"material": "base", "lot_no": "B1", "parent_lot_no": "B0", "share": 1.0},
            ],
            lots=[
                {"material": "gelcoat", "lot_no": "L2", "supplier": "SP2"},
                {"material": "base", "lot_no": "B0", "supplier": "SP9"},
            ],
        )
    )
    assert answers(build, "deck: gelcoat spray: base lot") == {
        "H1": {"B1", "B0"},
        "H2": {"known: none"},
        "H3": {None},
    }
    assert answers(build, "deck: gelcoat spray: gelcoat supplier")["H2"] == {"SP2"}
    assert "SP9" in answers(build, "deck: gelcoat spray: base supplier")["H1"]


def test_lot_number_of_two_suppliers_leaves_the_supplier_open() -> None:
    build = derived(
        **deck_plant(
            2,
            ["Z-55", "L2"],
            lots=[
                {"material": "gelcoat", "lot_no": "Z-55", "supplier": "P"},
                {"material": "gelcoat", "lot_no": "Z-55", "supplier": "Q"},
                {"material": "gelcoat", "lot_no": "L2", "supplier": "Q"},
            ],
        )
    )
    assert answers(build, "deck: gelcoat spray: gelcoat supplier") == {"H1": {None}, "H2": {"Q"}}


def test_same_lot_on_two_parts_makes_an_any_part_question() -> None:
    tables = deck_plant(2, ["L1", "L2"])
    tables["parts"] += [
        {"part_serial": "Q1", "part": "grid", "hull_serial": "H1"},
        {"part_serial": "Q2", "part": "grid", "hull_serial": "H2"},
    ]
    for n, lot in (("1", "L9"), ("2", "L1")):
        tables["operations"].append(
            {
                "operation_id": f"Q-G{n}",
                "step": "gelcoat spray",
                "part_serial": f"Q{n}",
                "started_at": "2025-02-01 07:00",
            }
        )
        tables["usages"].append({"operation_id": f"Q-G{n}", "material": "gelcoat", "lot_no": lot})
    build = derived(**tables)
    assert answers(build, "any part: gelcoat lot") == {"H1": {"L1", "L9"}, "H2": {"L1", "L2"}}


@pytest.mark.parametrize("written", [True, False])
def test_waxing_and_repair_reset_their_pull_counts(written: bool) -> None:
    tables = deck_plant(
        6,
        ["L1"] * 6,
        mold_events=[
            {
                "mold_no": "M1",
                "at": "2025-01-02 20:00",
                "event": "waxed",
                "pull_no": 2 if written else None,
            },
            {
                "mold_no": "M1",
                "at": "2025-01-04 20:00",
                "event": "repaired",
                "pull_no": 4 if written else None,
            },
        ],
    )
    if not written:
        for part in tables["parts"]:
            part["pull_no"] = None
    build = derived(**tables)

    def counts(family: str) -> list[str | None]:
        found = answers(build, family)
        return [next(iter(found[f"H{i}"])) for i in range(1, 7)]

    assert counts("deck: mold pulls since service") == [f"{n} pulls" for n in (1, 2, 1, 2, 1, 2)]
    assert counts("deck: mold pulls since wax") == [f"{n} pulls" for n in (1, 2, 1, 2, 3, 4)]
    assert counts("deck: mold pulls since repair") == [f"{n} pulls" for n in (1, 2, 3, 4, 1, 2)]


def test_hours_since_the_step_before_count_from_its_end() -> None:
    tables = deck_plant(
        2,
        ["L1"] * 2,
        operations=[
            {
                "operation_id": "S1",
                "step": "skin coat",
                "part_serial": "P-H1",
                "started_at": "2025-01-01 11:00",
            },
            {
                "operation_id": "S2",
                "step": "skin coat",
                "part_serial": "P-H2",
                "started_at": "2025-01-03 20:00",
            },
        ],
    )
    found = answers(derived(**tables), "deck: skin coat: hours since gelcoat spray")
    assert found == {"H1": {"3 h"}, "H2": {"36 h"}}


def test_lot_age_counts_days_from_making_to_use() -> None:
    tables = deck_plant(
        2, ["L1", "L2"], lots=[{"material": "gelcoat", "lot_no": "L1", "made_on": "2024-12-02"}]
    )
    found = answers(derived(**tables), "deck: gelcoat spray: gelcoat lot age")
    assert found == {"H1": {"30 days"}, "H2": {None}}


def test_loggers_series_counts_over_work_and_cure_and_beats_the_written_reading() -> None:
    series = [
        {
            "station": "B1",
            "at": f"2025-01-01 {hour:02d}:00",
            "quantity": "ambient_temp",
            "value": value,
            "unit": "degC",
        }
        for hour, value in ((6, 99.0), (7, 20.0), (8, 22.0), (9, 30.0), (10, 99.0))
    ]
    written = [
        {"operation_id": f"G-H{i}", "quantity": "ambient_temp", "value": 18.0, "unit": "degC"}
        for i in (1, 2)
    ]
    build = derived(**deck_plant(2, ["L1"] * 2, ambient=series, readings=written))
    # Work from 7 to 8, gelcoat cures for one hour: 20, 22 and 30 count.
    assert answers(build, "deck: gelcoat spray: ambient_temp") == {"H1": {"24 °C"}, "H2": {"18 °C"}}
    assert answers(build, "deck: gelcoat spray: ambient_temp maximum")["H1"] == {"30 °C"}
    assert answers(build, "deck: gelcoat spray: ambient_temp minimum")["H1"] == {"20 °C"}


def test_work_too_short_for_a_logged_value_takes_the_last_fresh_one() -> None:
    series = [
        {"station": "B1", "at": f"2025-01-0{day} 06:00", "quantity": "ambient_temp",
         "value": 15.0 + day, "unit": "degC"}
        for day in (1, 2)
    ]  # fmt: skip
    tables = deck_plant(3, ["L1"] * 3, ambient=series)
    for operation in tables["operations"]:
        operation["step"] = "pull"  # no cure window
    found = answers(derived(**tables), "deck: pull: ambient_temp")
    assert found == {"H1": {"16 °C"}, "H2": {"17 °C"}, "H3": {None}}


def test_blend_mixed_in_the_shop_takes_the_suppliers_of_its_parents() -> None:
    build = derived(
        **deck_plant(
            2,
            ["D1", "L2"],
            blends=[{"material": "gelcoat", "lot_no": "D1", "parent_lot_no": "L9", "share": 1.0}],
            lots=[
                {"material": "gelcoat", "lot_no": "L9", "supplier": "P"},
                {"material": "gelcoat", "lot_no": "L2", "supplier": "Q"},
            ],
        )
    )
    assert answers(build, "deck: gelcoat spray: gelcoat supplier") == {"H1": {"P"}, "H2": {"Q"}}


def test_blend_of_a_blend_takes_the_suppliers_of_what_was_bought() -> None:
    build = derived(
        **deck_plant(
            1,
            ["P1"],
            blends=[
                {
                    "material": "gelcoat",
                    "lot_no": "P1",
                    "parent_material": "base",
                    "parent_lot_no": "T1",
                    "share": 1.0,
                },
                {"material": "base", "lot_no": "T1", "parent_lot_no": "B1", "share": 1.0},
            ],
            lots=[{"material": "base", "lot_no": "B1", "supplier": "P"}],
        )
    )
    assert answers(build, "deck: gelcoat spray: base supplier") == {"H1": {"P"}}


def test_dew_point_margin_uses_the_surface() -> None:
    # At 25 °C and 50 % the dew point is 13.9 °C (published table; Magnus 13.85).
    readings = [
        {"operation_id": "G-H1", "quantity": quantity, "value": value, "unit": unit}
        for quantity, value, unit in (
            ("ambient_temp", 25.0, "degC"),
            ("relative_humidity", 50.0, "%"),
            ("mold_temp", 20.0, "degC"),
        )
    ]
    build = derived(**deck_plant(1, ["L1"], readings=readings))
    (level,) = answers(build, "deck: gelcoat spray: dew_point_margin")["H1"]
    assert level is not None
    assert float(level.split()[0]) == pytest.approx(20.0 - 13.85, abs=0.01)


def test_people_come_last_and_materials_first() -> None:
    tables = deck_plant(2, ["L1", "L2"])
    for operation in tables["operations"]:
        operation["operator"] = "07"
    kinds = [
        kind for (kind,) in derived(**tables).rows("SELECT kind FROM families ORDER BY family_id")
    ]
    assert kinds[0] == "material lot"
    assert kinds[-1] == "people"


def test_bands_know_nothing_of_claims() -> None:
    readings = [
        {"operation_id": f"G-H{i}", "quantity": "wet_film", "value": 500.0 + i, "unit": "um"}
        for i in range(1, 21)
    ]
    tables = deck_plant(20, ["L1"] * 20, readings=readings)
    before = answers(derived(**tables), "deck: gelcoat spray: wet_film")
    tables["claims"] = [
        {
            "claim_no": f"C{i}",
            "hull_serial": f"H{i}",
            "opened_on": "2025-05-01",
            "symptom": "blister",
        }
        for i in range(1, 6)
    ]
    build = derived(**tables)
    assert answers(build, "deck: gelcoat spray: wet_film") == before
    edges = build.rows("SELECT low, high FROM levels WHERE level LIKE '%µm%' ORDER BY level_id")
    assert [high for _, high in edges[:-1]] == [low for low, _ in edges[1:]]
    assert edges[0][0] is None or math.isinf(edges[0][0])


def test_weekday_and_week_follow_the_sites_clock() -> None:
    build = build_of(**deck_plant(1, ["L1"]))
    build.execute("UPDATE operations SET started_at = '2025-01-05 23:30'")
    link_records(build)
    build_exposure(build, time_zone="Europe/Berlin")
    assert answers(build, "deck: gelcoat spray: weekday") == {"H1": {"Monday"}}
    assert answers(build, "deck: gelcoat spray: week") == {"H1": {"2025-W02"}}


def test_stage_follows_the_order_of_work() -> None:
    tables = deck_plant(
        2,
        ["L1"] * 2,
        operations=[
            {
                "operation_id": "S1",
                "step": "skin coat",
                "part_serial": "P-H1",
                "started_at": "2025-01-01 11:00",
            },
            {
                "operation_id": "R1",
                "step": "rig",
                "hull_serial": "H1",
                "started_at": "2025-02-01 11:00",
            },
        ],
    )
    stages = dict(
        derived(**tables).rows("SELECT DISTINCT step, stage FROM families WHERE step <> ''")
    )
    assert stages["gelcoat spray"] < stages["skin coat"] < stages["rig"]


def test_a_question_applies_by_the_model_of_each_plant() -> None:
    """A plant that never writes a lot down is not asked for it by the other's habit."""
    tables = deck_plant(6, ["A"] * 6)
    tables["hulls"] = [
        {**row, "plant": "north" if n < 4 else "south"} for n, row in enumerate(tables["hulls"])
    ]
    tables["usages"] = tables["usages"][:3]
    found = answers(derived(**tables), "deck: gelcoat spray: gelcoat lot")
    assert found == {"H1": {"A"}, "H2": {"A"}, "H3": {"A"}, "H4": {None}}
