"""The ``intake.toml`` that says how the yard's own files become records."""

from __future__ import annotations

from collections.abc import Sequence

from tracegraph.synthetic.export import COPY_OF_MOLD_EVENTS

SPRAY_OPERATION = {
    "operation_id": "Spray No",
    "part_serial": "Part SN",
    "station": "Booth",
    "equipment": "Gun",
    "operator": "Sprayer",
    "crew": "Crew",
    "shift": "Shift",
    "started_at": "Start",
    "finished_at": "End",
    "attempt": "Try",
}
SPRAY_USES = (
    ({"operation_id": "Spray No", "lot_no": "Gelcoat Lot", "drum_no": "Drum", "quantity": "Lb"},
     {"material": "gelcoat", "unit": "lb"}),
    ({"operation_id": "Spray No", "lot_no": "Cat Lot"}, {"material": "catalyst"}),
)  # fmt: skip
SPRAY_READINGS = (
    ("Cat %", "catalyst_pct", "%"),
    ("Air F", "ambient_temp", "degF"),
    ("Mold F", "mold_temp", "degF"),
    ("RH %", "relative_humidity", "%"),
    ("Wet Film", "wet_film", "mil"),
    ("Gel Min", "gel_time", "min"),
)
CLAIM_COLUMNS = {
    "claim_no": "Claim No",
    "line_no": "Line",
    "hull_serial": "Hull",
    "opened_on": "Opened",
    "failed_on": "Failed",
    "symptom": "Symptom",
    "component": "Component",
    "zone": "Zone",
    "safety_class": "Class",
    "certainty": "Certainty",
    "solicited": "Solicited",
    "engine_hours": "Eng Hrs",
    "cost": "Cost",
    "labour_hours": "Labour Hrs",
    "repeat_of": "Repeat Of",
    "status": "Status",
    "note": "Remarks",
}
MOLD_EVENT_COLUMNS = {c: c for c in ("mold_no", "at", "event", "pull_no", "note")}


def intake_toml(sheets: Sequence[str], *, with_copy: bool, plant: str | None = None) -> str:
    """Text of the mapping.

    Parameters
    ----------
    sheets : sequence of str
        Sheets of the dealer desk's workbook.
    with_copy : bool
        Whether the folder holds a second copy of the mold events.
    plant : str, optional
        Whose records these are.

    Returns
    -------
    str
        A TOML document.
    """
    lines = [
        "# intake.toml: how the files in this folder become records",
        *([] if plant is None else [f'plant = "{plant}"  # numbers are unique within it']),
        'time_zone = "UTC"  # of times without one',
        'missing = ["", "n/a", "?", "-"]',
        "",
        "[[files]]",
        'match = "spray_log_*.csv"  # one line fills an operation, its materials and its readings',
        'dates = "month first"',
        *_table("operations", SPRAY_OPERATION, {"step": "gelcoat spray"}),
    ]
    for columns, constants in SPRAY_USES:
        lines += _table("usages", columns, constants)
    for header, quantity, unit in SPRAY_READINGS:
        columns = {"operation_id": "Spray No", "value": header}
        lines += _table("readings", columns, {"quantity": quantity, "unit": unit})
    lines += [
        "",
        "[[files]]",
        'match = "dealer_claims.xlsx"  # a title stands above the header',
        "sheets = [" + ", ".join(f'"{s}"' for s in sheets) + "]",
        "header_row = 3",
        *_table("claims", CLAIM_COLUMNS, {}),
    ]
    if with_copy:
        lines += ["", "[[files]]", f'match = "{COPY_OF_MOLD_EVENTS}"']
        lines += _table("mold_events", MOLD_EVENT_COLUMNS, {})
    return "\n".join(lines) + "\n"


def _table(name: str, columns: dict[str, str], constants: dict[str, str]) -> list[str]:
    lines = ["", "[[files.tables]]", f'table = "{name}"', f"columns = {_inline(columns)}"]
    if constants:
        lines.append(f"constants = {_inline(constants)}")
    return lines


def _inline(pairs: dict[str, str]) -> str:
    return "{ " + ", ".join(f'{k} = "{v}"' for k, v in pairs.items()) + " }"
