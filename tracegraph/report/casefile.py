"""A case file in words: its head, its steps and its entries."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

import pandas as pd

from tracegraph.analysis.cluster import Cases
from tracegraph.cases.chain import Entry
from tracegraph.cases.steps import Step, of_kind, safety_class, standing, steps

REFER = "Refer to a person today: safety class 1."


def cluster_as_json(found: Cases) -> dict[str, Any]:
    """The affected hulls of a definition as plain values, as they go into a case.

    Returns
    -------
    dict
        ``definition``, ``sentence``, ``data_version``, ``affected``, ``hulls``, ``claims``,
        ``cost`` (claims cost to date; None when none is written) and ``safety_class``.
    """
    cost = found.frame["cost"].dropna()
    return {
        "definition": found.definition.as_json(),
        "sentence": found.definition.sentence(),
        "data_version": found.data_version,
        "affected": len(found.frame),
        "hulls": sorted(str(one) for one in found.frame["hull_serial"]),
        "claims": int(found.frame["claims"].sum()),
        "cost": round(float(cost.sum()), 2) if len(cost) else None,
        "safety_class": found.safety_class,
    }


def changes_since(then: dict[str, Any], now: dict[str, Any]) -> dict[str, Any]:
    """What the records say now that they did not say when a case was opened.

    Returns
    -------
    dict
        ``then`` and ``now`` (``affected``, ``claims``, ``cost``, ``data_version``),
        ``new_hulls``, ``gone_hulls`` and ``safety_class``.

    Examples
    --------
    >>> one = {"affected": 1, "claims": 1, "cost": 5.0, "data_version": "a", "hulls": ["B"]}
    >>> two = {**one, "affected": 2, "hulls": ["B", "C"], "safety_class": 2}
    >>> changes_since(one, two)["new_hulls"]
    ['C']
    """
    names = ("affected", "claims", "cost", "data_version")
    return {
        "then": {name: then[name] for name in names},
        "now": {name: now[name] for name in names},
        "new_hulls": sorted(set(now["hulls"]) - set(then["hulls"])),
        "gone_hulls": sorted(set(then["hulls"]) - set(now["hulls"])),
        "safety_class": now["safety_class"],
    }


def headline(entries: list[Entry]) -> list[str]:
    """The head of a case: a safety matter first, then what it is about."""
    now = standing(entries)
    first = now[0].content
    lines = []
    if safety_class(now) == 1:
        found = of_kind(now, "discovered")
        clock = f"Discovered on {found[-1].content['on']}." if found else "No day of discovery yet."
        risk = [one for one in of_kind(now, "decided") if one.content["about"] == "risk"]
        who = (
            f"Decided by {risk[-1].who} on {risk[-1].at[:10]}: {risk[-1].content['what']}."
            if risk
            else "Nobody has decided about the risk yet."
        )
        lines += [REFER, f"{clock} {who}"]
    lines.append(f"{entries[0].case_no}: {first.get('title', '')}")
    lines.append(str(first.get("sentence", "")))
    return lines


def discovery_clock(entries: list[Entry], today: date) -> str | None:
    """Days since discovery, in words; None when no day is written down."""
    found = of_kind(standing(entries), "discovered")
    if not found:
        return None
    on = date.fromisoformat(found[-1].content["on"])
    return f"{(today - on).days} days since discovery on {on}"


def step_words(step: Step) -> str:
    """A step and what it lacks, as one sentence."""
    if not step.lacks:
        return f"{step.name.capitalize()}: done."
    return f"{step.name.capitalize()}: lacks {'; '.join(step.lacks)}."


def cases_frame(cases: Iterable[list[Entry]]) -> pd.DataFrame:
    """One row per case: number, title, entries, and the first step that lacks something."""
    rows = []
    for entries in cases:
        now = standing(entries)
        todo = next((one for one in steps(entries) if one.lacks), None)
        rows.append(
            {
                "case": entries[0].case_no,
                "title": str(now[0].content.get("title", "")),
                "safety": REFER if safety_class(now) == 1 else "",
                "entries": len(entries),
                "next": "closed" if todo is None else step_words(todo),
            }
        )
    return pd.DataFrame(rows, columns=["case", "title", "safety", "entries", "next"])


def entry_words(entry: Entry) -> str:
    """What an entry says, in one line."""
    body = entry.content
    maker = _WORDS.get(entry.kind)
    return maker(body) if maker else "; ".join(f"{name}: {body[name]}" for name in sorted(body))


def _ranked(body: dict[str, Any]) -> str:
    cohort = body["cohort"]
    first = body["suspects"][0] if body["suspects"] else None
    text = f"{cohort['affected']} affected of {cohort['at_risk']} at risk"
    if first is None:
        return f"{text}; no suspect"
    return (
        f"{text}; first of {len(body['suspects'])} suspects kept: {first['level']} of "
        f"{first['family']}, evidence level {first.get('evidence')}"
    )


def _effect(body: dict[str, Any]) -> str:
    return (
        f"{body['verdict']}: {body['observed']} affected, {body['expected_if_unchanged']} "
        f"expected if unchanged, {body['expected_if_cured']} if cured"
    )


def _noted(body: dict[str, Any]) -> str:
    rests = ", ".join(str(one) for one in body["evidence"])
    return f"{body['form']}: {' > '.join(body['lines'])}" + (f" (entries {rests})" if rests else "")


_WORDS: dict[str, Any] = {
    "opened": lambda body: f"{body.get('title', '')}: {body.get('affected', 0)} affected hulls",
    "discovered": lambda body: f"discovered on {body['on']}: {body['reason']}",
    "ranked": _ranked,
    "contained": lambda body: f"{len(body['hulls'])} hulls on the list of {body['level']}",
    "inspected": lambda body: f"hull {body['hull']}, {body['what']}: {body['result']}",
    "decided": lambda body: f"{body['what']} (about {body['about']}): {body['reason']}",
    "acted": lambda body: (
        f"action {body['number']}: {body['what']}; owner {body['owner']}, due {body['due']}"
    ),
    "done": lambda body: (
        f"action {body['action']} took effect on {body['on']}"
        + (f"; first hull built {body['first_built']}" if body["first_built"] else "")
    ),
    "noted": _noted,
    "attached": lambda body: f"{body['name']}, SHA-256 {body['sha256']}",
    "effect": _effect,
    "reran": lambda body: (
        f"affected {body['then']['affected']} then, {body['now']['affected']} now; "
        f"{len(body['new_hulls'])} new"
    ),
    "closed": lambda body: body["reason"],
    "corrected": lambda body: (
        f"{body['correction_reason']}: "
        + "; ".join(f"{name} {value}" for name, value in body.items() if isinstance(value, str)
                    and name != "correction_reason")
    ),
}  # fmt: skip
