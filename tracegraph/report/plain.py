"""Frames and numbers as plain values for JSON: what is missing or infinite is null."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import pandas as pd

if TYPE_CHECKING:
    from _typeshed import DataclassInstance


def plain_rows(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """Each row of a frame by its columns."""
    return [
        {str(key): plain(value) for key, value in row.items()} for row in frame.to_dict("records")
    ]


def plain_fields(value: DataclassInstance) -> dict[str, Any]:
    """Each field of a dataclass of plain numbers."""
    return {name: plain(number) for name, number in asdict(value).items()}


def plain(value: Any) -> Any:
    """One value; dates and times as ISO texts."""
    if value is None or value is pd.NaT or value is pd.NA:
        return None
    if hasattr(value, "isoformat"):
        return value.isoformat()
    value = value.item() if hasattr(value, "item") else value
    return number(value) if isinstance(value, float) else value


def number(value: float) -> float | None:
    """A number, or None where it cannot be computed or is infinite."""
    return float(value) if math.isfinite(value) else None
