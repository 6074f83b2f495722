"""The state of the records, counted on records whose gaps are known."""

from __future__ import annotations

from tests.analysis.small_plant import plant_records
from tests.support.records import Row, build_of
from tracegraph.analysis.records_state import RecordsState, records_state, set_aside_rows
from tracegraph.exposure import build_exposure
from tracegraph.linkage import link_records
from tracegraph.store import Build, Store
from tracegraph.store.reader import as_store


def _build(records: dict[str, list[Row]]) -> Build:
    build = build_of(**records)
    link_records(build)
    build_exposure(build)
    return build


def _store_with_sources() -> Store:
    build = _build(plant_records())
    build.execute(
        "INSERT INTO sources BY NAME SELECT 1 AS source_id, 'spray.csv' AS name, 'x' AS sha256, "
        "'r' AS reading, 1 AS load_no, 10 AS seen, 6 AS loaded, 3 AS set_aside, 0 AS repeats, "
        "1 AS furniture"
    )
    for line, value in ((4, "9/3"), (9, "soon"), (12, None)):
        build.execute(
            "INSERT INTO set_aside VALUES (1, $line, 'operations', 'Start', $value, $reason, '{}')",
            {
                "line": line,
                "value": value,
                "reason": "Start is required and is blank; fill it in"
                if value is None
                else f'Start must be a date like 2026-03-09; got "{value}". Mend the cell',
            },
        )
    build.execute(
        "INSERT INTO cleaned_values VALUES (1, 2, 'usages', 'lot_no', '?', NULL, 'missing word', 2)"
    )
    build.execute(
        "INSERT INTO remarks VALUES (1, 'claims', 'look-alike', 2, 'two claims may mean BT-1001')"
    )
    return as_store(build)


def _link(state: RecordsState, name: str) -> tuple[int, int, int, list[str]]:
    row = state.links.set_index("link").loc[name]
    return row["records"], row["linked"], row["not_linked"], list(row["examples"])


def test_orphans_are_counted_and_named() -> None:
    records = plant_records()
    records["lots"].append({"material": "resin", "lot_no": "NEVER"})
    records["usages"].append(
        {"operation_id": "OP-H-1", "material": "gelcoat", "lot_no": "NO-RECORD"}
    )
    records["usages"].append({"operation_id": "OP-XX", "material": "gelcoat", "lot_no": "G-1"})
    records["mold_events"] = [
        {"mold_no": "M-1", "at": "2025-01-01 08:00", "event": "waxed"},
        {"mold_no": "M-OLD", "at": "2025-01-01 08:00", "event": "renamed", "note": "M-1"},
        {"mold_no": "M-9", "at": "2025-01-01 08:00", "event": "waxed"},
    ]
    state = records_state(as_store(_build(records)))
    assert _link(state, "claim lines to hulls") == (4, 3, 1, ["C-3"])
    assert _link(state, "written lots to lot records")[2:] == (1, ["gelcoat NO-RECORD"])
    # G-3 of resin and NEVER were received and never used; G-0 went into a blend.
    assert _link(state, "received lots to a use")[2:] == (2, ["resin G-3", "resin NEVER"])
    assert _link(state, "molds with events to parts") == (2, 1, 1, ["M-9"])
    assert _link(state, "uses to operations")[2:] == (1, ["OP-XX"])
    assert _link(state, "uses with their lot written down")[2:] == (1, ["OP-H-4"])
    assert _link(state, "inspections to parts or hulls") == (13, 13, 0, [])
    linked = state.links
    assert (linked["records"] == linked["linked"] + linked["not_linked"]).all()


def test_questions_count_hulls_with_and_without_a_full_record() -> None:
    state = records_state(as_store(_build(plant_records())))
    lots = state.questions.set_index("family").loc["hull: gelcoat spray: gelcoat lot"]
    assert (lots["hulls"], lots["recorded"], lots["not_recorded"]) == (6, 5, 1)


def test_fields_count_what_is_filled() -> None:
    fields = records_state(as_store(_build(plant_records()))).fields.set_index(["table", "field"])
    assert tuple(fields.loc[("usages", "lot_no"), ["rows", "filled"]]) == (12, 11)
    assert bool(fields.loc[("usages", "operation_id"), "required"])
    assert "mold_events" not in fields.index.get_level_values("table")


def test_set_aside_rows_are_gathered_by_reason_and_shown_by_page() -> None:
    store = _store_with_sources()
    state = records_state(store)
    assert state.files[["seen", "loaded", "set_aside", "furniture"]].to_numpy().tolist() == [
        [10, 6, 3, 1]
    ]
    assert state.reasons[["reason", "rows", "first_row", "first_value"]].iloc[0].tolist() == [
        "Start must be a date like 2026-03-09. Mend the cell",
        2,
        4,
        "9/3",
    ]
    assert state.reasons["rows"].tolist() == [2, 1]
    assert state.cleaned[["rule", "rows", "became"]].to_numpy().tolist() == [
        ["missing word", 2, ""]
    ]
    assert state.remarks["file"].tolist() == ["spray.csv"]
    assert set_aside_rows(store)["line"].tolist() == [4, 9, 12]
    assert set_aside_rows(store, limit=1, offset=1)["value"].tolist() == ["soon"]
    assert set_aside_rows(store, file="other.csv").empty


def test_an_empty_store_has_an_empty_state() -> None:
    state = records_state(as_store(_build({"hulls": []})))
    assert state.files.empty
    assert state.links.empty
    assert state.questions.empty
    assert state.fields.empty
