"""One case as a reader sees it, and the list of all cases."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd

from tracegraph.cases.actions import actions
from tracegraph.cases.chain import Entry
from tracegraph.cases.changes import side_by_side, suspects_kept
from tracegraph.cases.corroboration import corroboration
from tracegraph.cases.steps import of_kind, standing, steps
from tracegraph.report.casefile.costs import cost_sentences, cost_table
from tracegraph.report.casefile.effect import effect_sentences
from tracegraph.report.casefile.evidence import seen_sentence, seen_table
from tracegraph.report.casefile.safety import safety_lines, safety_notice
from tracegraph.report.casefile.summary import asked_last, summary_sentences
from tracegraph.report.casefile.tables import (
    actions_table,
    days_open,
    entries_table,
    held_by_place,
    hulls_held,
    inspections_table,
    steps_table,
    suspects_then_now,
    to_inspect_table,
)
from tracegraph.report.casefile.words import step_words
from tracegraph.report.numbers import count, plural
from tracegraph.report.tables import COUNT, DisplayTable

MONEY = ("claims cost", "cost to come", "containment open")


@dataclass(frozen=True, eq=False)
class CaseView:
    """Everything that a page about one case shows; sentences and tables, nothing to compute.

    Attributes
    ----------
    case_no, title, sentence : str
        Number, what it is about, the case definition in words.
    safety : tuple of str
        Stands on top of everything; empty unless the case may hurt someone.
    closed : bool
        Whether it was closed.
    summary : tuple of str
        The case in words: where it stands first.
    steps : DisplayTable
        ``step``, ``lacks`` ("done" when nothing).
    suspects : DisplayTable
        Numbers of each suspect then and now; only then while it was not asked again.
    suspects_remark : str
        Which days and data versions these are.
    evidence : DisplayTable
        What inspections and effect checks add to each suspect that may be more than chance.
    evidence_words : tuple of str
        The same, a sentence each.
    inspections : DisplayTable
        Hulls looked at, and whether the fault was found.
    to_inspect : DisplayTable
        Hulls without a claim that tell most, not yet looked at.
    held : DisplayTable or None
        Hulls on the list by state and place; None while there is no list.
    hulls : DisplayTable or None
        Each of them.
    actions : DisplayTable
        With owner, due date and how many days overdue.
    overdue : int
        Actions that should be done and are not.
    cost : tuple of str
        Claims cost to date and to come, and cost of containment.
    cost_by_place : DisplayTable or None
        Cost of containment by place; None while it was not worked out.
    effect : tuple of str
        The latest effect check in words; empty while there is none.
    entries : DisplayTable
        Everything that was written, oldest first.
    """

    case_no: str
    title: str
    sentence: str
    safety: tuple[str, ...]
    closed: bool
    summary: tuple[str, ...]
    steps: DisplayTable
    suspects: DisplayTable
    suspects_remark: str
    evidence: DisplayTable
    evidence_words: tuple[str, ...]
    inspections: DisplayTable
    to_inspect: DisplayTable
    held: DisplayTable | None
    hulls: DisplayTable | None
    actions: DisplayTable
    overdue: int
    cost: tuple[str, ...]
    cost_by_place: DisplayTable | None
    effect: tuple[str, ...]
    entries: DisplayTable


def case_view(entries: Sequence[Entry], today: date) -> CaseView:
    """One case, ready to be shown.

    Parameters
    ----------
    entries : sequence of Entry
        All entries of a case, from :meth:`~tracegraph.cases.store.CaseStore.entries`.
    today : date
        Day from which days are counted.

    Returns
    -------
    CaseView
        To write into the case, see :mod:`tracegraph.report.casefile.written`.
    """
    now = standing(entries)
    closed = bool(of_kind(now, "closed"))
    first = now[0].content
    found = actions(entries, today)
    todo = next((one for one in steps(entries) if one.lacks), None)
    contained = of_kind(now, "contained")[-1:]
    hulls = contained[0].content["hulls"] if contained else None
    seen = corroboration(entries)
    costed, effect = of_kind(now, "costed")[-1:], of_kind(now, "effect")[-1:]
    rows, remark = _suspects(now)
    overdue = [one for one in found if one.overdue]
    summary = [
        "Closed."
        if todo is None
        else f"Closed, though it lacked something. {step_words(todo)}"
        if closed
        else f"Open for {plural(days_open(entries, today), 'day')}. Next: {step_words(todo)}",
        *([f"Overdue: {plural(len(overdue), 'action')}."] if overdue else []),
        *summary_sentences(entries),
    ]
    return CaseView(
        case_no=entries[0].case_no,
        title=str(first["title"]),
        sentence=str(first["sentence"]),
        safety=safety_lines(entries, today),
        closed=closed,
        summary=tuple(summary),
        steps=steps_table(steps(entries)),
        suspects=suspects_then_now(rows),
        suspects_remark=remark,
        evidence=seen_table(seen),
        evidence_words=tuple(seen_sentence(one) for one in seen),
        inspections=inspections_table(now),
        to_inspect=to_inspect_table(now),
        held=None if hulls is None else held_by_place(hulls),
        hulls=None if hulls is None else hulls_held(hulls),
        actions=actions_table(found),
        overdue=len(overdue),
        cost=tuple(cost_sentences(costed[0].content)) if costed else _cost_so_far(now),
        cost_by_place=cost_table(costed[0].content) if costed else None,
        effect=tuple(effect_sentences(effect[0].content)) if effect else (),
        entries=entries_table(entries),
    )


def case_list(cases: Iterable[Sequence[Entry]], today: date) -> DisplayTable:
    """All cases with age, next step and what is overdue; also for the manager's overview.

    Parameters
    ----------
    cases : iterable of sequence of Entry
        The entries of each case: ``[files.entries(n) for n in files.numbers()]``.
    today : date
        Day from which days are counted.

    Returns
    -------
    DisplayTable
        Safety matters first, then open cases before closed ones, the oldest first:
        ``case``, ``safety`` (the notice; empty), ``title``, ``opened``, ``days open``
        (missing once closed), ``next`` (first step that lacks something, "closed"),
        ``overdue`` (actions), ``affected`` hulls and ``claims cost`` (missing when none is
        written) when last asked, ``cost to come`` (middle) and ``containment open`` (missing
        while not worked out).
    """
    rows = []
    for entries in cases:
        now = standing(entries)
        latest = {**now[0].content, **asked_last(now)}
        closed = bool(of_kind(now, "closed"))
        todo = next((one for one in steps(entries) if one.lacks), None)
        costed = next((one.content for one in of_kind(now, "costed")[-1:]), {})
        expected = costed.get("expected")
        rows.append(
            {
                "case": entries[0].case_no,
                "safety": safety_notice(entries),
                "title": str(now[0].content["title"]),
                "opened": date.fromisoformat(entries[0].at[:10]),
                "days open": None if closed else days_open(entries, today),
                "next": "closed" if closed or todo is None else step_words(todo),
                "overdue": sum(one.overdue for one in actions(entries, today)),
                "affected": latest["affected"],
                "claims cost": latest["cost"],
                "cost to come": None if expected is None else expected["middle"],
                "containment open": costed.get("contain_open"),
            }
        )
    heads = ["case", "safety", "title", "opened", "days open", "next", "overdue", "affected",
             *MONEY]  # fmt: skip
    frame = pd.DataFrame(rows, columns=heads).astype(
        {"days open": "Int64"} | dict.fromkeys(MONEY, "float64")
    )
    order = frame.assign(mild=frame["safety"] == "", closed=frame["days open"].isna())
    order = order.sort_values(["mild", "closed", "days open", "case"],
                              ascending=[True, True, False, True], kind="stable")  # fmt: skip
    frame = frame.loc[order.index].reset_index(drop=True)
    styles = dict.fromkeys(["days open", "overdue", "affected", *MONEY], COUNT)
    return DisplayTable(frame, styles, caption=f"{plural(len(frame), 'case')}.")


def _suspects(now: list[Entry]) -> tuple[list[dict[str, Any]], str]:
    ranked, reran = of_kind(now, "ranked"), of_kind(now, "reran")
    if reran:
        last = reran[-1]
        then, version = last.content["then"], last.content["now"]["data_version"]
        return last.content["suspects"], (
            f"Then: as kept in the case (opened on records {then['data_version']}). Now: records "
            f"{version}, asked on {last.at[:10]}."
        )
    if not ranked:
        return [], "No suspects were ranked in this case yet."
    body = ranked[-1].content
    return side_by_side(suspects_kept(now), None), (
        f"Then: records {body['data_version']}, ranked on {ranked[-1].at[:10]}. The case was not "
        "asked again of later records."
    )


def _cost_so_far(now: list[Entry]) -> tuple[str, ...]:
    latest = {**now[0].content, **asked_last(now)}
    cost = latest["cost"]
    return (
        f"Claims cost when last asked: {'not written down' if cost is None else count(cost)}.",
        "What is still to come and what containment costs was not worked out yet.",
    )
