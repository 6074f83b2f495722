"""The report of a case: one HTML file or a PDF, of the same content."""

from __future__ import annotations

import html
import json
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import typst

from tracegraph.cases.chain import Entry
from tracegraph.cases.steps import of_kind, safety_class, standing, steps
from tracegraph.report.casefile import REFER, discovery_clock, entry_words, headline, step_words

_TEMPLATE = Path(__file__).with_name("casefile.typ")
_STYLE = """
body{font:15px/1.45 Georgia,serif;max-width:52em;margin:2em auto;padding:0 1em;color:#111}
h1{font-size:1.5em}h2{font-size:1.15em;margin:1.6em 0 .4em;border-bottom:1px solid #999}
table{border-collapse:collapse;width:100%;font-size:.86em}
th,td{border:1px solid #bbb;padding:.25em .5em;text-align:left;vertical-align:top;
overflow-wrap:anywhere}th{background:#eee}
.alarm{border:3px solid #a00;padding:.5em 1em;font-weight:bold}svg text{font:12px sans-serif}
@media print{body{margin:0;max-width:none}tr,svg{break-inside:avoid}}
"""
_EIGHT = (
    ("D1 Team", ("team",)),
    ("D2 Problem", ("describe",)),
    ("D3 Interim containment", ("contain",)),
    ("D4 Root cause", ("find cause", "verify cause")),
    ("D5 Corrective action chosen", ("correct",)),
    ("D6 Action in force, effect checked", ("check effect",)),
    ("D7 Prevention", ("prevention",)),
    ("D8 Closing and thanks", ("close",)),
)


@dataclass(frozen=True)
class Block:
    """A piece of a report.

    Attributes
    ----------
    kind : str
        ``alarm``, ``title``, ``heading``, ``text``, ``table`` or ``bars``.
    text : str
        Words; empty for a table.
    head : tuple of str
        Column headings of a table.
    rows : tuple of tuple of str
        Cells of a table; label, observed and expected of bars.
    """

    kind: str
    text: str = ""
    head: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()


def case_blocks(entries: list[Entry], today: date, *, form: str = "steps") -> list[Block]:
    """The content of a report.

    Parameters
    ----------
    entries : list of Entry
        All entries of a case.
    today : date
        Day of the report; only the date line and the clock depend on it.
    form : str
        ``steps``, ``8d`` (the same in the order of eight disciplines) or ``summary``.

    Returns
    -------
    list of Block
        In the order of reading.
    """
    now = standing(entries)
    grave = safety_class(now) == 1
    lines = headline(entries)
    blocks = []
    if grave:
        clock = discovery_clock(entries, today)
        blocks.append(Block("alarm", f"{REFER} {lines[1]}" + (f" ({clock})" if clock else "")))
        lines = lines[2:]
    blocks += [Block("title", lines[0]), Block("text", f"Date of this report: {today}")]
    blocks += [Block("heading", "Summary"), *_summary(now, lines[1])]
    sections = _sections(now)
    if form == "summary":
        return [*blocks, Block("heading", "Steps"), *_step_blocks(entries)]
    if form == "8d":
        for name, parts in _EIGHT:
            inside = [block for part in parts for block in sections.get(part, [])]
            blocks += [Block("heading", name), *(inside or [Block("text", "Nothing written yet.")])]
    else:
        blocks += [Block("heading", "Steps"), *_step_blocks(entries)]
        for part, inside in sections.items():
            if inside:
                blocks += [Block("heading", part.capitalize()), *inside]
    return [*blocks, *_record(entries)]


def case_html(entries: list[Entry], today: date, *, form: str = "steps") -> bytes:
    """The report as one self-contained HTML file; see :func:`case_blocks`."""
    body = "\n".join(_html(block) for block in case_blocks(entries, today, form=form))
    title = html.escape(entries[0].case_no)
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
        f"<style>{_STYLE}</style></head><body>\n{body}\n</body></html>\n"
    ).encode()


def case_pdf(entries: list[Entry], today: date, *, form: str = "steps") -> bytes:
    """The report as a PDF on A4; see :func:`case_blocks`."""
    blocks = [
        {"kind": one.kind, "text": one.text, "head": one.head, "rows": one.rows}
        for one in case_blocks(entries, today, form=form)
    ]
    inputs = {"blocks": json.dumps(blocks), "foot": entries[0].case_no}
    made: bytes = typst.compile(_TEMPLATE.read_bytes(), format="pdf", sys_inputs=inputs)
    return made


def _step_blocks(entries: list[Entry]) -> list[Block]:
    return [Block("text", step_words(one)) for one in steps(entries)]


def _summary(now: list[Entry], sentence: str) -> list[Block]:
    first = now[0].content
    texts = [sentence, f"{first.get('affected', 0)} hulls affected when the case was opened."]
    if first.get("cost") is not None:
        texts.append(f"Claims cost to that day: {first['cost']:,.2f}.")
    for kind in ("ranked", "contained", "reran", "effect"):
        texts += [entry_words(one) + "." for one in of_kind(now, kind)[-1:]]
    texts += [f"Decided: {entry_words(one)}." for one in of_kind(now, "decided")]
    return [Block("text", text[:1].upper() + text[1:]) for text in texts]


def _sections(now: list[Entry]) -> dict[str, list[Block]]:
    notes = of_kind(now, "noted")

    def told(kind: str) -> list[Block]:
        return [
            Block("text", f"[{one.seq}] {one.at[:10]}, {one.who}: {entry_words(one)}")
            for one in of_kind(now, kind)
        ]

    def noted(*forms: str) -> list[Block]:
        return [
            Block("text", f"[{one.seq}] {one.at[:10]}, {one.who}: {entry_words(one)}")
            for one in notes
            if one.content["form"] in forms
        ]

    return {
        "team": noted("team"),
        "describe": [*told("opened"), *told("discovered"), *told("reran")],
        "contain": [block for one in of_kind(now, "contained")[-1:] for block in _contained(one)],
        "find cause": [block for one in of_kind(now, "ranked")[-1:] for block in _ranked(one)],
        "verify cause": [
            *told("inspected"), *told("decided"), *noted("five whys", "cause and effect"),
        ],
        "correct": [*told("acted"), *told("done")],
        "check effect": [block for one in of_kind(now, "effect")[-1:] for block in _effect(one)],
        "prevention": noted("prevention"),
        "notes and files": [*noted("note"), *told("attached")],
        "close": [*told("closed"), *noted("thanks")],
    }  # fmt: skip


def _ranked(entry: Entry) -> list[Block]:
    body = entry.content
    ladder = "; ".join(f"{name} {count}" for name, count in body["cohort"]["ladder"].items())
    head = (
        "suspect", "evidence", "affected with", "clean with", "affected without",
        "clean without", "unknown", "aliases",
    )  # fmt: skip
    rows = []
    for one in body["suspects"][:10]:
        aliases = ", ".join(f"{two['level']} ({two['family']})" for two in one.get("aliases") or [])
        rows.append(
            (
                f"{one['level']} ({one['family']})", _text(one.get("evidence")),
                _text(one["affected_exposed"]), _less(one["exposed"], one["affected_exposed"]),
                _text(one["affected_unexposed"]),
                _less(one["unexposed"], one["affected_unexposed"]), _text(one["unknown"]), aliases,
            )
        )  # fmt: skip
    cautions = "Association is not fault: a suspect shares its hulls, and is not proved by it."
    return [
        Block("text", f"[{entry.seq}] {entry_words(entry)}. Hulls: {ladder}."),
        Block("table", head=head, rows=tuple(rows)),
        Block("text", cautions),
    ]


def _contained(entry: Entry) -> list[Block]:
    hulls = entry.content["hulls"]
    places = sorted({_text(one["place"]) for one in hulls})
    states = sorted({_text(one["state"]) for one in hulls})
    rows = tuple(
        (state, *(
            str(sum(_text(h["state"]) == state and _text(h["place"]) == place for h in hulls))
            for place in places
        ))
        for state in states
    )  # fmt: skip
    each = tuple(
        tuple(_text(one[name]) for name in ("hull_serial", "grade", "place", "state"))
        for one in hulls
    )
    return [
        Block("text", f"[{entry.seq}] {entry_words(entry)}."),
        Block("table", head=("state", *places), rows=rows),
        Block("table", head=("hull", "grade", "place", "state"), rows=each),
    ]


def _effect(entry: Entry) -> list[Block]:
    body = entry.content
    bars = (
        ("affected", str(body["observed"])),
        ("expected if unchanged", str(body["expected_if_unchanged"])),
        ("expected if cured", str(body["expected_if_cured"])),
    )
    possible = body["verdict_possible_on"] or "not within ten years"
    return [
        Block("text", f"[{entry.seq}] {entry_words(entry)}. A verdict is possible on: {possible}."),
        Block("bars", rows=bars),
    ]


def _record(entries: list[Entry]) -> list[Block]:
    first = entries[0].content
    rows = tuple(
        (str(one.seq), one.at[:16].replace("T", " "), one.who, one.kind, entry_words(one))
        for one in entries
    )
    method = (
        "Suspects are compared at matched months in service; an effect check sets the affected "
        "hulls against what a shrunken earlier rate ratio would have brought."
    )
    return [
        Block("heading", "Entries"),
        Block("table", head=("entry", "written", "who", "kind", "what"), rows=rows),
        Block("heading", "Method, version, data"),
        Block("text", method),
        Block("text", f"Records of version {first.get('data_version', 'unknown')}, up to "
              f"{first.get('definition', {}).get('cut_off')}."),
        Block("text", f"Hash of the last entry: {entries[-1].sealed}"),
    ]  # fmt: skip


def _html(block: Block) -> str:
    text = html.escape(block.text)
    if block.kind == "table":
        head = "".join(f'<th scope="col">{html.escape(one)}</th>' for one in block.head)
        rows = "".join(
            "<tr>" + "".join(f"<td>{html.escape(cell)}</td>" for cell in row) + "</tr>"
            for row in block.rows
        )
        return f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    if block.kind == "bars":
        return _svg(block.rows)
    tag = {"alarm": 'p class="alarm"', "title": "h1", "heading": "h2"}.get(block.kind, "p")
    return f"<{tag}>{text}</{tag.split()[0]}>"


def _svg(rows: tuple[tuple[str, ...], ...]) -> str:
    most = max((float(value) for _, value in rows), default=0.0) or 1.0
    bars = "".join(
        f'<text x="0" y="{26 * place + 17}">{html.escape(label)}</text>'
        f'<rect x="150" y="{26 * place + 4}" width="{300 * float(value) / most:.1f}" height="18" '
        f'fill="#456"/><text x="{156 + 300 * float(value) / most:.1f}" y="{26 * place + 17}">'
        f"{html.escape(value)}</text>"
        for place, (label, value) in enumerate(rows)
    )
    return (
        f'<svg role="img" aria-label="Affected against expected" width="520" '
        f'height="{26 * len(rows) + 4}" viewBox="0 0 520 {26 * len(rows) + 4}">{bars}</svg>'
    )


def _less(whole: Any, part: Any) -> str:
    return "" if whole is None or part is None else str(whole - part)


def _text(value: Any) -> str:
    return "" if value is None else str(value)
