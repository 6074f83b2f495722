"""The hold list: the hulls of a containment as a file to work from.

Both forms are safe to open in a spreadsheet program. In CSV, a text that such a program
would run as a formula (it begins with ``=``, ``+``, ``-``, ``@``, a tab or a line end) gets
a leading apostrophe; in XLSX every text is written as a text cell and kept as it is.
Numbers stay numbers in both.
"""

from __future__ import annotations

import io
from datetime import date, datetime
from typing import Any

import pandas as pd
import xlsxwriter  # type: ignore[import-untyped]  # the library ships no types

from tracegraph.analysis.containing.holding import ReportCounts, report_counts, state_counts
from tracegraph.analysis.containment import Containment
from tracegraph.report.containment_checks import check_sentences
from tracegraph.report.safe_csv import to_csv

CAUTIONS: tuple[str, ...] = (
    "Association is not fault: a hull on this list shares a record, which proves no defect "
    "and blames nobody.",
    "A finding that may hurt someone goes to the person responsible the same day.",
    "Local codes and licensed practice decide what is done; this list decides nothing.",
    "A hull that is not on this list is not proven free: it is cleared only as far as the "
    "records are true.",
)
"""Printed in every hold list."""

COLUMNS: dict[str, str] = {
    "hull_serial": "hull serial",
    "hin": "hull identification number",
    "model": "model",
    "grade": "grade",
    "probability": "probability",
    "reason": "remark",
    "place": "place",
    "dealer": "dealer",
    "state": "state",
    "priority": "priority",
    "built_on": "built on",
    "delivered_on": "delivered on",
    "months_in_service": "months in service",
    "affected": "affected",
    "claims": "claim lines",
    "expected_claims": "further claims expected",
}
"""Columns of the list and their headings on paper."""

_LONGEST_CELL = 32_767
_WIDTHS = {"hin": 24, "hull_serial": 16, "reason": 44}


def hold_list_csv(found: Containment) -> bytes:
    """The hold list as CSV.

    Parameters
    ----------
    found : Containment
        The hulls.

    Returns
    -------
    bytes
        UTF-8 with a byte-order mark. First the heading and one row per hull; then a blank
        line and notes, each in one cell that begins with ``#``: what the list holds, the
        enclosing ranges, the cautions. Texts are quoted, numbers are not. A spreadsheet
        program may still read digits as a number and drop leading zeros; the XLSX form
        cannot be misread so.
    """
    notes = pd.DataFrame({"note": [f"# {note}" for note in (*about(found), *CAUTIONS)]})
    lines = to_csv(notes).partition("\n")[2]
    return (to_csv(_printed(found)) + "\n" + lines).encode("utf-8-sig")


def hold_list_xlsx(found: Containment) -> bytes:
    """The hold list as a workbook.

    Parameters
    ----------
    found : Containment
        The hulls.

    Returns
    -------
    bytes
        A workbook with the sheets ``Hulls`` and ``About``: what the list holds, the
        enclosing ranges, the cautions. It holds no formula and no link; the same list
        gives the same bytes.
    """
    content = io.BytesIO()
    workbook = xlsxwriter.Workbook(
        content,
        {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "strings_to_numbers": False,
        },
    )
    workbook.set_properties({"created": datetime(2000, 1, 1)})
    heading = workbook.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    as_text = workbook.add_format({"num_format": "@"})
    sheet = workbook.add_worksheet("Hulls")
    sheet.freeze_panes(1, 1)
    for place, (name, title) in enumerate(COLUMNS.items()):
        sheet.set_column(place, place, _WIDTHS.get(name, 12))
        sheet.write_string(0, place, title, heading)
    for line, row in enumerate(_printed(found).to_numpy(object), start=1):
        for place, cell in enumerate(row):
            if isinstance(cell, int | float) and cell == cell:
                sheet.write_number(line, place, cell)
            elif not pd.isna(cell):
                sheet.write_string(line, place, _text(cell), as_text)
    notes = workbook.add_worksheet("About")
    wrapped = workbook.add_format({"text_wrap": True, "valign": "top", "num_format": "@"})
    notes.set_column(0, 0, 100)
    for line, note in enumerate((*about(found), *CAUTIONS)):
        notes.write_string(line, 0, _text(note), wrapped)
    workbook.close()
    return content.getvalue()


def about(found: Containment) -> tuple[str, ...]:
    """What a hold list holds, in sentences.

    Parameters
    ----------
    found : Containment
        The hulls.

    Returns
    -------
    tuple of str
        The suspect, the counts by grade and by state, the case definition, the parent
        lot, what checks the list and what is to be expected, and the enclosing ranges with
        how many hulls in each are not exposed.
    """
    totals = found.counts["total"]
    counted = ", ".join(f"{int(count)} {grade}" for grade, count in totals.items())
    states = state_counts(found.hulls)["total"]
    stand = ", ".join(f"{int(count)} {state}" for state, count in states.items())
    suspects = " or ".join(f"{family}: {level}" for family, level in found.members)
    lines = [
        f"Hulls that carry {suspects}, or may carry it.",
        f"Of {int(totals.sum())} hulls in the records: {counted}.",
        f"Of {int(states.sum())} hulls listed: {stand}.",
        report_sentence(report_counts(found.hulls)),
    ]
    if found.parent is not None:
        lines.append(f"Its lot: {found.parent[0]}: {found.parent[1]}.")
    if found.definition is None:
        lines.append("No case definition was given: affected is left blank.")
    else:
        lines.append(f"Affected means: {found.definition.sentence()}")
    if found.as_of is not None:
        lines.append(f"Months in service are whole months up to {_day(found.as_of)}.")
    lines += check_sentences(found)
    lines += [range_sentence(row) for row in found.ranges.to_dict("records")]
    lines.append(f"Version of the records: {found.data_version}.")
    return tuple(lines)


def report_sentence(counts: ReportCounts) -> str:
    """The counts that a defect report to the agency asks for, in one sentence.

    Parameters
    ----------
    counts : ReportCounts
        Of the hulls listed.

    Returns
    -------
    str
        Counts alone: whether a report is due is for a person to decide.
    """
    return (
        f"Counts for a defect report, should one be decided on: {counts.may_contain} may contain "
        f"it, {counts.purchasers_notified} purchasers notified, {counts.dealers_notified} of "
        f"{counts.dealers} dealers notified, {counts.corrected} corrected, "
        f"{counts.inspected_clear} inspected and found free of it, {counts.refused} refused, "
        f"{counts.unreachable} not reached."
    )


def range_sentence(row: dict[Any, Any]) -> str:
    """One enclosing range in words.

    Parameters
    ----------
    row : dict
        A row of :attr:`Containment.ranges`.

    Returns
    -------
    str
        First and last number, and what lies between them.
    """
    if not row["hulls_in_range"]:
        return (
            f"Model {row['model']}, {row['basis']}: no range, since {row['without_number']} "
            f"hulls have no {row['number']}."
        )
    missing = (
        f" {row['without_number']} more have no {row['number']}." if row["without_number"] else ""
    )
    remote = (
        f" ({row['remote']} of them without a record, and far from the suspect)"
        if row["remote"]
        else ""
    )
    return (
        f"Model {row['model']}, {row['basis']}: {row['number']} {row['first']} to {row['last']}. "
        f"The range holds {row['hulls_in_range']} hulls, of which {row['not_exposed']} are not "
        f"exposed{remote}.{missing}"
    )


def _printed(found: Containment) -> pd.DataFrame:
    hulls = found.hulls[list(COLUMNS)]
    affected = hulls["affected"].map({True: "yes", False: "no"}, na_action="ignore")
    chance, claims = hulls["probability"].round(3), hulls["expected_claims"].round(3)
    return hulls.assign(
        affected=affected.astype("object"), probability=chance, expected_claims=claims
    )


def _text(value: Any) -> str:
    return _day(value) if isinstance(value, date) else str(value)[:_LONGEST_CELL]


def _day(value: date) -> str:
    return value.strftime("%Y-%m-%d")
