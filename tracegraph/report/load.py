"""What a load did, as a table and sentences."""

from __future__ import annotations

import pandas as pd

from tracegraph.intake.ledger import LoadReport
from tracegraph.report.numbers import plural
from tracegraph.report.tables import COUNT, DisplayTable

_COLUMNS = {
    "name": "file",
    "seen": "rows seen",
    "loaded": "loaded",
    "set_aside": "set aside",
    "repeats": "repeats",
    "furniture": "titles, blanks",
}


def load_table(report: LoadReport) -> DisplayTable:
    """Where each row of each file went; the last four columns add up to the rows seen."""
    files = pd.DataFrame(
        [{c: getattr(file, c) for c in _COLUMNS} for file in report.files], columns=[*_COLUMNS]
    ).rename(columns=_COLUMNS)
    return DisplayTable(
        files,
        dict.fromkeys([*_COLUMNS.values()][1:], COUNT),
        caption=f"{plural(len(files), 'file')}.",
    )


def load_sentences(report: LoadReport) -> list[str]:
    """What became of the rows, what was left out, and what a reader should know."""
    seen = sum(file.seen for file in report.files)
    loaded = sum(file.loaded for file in report.files)
    said = [
        f"{plural(seen, 'row')} of {plural(len(report.files), 'file')} seen, {loaded:,} loaded, "
        f"{report.set_aside:,} set aside with their reason."
        if report.changed
        else "Nothing new: the records in force stay as they are."
    ]
    said += [f"{out.name}: {out.reason}." for out in report.left_out if not out.litter]
    return said + [remark.text for remark in report.remarks if remark.kind != "left out"]
