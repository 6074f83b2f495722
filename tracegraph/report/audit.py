"""The audit as a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

import pandas as pd

from tracegraph.report.numbers import count, plural
from tracegraph.report.tables import DisplayTable
from tracegraph.store.audit import AuditLine

_HEADS = {
    "at": "written down",
    "who": "who",
    "role": "role",
    "deed": "what",
    "about": "about",
    "store": "store",
    "allowed": "answer",
}


def audit_table(lines: Sequence[AuditLine]) -> DisplayTable:
    """Lines of the audit, oldest first.

    Examples
    --------
    >>> line = AuditLine("2026-03-09T08:00:00+00:00", "QE-1", "view", "load records", "new",
    ...                  "yard", False)
    >>> audit_table([line]).caption
    '1 line, 1 of them refused.'
    """
    rows = [asdict(line) | {"allowed": "allowed" if line.allowed else "refused"} for line in lines]
    table = pd.DataFrame(rows, columns=list(_HEADS), dtype="object").rename(columns=_HEADS)
    refused = sum(not line.allowed for line in lines)
    return DisplayTable(
        table, caption=f"{plural(len(table), 'line')}, {count(refused)} of them refused."
    )
