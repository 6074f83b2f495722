"""The state of the records for a reader: what was set aside, what links, what is missing."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracegraph.analysis.records_state import RecordsState
from tracegraph.report.numbers import count, plural
from tracegraph.report.tables import DisplayTable


def reasons_table(state: RecordsState) -> DisplayTable:
    """Rows set aside, by file and reason."""
    found = state.reasons
    table = pd.DataFrame(
        {
            "file": found["file"],
            "table": found["table_name"],
            "column": found["column_name"],
            "reason": found["reason"],
            "first at": found["first_row"],
            "what stood there": found["first_value"],
            "rows": found["rows"],
        }
    )
    return DisplayTable(
        table,
        {"rows": count, "first at": count},
        caption=plural(int(found["rows"].sum()), "row") + ".",
    )


def links_table(state: RecordsState) -> DisplayTable:
    """How many records reach what they belong to."""
    found = state.links
    table = pd.DataFrame(
        {
            "link": found["link"],
            "records": found["records"],
            "linked": found["linked"],
            "not linked": found["not_linked"],
            "such as": [", ".join(map(str, list(names)[:3])) for names in found["examples"]],
        }
    )
    return DisplayTable(table, dict.fromkeys(("records", "linked", "not linked"), count))


def questions_table(state: RecordsState, top: int | None = 20) -> DisplayTable:
    """Families by how many hulls lack their record, most first."""
    found = state.questions.sort_values(
        ["not_recorded", "family"], ascending=[False, True], kind="stable"
    )
    found = found if top is None else found.head(top)
    table = pd.DataFrame(
        {
            "family": found["family"],
            "kind": found["kind"],
            "hulls asked": found["hulls"],
            "recorded": found["recorded"],
            "not recorded": found["not_recorded"],
        }
    )
    return DisplayTable(
        table.reset_index(drop=True),
        dict.fromkeys(("hulls asked", "recorded", "not recorded"), count),
    )


def check_as_json(state: RecordsState) -> dict[str, Any]:
    """The state of the records as plain values.

    Parameters
    ----------
    state : RecordsState
        As looked at.

    Returns
    -------
    dict
        ``data_version``, ``loaded_at``, ``links``, ``completeness``, ``set_aside``,
        ``remarks``.
    """
    return {
        "data_version": state.data_version,
        "loaded_at": state.loaded_at,
        "links": _records(state.links),
        "completeness": _records(state.questions),
        "set_aside": _records(state.reasons),
        "remarks": _records(state.remarks),
    }


def _records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    return [
        {str(key): _plain(value) for key, value in row.items()} for row in frame.to_dict("records")
    ]


def _plain(value: Any) -> Any:
    if isinstance(value, list) or hasattr(value, "tolist"):
        return [_plain(item) for item in value] if hasattr(value, "__len__") else value.item()
    return None if pd.isna(value) else value
