"""The report of a case as one HTML file that needs nothing else."""

from __future__ import annotations

import html
from datetime import date

from tracegraph.cases.chain import Entry
from tracegraph.report.casefile.block import (
    ALARM,
    DATE,
    FIGURE,
    HEADING,
    SMALL,
    TABLE,
    TITLE,
    Block,
)
from tracegraph.report.casefile.blocks import case_blocks

_STYLE = """
body{font:15px/1.45 Georgia,serif;max-width:56em;margin:2em auto;padding:0 1em;color:#111}
h1{font-size:1.5em}h2{font-size:1.15em;margin:1.6em 0 .4em;border-bottom:1px solid #999}
.scroll{overflow-x:auto}table{border-collapse:collapse;width:100%;font-size:.86em}
th,td{border:1px solid #bbb;padding:.25em .5em;text-align:left;vertical-align:top;
overflow-wrap:anywhere;min-width:3.2em}th{background:#eee}td.right{text-align:right}
.alarm{border:3px solid #a00;padding:.5em 1em;font-weight:bold}.small{font-size:.86em}
svg{max-width:100%;height:auto}
@media print{body{margin:0;max-width:none;font-size:11px}tr,svg{break-inside:avoid}
h2{break-after:avoid}.scroll{overflow:visible}}
"""
_TAGS = {
    ALARM: ('<p class="alarm" role="alert">', "</p>"),
    DATE: ('<p class="date">', "</p>"),
    TITLE: ("<h1>", "</h1>"),
    HEADING: ("<h2>", "</h2>"),
    SMALL: ('<p class="small">', "</p>"),
}


def case_html(entries: list[Entry], today: date, *, form: str = "steps") -> bytes:
    """The report as one self-contained HTML file.

    Parameters
    ----------
    entries : list of Entry
        All entries of a case.
    today : date
        Day of the report; only the line with the date depends on it.
    form : str
        As in :func:`~tracegraph.report.casefile.blocks.case_blocks`.
    """
    body = "\n".join(_html(block) for block in case_blocks(entries, today, form=form))
    title = html.escape(entries[0].case_no)
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
        '<meta name="viewport" content="width=device-width">'
        f"<style>{_STYLE}</style></head><body>\n{body}\n</body></html>\n"
    ).encode()


def _html(block: Block) -> str:
    if block.kind == FIGURE:
        return block.text
    if block.kind == TABLE:
        head = "".join(f'<th scope="col">{html.escape(one)}</th>' for one in block.head)
        side = [' class="right"' if name in block.right else "" for name in block.head]
        rows = "".join(
            "<tr>"
            + "".join(
                f"<td{which}>{html.escape(cell)}</td>"
                for which, cell in zip(side, row, strict=True)
            )
            + "</tr>"
            for row in block.rows
        )
        return (
            f'<div class="scroll"><table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody>'
            "</table></div>"
        )
    first, last = _TAGS.get(block.kind, ("<p>", "</p>"))
    return f"{first}{html.escape(block.text)}{last}"
