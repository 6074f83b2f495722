"""Tables about a case: steps, suspects then and now, actions, entries, hulls held."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

import pandas as pd

from tracegraph.cases.actions import Action
from tracegraph.cases.chain import Entry
from tracegraph.cases.steps import Step, of_kind
from tracegraph.domain.records import PLACES
from tracegraph.report.casefile.words import entry_words
from tracegraph.report.numbers import NONE, chance, interval, of, plural, ratio
from tracegraph.report.tables import COUNT, DisplayTable


def steps_table(steps: Iterable[Step]) -> DisplayTable:
    """Steps of the investigation and what each lacks."""
    rows = [(one.name, "; ".join(one.lacks) or "done") for one in steps]
    return DisplayTable(pd.DataFrame(rows, columns=["step", "lacks"]))


def entries_table(entries: Iterable[Entry]) -> DisplayTable:
    """Everything that was written into a case, oldest first."""
    rows = [(one.seq, one.at, one.who, one.kind, entry_words(one), one.corrects) for one in entries]
    frame = pd.DataFrame(rows, columns=["entry", "at", "who", "kind", "what", "corrects"])
    frame["corrects"] = frame["corrects"].astype("Int64")
    return DisplayTable(
        frame, {"entry": COUNT, "corrects": COUNT}, caption=f"{_counted(frame, 'entry')}."
    )


def actions_table(found: Sequence[Action]) -> DisplayTable:
    """Actions with owner, due date, and since when they are overdue."""
    rows = [
        (one.number, one.what, one.owner, one.due, one.done_on, one.first_built, _action_words(one))
        for one in found
    ]
    heads = ["action", "what", "owner", "due", "in effect", "first hull built", "stands"]
    return DisplayTable(
        pd.DataFrame(rows, columns=heads),
        {"action": COUNT},
        caption=f"{plural(len(rows), 'action')}.",
    )


def suspects_then_now(rows: Iterable[dict[str, Any]]) -> DisplayTable:
    """Suspects with their numbers then and now, side by side; only then, if never asked again.

    Parameters
    ----------
    rows : iterable of dict
        From :func:`~tracegraph.cases.changes.side_by_side`.
    """
    table = []
    asked_again = False
    for one in rows:
        asked_again |= one["now"] is not None
        then, now = one["then"], one["now"]
        cells = [f"{one['level']} ({one['family']})"]
        for write in (_rank, _evidence, _cases, _ratio, _chance, _fisher):
            cells += [write(then), write(now)]
        table.append([*cells, one["reason"]])
    heads = ["suspect"]
    for name in (
        "rank",
        "evidence",
        "affected of exposed",
        "rate ratio",
        "chance anywhere",
        "Fisher p",
    ):
        heads += [f"{name} then", f"{name} now"]
    frame = pd.DataFrame(table, columns=[*heads, "remark"])
    if not asked_again:
        frame = frame[[name for name in frame.columns if not name.endswith(" now")]]
    order = "in today's order" if asked_again else "in the order of then"
    return DisplayTable(frame, caption=f"{plural(len(frame), 'suspect')}, {order}.")


def then_and_now(rows: Iterable[dict[str, Any]]) -> DisplayTable:
    """The same in few columns, for paper: an arrow leads from then to now."""
    table = [
        [f"{one['level']} ({one['family']})"]
        + [
            f"{write(one['then'])} → {write(one['now'])}"
            for write in (_rank, _evidence, _cases, _ratio, _chance, _fisher)
        ]
        for one in rows
    ]
    heads = ["suspect", "rank", "evidence", "affected of exposed", "rate ratio", "chance anywhere",
             "Fisher p"]  # fmt: skip
    return DisplayTable(pd.DataFrame(table, columns=heads))


def inspections_table(now: Iterable[Entry]) -> DisplayTable:
    """Hulls looked at and whether the fault was found, from the standing entries."""
    rows = [
        (one.at[:10], one.who, one.content["hull"], one.content["what"],
         "found" if one.content["found"] else "not found", one.content["result"])
        for one in of_kind(now, "inspected")
    ]  # fmt: skip
    heads = ["day", "who", "hull", "looked for", "outcome", "in words"]
    return DisplayTable(
        pd.DataFrame(rows, columns=heads), caption=f"{plural(len(rows), 'inspection')}."
    )


def to_inspect_table(now: Iterable[Entry]) -> DisplayTable:
    """Hulls that tell most and were not looked at yet, from the standing entries."""
    found = list(now)
    done = {one.content["hull"] for one in of_kind(found, "inspected")}
    named = [row for one in of_kind(found, "ranked")[-1:] for row in one.content["to_inspect"]]
    rows = [
        (one["hull"], one["place"] or NONE, one["carries"])
        for one in named
        if one["hull"] not in done
    ]
    return DisplayTable(
        pd.DataFrame(rows, columns=["hull", "place", "carries"]),
        caption=f"{plural(len(rows), 'hull')} without a claim to inspect.",
    )


def held_by_place(hulls: Iterable[dict[str, Any]]) -> DisplayTable:
    """Hulls on the list of a suspect by what became of them and where they are."""
    frame = pd.DataFrame(list(hulls), columns=["hull_serial", "grade", "place", "state"])
    place = frame["place"].fillna("not recorded")
    known = [name for name in (*PLACES, "not recorded") if (place == name).any()]
    counted = pd.crosstab(frame["state"], place).reindex(columns=known, fill_value=0)
    counted["all"] = counted.sum(axis=1)
    counted = counted.reset_index().rename_axis(columns=None)
    styles = dict.fromkeys([*known, "all"], COUNT)
    return DisplayTable(counted, styles, caption=f"{plural(len(frame), 'hull')} on the list.")


def hulls_together(hulls: Iterable[dict[str, Any]]) -> DisplayTable:
    """The same on little paper: hulls alike in one row, an affected one with a star."""
    together: dict[tuple[str, ...], list[str]] = {}
    for one in hulls:
        alike = tuple(str(one[name] or NONE) for name in ("grade", "place", "state"))
        star = "*" if one["affected"] else ""
        together.setdefault(alike, []).append(f"{one['hull_serial']}{star}")
    rows = [
        (*alike, len(serials), ", ".join(sorted(serials))) for alike, serials in together.items()
    ]
    heads = ["grade", "place", "state", "count", "hulls (* affected)"]
    return DisplayTable(pd.DataFrame(rows, columns=heads), {"count": COUNT})


def notes_table(lines: Iterable[dict[str, Any]]) -> DisplayTable:
    """The lines of a structured note, with the entries that each rests on."""
    rows = [
        (place, one["branch"], one["text"], ", ".join(str(n) for n in one["evidence"]) or "nothing")
        for place, one in enumerate(lines, 1)
    ]
    frame = pd.DataFrame(rows, columns=["line", "branch", "what", "rests on entries"])
    if not frame["branch"].any():
        frame = frame.drop(columns="branch")
    return DisplayTable(frame, {"line": COUNT})


def definition_table(asked: dict[str, Any], settled: dict[str, Any]) -> DisplayTable:
    """The limits of a case definition, and whether a person or the data set each."""
    rows = []
    for name, value in settled.items():
        words = value if isinstance(value, list) else [value]
        if all(one is None for one in words):
            continue
        shown = (" to " if name == "service_months" else ", ").join(
            "any" if one is None else str(one) for one in words
        )
        by = "given" if asked[name] == value else "from the data"
        rows.append((name.replace("_", " "), shown, by))
    return DisplayTable(pd.DataFrame(rows, columns=["field", "value", "set"]))


def hulls_held(hulls: Iterable[dict[str, Any]]) -> DisplayTable:
    """Each hull on the list of a suspect."""
    frame = pd.DataFrame(
        list(hulls), columns=["hull_serial", "grade", "place", "state", "affected"]
    )
    shown = frame.rename(columns={"hull_serial": "hull"})
    shown["affected"] = shown["affected"].map({True: "yes", False: "no"}).fillna("not known")
    return DisplayTable(shown, caption=f"{plural(len(frame), 'hull')}.")


def days_open(entries: Sequence[Entry], today: date) -> int:
    """Days from opening a case to today."""
    return (today - date.fromisoformat(entries[0].at[:10])).days


def _action_words(one: Action) -> str:
    if one.done_on is not None:
        late = f", {plural(one.days_overdue, 'day')} late" if one.days_overdue else ""
        return f"done{late}"
    return f"overdue by {plural(one.days_overdue, 'day')}" if one.overdue else "open"


def _counted(frame: pd.DataFrame, one: str) -> str:
    return plural(len(frame), one, "entries" if one == "entry" else None)


def _rank(one: dict[str, Any] | None) -> str:
    return NONE if one is None else str(one["rank"])


def _evidence(one: dict[str, Any] | None) -> str:
    return NONE if one is None or one["evidence"] is None else str(one["evidence"])


def _cases(one: dict[str, Any] | None) -> str:
    return NONE if one is None else of(one["affected_exposed"], one["exposed"])


def _ratio(one: dict[str, Any] | None) -> str:
    if one is None or one["rate_ratio"] is None:
        return NONE
    low, high = one["rate_ratio_low"], one["rate_ratio_high"]
    limits = "" if low is None or high is None else f" ({interval(low, high)})"
    return f"{ratio(one['rate_ratio'])}{limits}"


def _chance(one: dict[str, Any] | None) -> str:
    return NONE if one is None or one["p_family"] is None else chance(one["p_family"])


def _fisher(one: dict[str, Any] | None) -> str:
    return NONE if one is None or one["p_fisher"] is None else chance(one["p_fisher"])
