"""The content of a case's report, piece by piece, in the order of reading."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from tracegraph.cases.actions import actions
from tracegraph.cases.chain import Entry
from tracegraph.cases.steps import of_kind, standing, steps
from tracegraph.report.casefile.block import (
    ALARM,
    DATE,
    HEADING,
    SMALL,
    TABLE,
    TEXT,
    TITLE,
    Block,
    table_block,
)
from tracegraph.report.casefile.costs import cost_table
from tracegraph.report.casefile.safety import safety_clock, safety_notice
from tracegraph.report.casefile.sections import sections
from tracegraph.report.casefile.summary import WORDS, summary_sentences
from tracegraph.report.casefile.tables import actions_table, days_open, steps_table
from tracegraph.report.casefile.words import entry_words, shortened
from tracegraph.report.numbers import plural

EIGHT = (
    ("D1 Team", ("team",)),
    ("D2 Problem", ("describe",)),
    ("D3 Interim containment", ("contain",)),
    ("D4 Root cause", ("find cause", "verify cause")),
    ("D5 Corrective action chosen", ("correct",)),
    ("D6 Action in force, effect checked", ("check effect",)),
    ("D7 Prevention", ("prevention",)),
    ("D8 Closing and thanks", ("close",)),
)
"""Headings of the order of eight disciplines, with the steps whose content they hold."""

ACTIONS = 5
"""Actions on the manager's one page: those not done first."""

METHOD = (
    "Suspects are compared at matched months in service: each case against the hulls at risk at "
    "its own age, differences between models and build periods allowed for. A missing record "
    "counts neither way. Evidence level 2 needs a chance below 1 in 20 over all levels searched; "
    "level 3 an independent line, such as inspections that tell suspects apart; level 4 an "
    "effective removal.",
    "An effect check sets the affected hulls after an action against what an earlier rate ratio, "
    "drawn towards 1, would have brought at the same months in service. Below 3 expected claims "
    "the verdict is always that it is too early.",
)
CAUTIONS = (
    "Association is not fault: a suspect shares its hulls, and is not proved by it.",
    "These records decide nothing about risk: people do, and local law and counsel prevail.",
)


def case_blocks(entries: list[Entry], today: date, *, form: str = "steps") -> list[Block]:
    """The content of a report.

    Parameters
    ----------
    entries : list of Entry
        All entries of a case.
    today : date
        Day of the report; only the line with the date depends on it.
    form : str
        ``steps``, ``8d`` (the same in the order of eight disciplines) or ``summary``.

    Returns
    -------
    list of Block
        In the order of reading.
    """
    now = standing(entries)
    notice = safety_notice(entries)
    first = now[0].content
    head = [
        *([Block(ALARM, notice)] if notice else []),
        Block(TITLE, f"{entries[0].case_no}: {shortened(first['title'])}"),
        Block(DATE, _date_line(entries, today)),
        Block(HEADING, "Summary"),
        Block(TEXT, shortened(first["sentence"], WORDS)),
        *(Block(TEXT, text) for text in summary_sentences(entries)),
    ]
    listed = [Block(HEADING, "Steps"), table_block(steps_table(steps(entries)), "lacks")]
    if form == "summary":
        return [*head, *listed, *_for_the_manager(entries)]
    parts = sections(entries)
    if form == "8d":
        body = [
            block
            for name, inside in EIGHT
            for block in (
                Block(HEADING, name),
                *(
                    [one for part in inside for one in parts[part]]
                    or [Block(TEXT, "Nothing written yet.")]
                ),
            )
        ]
        used = {part for _, inside in EIGHT for part in inside}
        rest = {name: inside for name, inside in parts.items() if name not in used}
    else:
        body, rest = listed, parts
    for name, inside in rest.items():
        if inside:
            body += [Block(HEADING, name.capitalize()), *inside]
    return [*head, *body, *_record(entries)]


def _for_the_manager(entries: list[Entry]) -> list[Block]:
    """What fits on the one page besides: actions, cost by place, cautions."""
    found = actions(entries, date.min)
    pending = [one for one in found if one.done_on is None] or found
    shown = [replace(one, what=shortened(one.what, 90), owner=shortened(one.owner, 24))
             for one in pending[:ACTIONS]]  # fmt: skip
    blocks = []
    if shown:
        table = actions_table(shown)
        more = len(found) - len(shown)
        blocks += [Block(HEADING, "Actions"), table_block(table, "what")]
        blocks += (
            [Block(SMALL, f"{plural(more, 'more action')} in the full report.")] if more else []
        )
    for one in of_kind(standing(entries), "costed")[-1:]:
        blocks += [
            Block(HEADING, "Cost of containment by place"),
            table_block(cost_table(one.content)),
        ]
    return [*blocks, *(Block(SMALL, text) for text in CAUTIONS)]


def _date_line(entries: list[Entry], today: date) -> str:
    now = standing(entries)
    said = [f"Date of this report: {today}."]
    if not of_kind(now, "closed"):
        said.append(f"Open for {plural(days_open(entries, today), 'day')}.")
    late = sum(one.overdue for one in actions(entries, today))
    if late:
        said.append(f"{plural(late, 'action')} overdue.")
    clock = safety_clock(entries, today)
    return " ".join([*said, *([clock] if clock else [])])


def _record(entries: list[Entry]) -> list[Block]:
    first = standing(entries)[0].content
    rows = tuple(
        (str(one.seq), one.at[:16].replace("T", " "), one.who, one.kind, entry_words(one))
        for one in entries
    )
    head = ("entry", "written (UTC)", "who", "kind", "what")
    versions = [
        f"{one.kind} (entry {one.seq}): {_version(one)}" for one in entries if _version(one)
    ]
    return [
        Block(HEADING, "Entries"),
        Block(TABLE, head=head, rows=rows, wide=("what",)),
        Block(HEADING, "Method, versions, cautions"),
        *(Block(SMALL, text) for text in (*METHOD, *CAUTIONS)),
        Block(
            SMALL,
            f"Data up to {first['definition']['cut_off']} when the case was opened. Versions of "
            f"the records: {'; '.join(versions)}.",
        ),
        Block(SMALL, f"Hash of the last entry: {entries[-1].sealed}"),
    ]


def _version(entry: Entry) -> str:
    body = entry.content
    if entry.kind == "reran":
        return str(body["now"]["data_version"])
    return str(body.get("data_version") or "") if entry.corrects is None else ""
