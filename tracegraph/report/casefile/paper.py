"""The report of a case as a PDF on A4."""

from __future__ import annotations

import json
import re
from dataclasses import asdict
from datetime import date
from pathlib import Path

import typst

from tracegraph.cases.chain import Entry
from tracegraph.report.casefile.block import FIGURE
from tracegraph.report.casefile.blocks import case_blocks
from tracegraph.report.casefile.safety import safety_notice

SVG = "http://www.w3.org/2000/svg"
_TEMPLATE = Path(__file__).with_name("paper.typ")


def case_pdf(entries: list[Entry], today: date, *, form: str = "steps") -> bytes:
    """The report as a PDF; a safety matter stands at the head of every page.

    Parameters
    ----------
    entries : list of Entry
        All entries of a case.
    today : date
        Day of the report; only the line with the date depends on it.
    form : str
        As in :func:`~tracegraph.report.casefile.blocks.case_blocks`.
    """
    blocks = [asdict(one) for one in case_blocks(entries, today, form=form)]
    for one in blocks:
        one["rows"] = [[_breakable(cell, 36) for cell in row] for row in one["rows"]]
        if one["kind"] != FIGURE:
            one["text"] = _breakable(one["text"], 80)
        else:
            # A figure inside HTML needs no name of its own language, one by itself does.
            one["text"] = one["text"].replace("<svg ", f'<svg xmlns="{SVG}" ', 1)
    inputs = {
        "blocks": json.dumps(blocks),
        "foot": entries[0].case_no,
        "alarm": _breakable(safety_notice(entries), 80),
        "dense": "yes" if form == "summary" else "",
    }
    made: bytes = typst.compile(_TEMPLATE.read_bytes(), format="pdf", sys_inputs=inputs)
    return made


def _breakable(text: str, longest: int) -> str:
    """A word without end would run off the paper: let it break where nothing is seen."""
    return re.sub(rf"(\S{{{longest}}})(?=\S)", "\\1\u200b", text)
