"""Six hulls with everything that a genealogy can hold, small enough to check by eye.

Hulls BT-1001 to BT-1004 are model S22, the others S26. Gelcoat G-2 is a shop blend of G-1
(40 %) and G-0 (60 %). The lot on the hull of BT-1004 was not written down.
"""

from __future__ import annotations

from tests.support.records import Row, build_of
from tracegraph.linkage import link_records
from tracegraph.store import Build, Store
from tracegraph.store.reader import as_store

HULL_LOTS: dict[str, tuple[str | None, str | None]] = {
    "BT-1001": ("G-1", "1"),
    "BT-1002": ("G-1", "2"),
    "BT-1003": ("G-2", "1"),
    "BT-1004": (None, None),
    "BT-1005": ("G-2", "1"),
    "BT-2001": ("G-3", None),
}
PLACES = ("owner", "owner", "dealer", "plant", "owner", "transit")


def plant_records() -> dict[str, list[Row]]:
    tables: dict[str, list[Row]] = {name: [] for name in ("hulls", "parts", "operations")}
    tables |= {"usages": [], "readings": [], "inspections": []}
    for n, (serial, (lot, drum)) in enumerate(HULL_LOTS.items(), start=1):
        job, day = f"J-{n}", f"2025-01-{n:02d}"
        owned = PLACES[n - 1] == "owner"
        tables["hulls"].append(
            {
                "hull_serial": serial,
                "job_no": job,
                "hin": f"US-QZX{serial[-4:]}XA525",
                "model": "S22" if n <= 4 else "S26",
                "completed_on": f"2025-02-{n:02d}",
                "shipped_on": f"2025-02-{n + 7:02d}" if PLACES[n - 1] != "plant" else None,
                "in_service_on": f"2025-04-{n:02d}" if owned else None,
                "place": PLACES[n - 1],
                "dealer": "D-1",
            }
        )
        for part, mold in (("hull", "M-1"), ("deck", "M-2")):
            piece = f"{part[0].upper()}-{n}"
            operation = f"OP-{piece}"
            tables["parts"].append(
                {
                    "part_serial": piece,
                    "part": part,
                    "job_no": job,
                    "mold_no": mold,
                    "pull_no": n,
                    "pulled_at": f"{day} 15:00",
                }
            )
            tables["operations"].append(
                {
                    "operation_id": operation,
                    "step": "gelcoat spray",
                    "part_serial": piece,
                    "station": "ST-1",
                    "equipment": "GUN-1",
                    "operator": "P-07",
                    "started_at": f"{day} 06:30",
                    "finished_at": f"{day} 07:10",
                    "attempt": 1,
                }
            )
            used = (lot, drum) if part == "hull" else ("G-1", "1")
            tables["usages"].append(
                {
                    "operation_id": operation,
                    "material": "gelcoat",
                    "lot_no": used[0],
                    "drum_no": used[1],
                }
            )
            tables["readings"].append(
                {
                    "operation_id": operation,
                    "quantity": "ambient_temp",
                    "value": 20.0 + n / 2,
                    "unit": "degC",
                }
            )
        for attempt, result in ((1, "fail"), (2, "pass")):
            tables["inspections"].append(
                {
                    "inspection_id": f"I-{n}-{attempt}",
                    "part_serial": f"H-{n}",
                    "checkpoint": "barcol",
                    "at": f"{day} {16 + attempt}:00",
                    "inspector": "P-21",
                    "result": result,
                    "defect": "undercure" if result == "fail" else None,
                    "attempt": attempt,
                }
            )
    tables["inspections"].append(
        {
            "inspection_id": "I-TANK-1",
            "job_no": "J-1",
            "checkpoint": "water test",
            "at": "2025-02-01 09:00",
            "result": "pass",
        }
    )
    tables["operations"].append(
        {
            "operation_id": "OP-RIG-1",
            "step": "rig",
            "hull_serial": "BT-1001",
            "station": "ST-9",
            "crew": "CREW-2",
            "started_at": "2025-01-20 06:00",
        }
    )
    tables["lots"] = [
        {"material": "gelcoat", "lot_no": "G-0", "supplier": "SUP-A"},
        {"material": "gelcoat", "lot_no": "G-1", "supplier": "SUP-A", "received_on": "2024-12-01"},
        {"material": "gelcoat", "lot_no": "G-3", "supplier": "SUP-B"},
        {"material": "resin", "lot_no": "G-3", "supplier": "SUP-B"},
    ]
    tables["blends"] = [
        {
            "material": "gelcoat",
            "lot_no": "G-2",
            "parent_material": "gelcoat",
            "parent_lot_no": parent,
            "share": share,
        }
        for parent, share in (("G-1", 0.4), ("G-0", 0.6))
    ]
    tables["components"] = [
        {
            "hull_serial": "BT-1001",
            "component": "bilge pump",
            "serial_no": "BP-77",
            "lot_no": "L-9",
            "supplier": "SUP-C",
            "fitted_by": "P-11",
        }
    ]
    tables["claims"] = [
        {
            "claim_no": "C-1",
            "line_no": line,
            "hull_serial": "BT-1001",
            "opened_on": "2026-03-15",
            "symptom": symptom,
        }
        for line, symptom in (("1", "blister"), ("2", "leak"))
    ] + [
        {
            "claim_no": "C-2",
            "hull_serial": "QZX1003XA525",
            "opened_on": "2026-05-02",
            "symptom": "blister",
        },
        {
            "claim_no": "C-3",
            "hull_serial": "BT-9999",
            "opened_on": "2026-05-03",
            "symptom": "blister",
        },
    ]
    return tables


def linked_plant() -> Build:
    build = build_of(**plant_records())
    link_records(build)
    return build


def plant_store() -> Store:
    return as_store(linked_plant())
