"""The parts of a case's report, by step of the investigation."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from typing import Any

from tracegraph.cases.actions import actions
from tracegraph.cases.chain import Entry
from tracegraph.cases.corroboration import corroboration
from tracegraph.cases.steps import of_kind, standing
from tracegraph.report.casefile.block import FIGURE, SMALL, TABLE, TEXT, Block, table_block
from tracegraph.report.casefile.costs import cost_sentences, cost_table
from tracegraph.report.casefile.effect import effect_sentences
from tracegraph.report.casefile.evidence import seen_sentence, seen_table
from tracegraph.report.casefile.figures import bars_svg, ratios_svg
from tracegraph.report.casefile.tables import (
    actions_table,
    definition_table,
    held_by_place,
    hulls_together,
    inspections_table,
    notes_table,
    then_and_now,
    to_inspect_table,
)
from tracegraph.report.casefile.words import changes_sentences, entry_words, shortened
from tracegraph.report.numbers import NONE
from tracegraph.report.words import ladder, left_out

SHOWN = 10
"""Suspects in the tables of a report."""

TOLD = 3
"""Suspects that are told in words; of the others those that inspections speak of."""

THEN_NOW = ("suspect", "affected of exposed", "rate ratio", "chance anywhere", "Fisher p")
"""Columns that share the room of the table of then and now."""


def sections(entries: list[Entry]) -> dict[str, list[Block]]:
    """What a report says under each step; empty where nothing was written.

    Parameters
    ----------
    entries : list of Entry
        All entries of a case.

    Returns
    -------
    dict
        By step, in the order of the work.
    """
    now = standing(entries)

    def told(kind: str) -> list[Block]:
        return [Block(TEXT, _dated(one)) for one in of_kind(now, kind)]

    def noted(*forms: str) -> list[Block]:
        kept = [one for one in of_kind(now, "noted") if one.content["form"] in forms]
        return [block for one in kept for block in _note(one)]

    def latest(kind: str, make: Any) -> list[Block]:
        return [block for one in of_kind(now, kind)[-1:] for block in make(one)]

    return {
        "team": noted("team"),
        "describe": [*_defined(now), *told("opened"), *told("discovered"), *told("reported")],
        "contain": latest("contained", _contained),
        "find cause": [*latest("ranked", _ranked), *latest("reran", _reran)],
        "verify cause": [
            *_seen(entries), *_inspected(now), *_to_inspect(now), *told("decided"),
            *noted("five whys", "cause and effect"),
        ],
        "correct": _acted(entries),
        "check effect": latest("effect", _effect),
        "cost": latest("costed", _costed),
        "prevention": noted("prevention"),
        "notes and files": [*noted("note"), *told("attached")],
        "close": [*told("closed"), *noted("thanks")],
    }  # fmt: skip


def _dated(entry: Entry) -> str:
    return f"[{entry.seq}] {entry.at[:10]}, {entry.who}: {entry_words(entry)}"


def _defined(now: list[Entry]) -> list[Block]:
    first = now[0].content
    return [
        Block(TEXT, first["sentence"]),
        table_block(definition_table(first["asked"], first["definition"]), "value"),
        Block(SMALL, "What is not listed is not limited."),
    ]


def _note(entry: Entry) -> list[Block]:
    body = entry.content
    lines = body["lines"]
    if len(lines) == 1 and not lines[0]["branch"]:
        return [Block(TEXT, _dated(entry))]
    head = f"[{entry.seq}] {entry.at[:10]}, {entry.who}: {body['form']}"
    return [Block(TEXT, head), table_block(notes_table(lines), "what")]


def _ranked(entry: Entry) -> list[Block]:
    body = entry.content
    shown = body["suspects"][:SHOWN]
    head = (
        "suspect", "evidence", "affected with it", "clean with it", "affected without",
        "clean without", "not recorded", "aliases",
    )  # fmt: skip
    rows = []
    for one in shown:
        aliases = ", ".join(f"{two['level']} ({two['family']})" for two in one.get("aliases") or [])
        rows.append(
            (
                _named(one), _text(one.get("evidence")),
                _text(one["affected_exposed"]), _less(one["exposed"], one["affected_exposed"]),
                _text(one["affected_unexposed"]),
                _less(one["unexposed"], one["affected_unexposed"]), _text(one["unknown"]), aliases,
            )
        )  # fmt: skip
    drawn = [
        (
            shortened(_named(one), 40),
            one["rate_ratio"],
            one["rate_ratio_low"] or 0.0,
            math.inf if one["rate_ratio_high"] is None else one["rate_ratio_high"],
        )
        for one in shown
        if one.get("rate_ratio")
    ]
    blocks = [
        Block(TEXT, _dated(entry) + "."),
        Block(TEXT, f"Hulls: {ladder(dict(body['ladder']))}."),
        Block(SMALL, left_out(body["cohort"]["left_out"])),
        _without_empty(Block(TABLE, "", head, tuple(rows), ("suspect", "aliases"), head[1:7])),
    ]
    if drawn:
        blocks.append(Block(FIGURE, ratios_svg(drawn, "Rate ratio of each suspect with limits")))
    if shown:
        blocks.append(Block(SMALL, shown[0]["reading"]))
    return blocks


def _without_empty(table: Block) -> Block:
    """A table without its last column, where nothing stands in it."""
    if any(row[-1] for row in table.rows):
        return table
    return replace(table, head=table.head[:-1], rows=tuple(row[:-1] for row in table.rows))


def _reran(entry: Entry) -> list[Block]:
    body = entry.content
    said = [Block(TEXT, f"[{entry.seq}] {entry.at[:10]}, {entry.who}: asked again.")]
    said += [Block(SMALL, text) for text in changes_sentences(body)]
    rows = body["suspects"][:SHOWN]
    return [*said, table_block(then_and_now(rows), *THEN_NOW)] if rows else said


def _contained(entry: Entry) -> list[Block]:
    hulls = entry.content["hulls"]
    return [
        Block(TEXT, _dated(entry) + "."),
        table_block(held_by_place(hulls)),
        table_block(hulls_together(hulls), "hulls (* affected)"),
    ]


def _costed(entry: Entry) -> list[Block]:
    said = [Block(TEXT, text) for text in cost_sentences(entry.content)]
    return [*said, table_block(cost_table(entry.content))]


def _seen(entries: list[Entry]) -> list[Block]:
    found = corroboration(entries)[:SHOWN]
    if not found:
        return []
    told = [one for place, one in enumerate(found) if place < TOLD or one.odds != 1.0]
    said = [Block(TEXT, seen_sentence(one)) for one in told]
    return [*said, table_block(seen_table(found), "suspect", "against")]


def _inspected(now: list[Entry]) -> list[Block]:
    if not of_kind(now, "inspected"):
        return []
    return [table_block(inspections_table(now), "looked for", "in words")]


def _to_inspect(now: list[Entry]) -> list[Block]:
    found = to_inspect_table(now)
    return (
        [Block(TEXT, f"{found.caption}"), table_block(found, "carries")] if len(found.frame) else []
    )


def _acted(entries: list[Entry]) -> list[Block]:
    # Days overdue belong to the line with the date.
    found = actions(entries, date.min)
    return [table_block(actions_table(found), "what")] if found else []


def _effect(entry: Entry) -> list[Block]:
    body = entry.content
    bars = [
        (label, float(body[name]), f"{body[name]:.4g}")
        for label, name in (
            ("affected", "observed"),
            ("expected if nothing changed", "expected_if_unchanged"),
            ("expected if cured", "expected_if_cured"),
        )
    ]
    said = effect_sentences(body)
    return [
        Block(TEXT, f"[{entry.seq}] {entry.at[:10]}, {entry.who}: {said[0]}"),
        *(Block(TEXT, text) for text in said[1:]),
        Block(FIGURE, bars_svg(bars, "Affected hulls against expected ones")),
    ]


def _named(one: dict[str, Any]) -> str:
    return f"{one['level']} ({one['family']})"


def _less(whole: Any, part: Any) -> str:
    return NONE if whole is None or part is None else str(whole - part)


def _text(value: Any) -> str:
    return NONE if value is None else str(value)
