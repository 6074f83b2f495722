"""What each entry and step of a case says, in one line."""

from __future__ import annotations

from typing import Any

from tracegraph.cases.chain import Entry
from tracegraph.cases.steps import Step
from tracegraph.report.casefile.costs import cost_words
from tracegraph.report.numbers import count, plural


def step_words(step: Step) -> str:
    """A step and what it lacks, as one sentence."""
    if not step.lacks:
        return f"{step.name.capitalize()}: done."
    return f"{step.name.capitalize()}: lacks {'; '.join(step.lacks)}."


def shortened(text: str, most: int = 160) -> str:
    """Words that fit where room is short; the entry itself holds them all.

    Examples
    --------
    >>> shortened("one two three", most=8)
    'one two…'
    """
    text = " ".join(text.split())
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def entry_words(entry: Entry) -> str:
    """What an entry says, in one line."""
    body = entry.content
    maker = _WORDS.get(entry.kind)
    return maker(body) if maker else "; ".join(f"{name}: {body[name]}" for name in sorted(body))


def note_line_words(line: dict[str, Any]) -> str:
    """A line of a note with its branch and the entries that it rests on.

    Examples
    --------
    >>> note_line_words({"branch": "mold", "text": "worn chine", "evidence": [2]})
    'mold: worn chine [2]'
    """
    branch = f"{line['branch']}: " if line["branch"] else ""
    rests = f" [{', '.join(str(one) for one in line['evidence'])}]" if line["evidence"] else ""
    return f"{branch}{line['text']}{rests}"


def changes_sentences(body: dict[str, Any]) -> list[str]:
    """What changed since a case was opened, in words.

    Parameters
    ----------
    body : dict
        From :func:`~tracegraph.cases.changes.changes_since`.
    """
    then, now = body["then"], body["now"]
    said = [
        f"Records {then['data_version']} then, {now['data_version']} now.",
        f"Affected hulls: {count(then['affected'])} then, {count(now['affected'])} now. In service "
        f"within the definition: {count(then['at_risk'])} then, {count(now['at_risk'])} now.",
        f"Claim lines: {count(then['claims'])} then, {count(now['claims'])} now. Their cost: "
        f"{_money(then['cost'])} then, {_money(now['cost'])} now.",
    ]
    for name, words in (
        ("new_claims", "New claims"),
        ("gone_claims", "Claims that no longer count"),
        ("new_hulls", "Newly affected hulls"),
        ("gone_hulls", "Hulls no longer affected"),
    ):
        if body[name]:
            said.append(f"{words} ({count(len(body[name]))}): {', '.join(body[name])}.")
    if not any(body[name] for name in ("new_claims", "gone_claims", "new_hulls", "gone_hulls")):
        said.append("No claim and no affected hull is new.")
    return said


def _money(cost: float | None) -> str:
    return "not written down" if cost is None else count(cost)


def _ranked(body: dict[str, Any]) -> str:
    cohort = body["cohort"]
    first = body["suspects"][0] if body["suspects"] else None
    text = f"{cohort['affected']} affected of {cohort['at_risk']} at risk"
    if first is None:
        return f"{text}; no suspect"
    return (
        f"{text}; first of {plural(len(body['suspects']), 'suspect')} kept: {first['level']} of "
        f"{first['family']}, evidence level {first.get('evidence')}"
    )


def _effect(body: dict[str, Any]) -> str:
    return (
        f"{body['verdict']}: {body['observed']} affected, {body['expected_if_unchanged']:.1f} "
        f"expected if unchanged, {body['expected_if_cured']:.1f} if cured"
    )


def _noted(body: dict[str, Any]) -> str:
    return f"{body['form']}: {'; '.join(note_line_words(one) for one in body['lines'])}"


def _decided(body: dict[str, Any]) -> str:
    notice = ""
    if body.get("notify") is not None:
        notice = "; notice is to be given" if body["notify"] else "; no notice is to be given"
    return f"{body['what']} (about {body['about']}{notice}): {body['reason']}"


def _inspected(body: dict[str, Any]) -> str:
    outcome = {True: "found", False: "not found"}[body["found"]]
    return f"hull {body['hull']}, {body['what']} {outcome}: {body['result']}"


def _reran(body: dict[str, Any]) -> str:
    then, now = body["then"], body["now"]
    return (
        f"affected {then['affected']} then, {now['affected']} now; "
        f"{plural(len(body['new_claims']), 'new claim')}, "
        f"{plural(len(body['new_hulls']), 'newly affected hull')}; records {then['data_version']} "
        f"then, {now['data_version']} now"
    )


def _corrected(body: dict[str, Any]) -> str:
    fields = [
        f"{name} {value}"
        for name, value in body.items()
        if isinstance(value, str) and name != "correction_reason"
    ]
    return f"{body['correction_reason']}: {'; '.join(fields)}"


def _opened(body: dict[str, Any]) -> str:
    return f"{body['title']}: {plural(body['affected'], 'affected hull')}"


_WORDS: dict[str, Any] = {
    "opened": _opened,
    "discovered": lambda body: f"discovered on {body['on']}: {body['reason']}",
    "reported": lambda body: f"first report on {body['on']}: {body['reason']}",
    "ranked": _ranked,
    "contained": lambda body: (
        f"{plural(len(body['hulls']), 'hull')} on the list of {body['level']} ({body['family']})"
    ),
    "inspected": _inspected,
    "decided": _decided,
    "acted": lambda body: (
        f"action {body['number']}: {body['what']}; owner {body['owner']}, due {body['due']}"
    ),
    "done": lambda body: (
        f"action {body['action']} took effect on {body['on']}"
        + (f"; first hull built {body['first_built']}" if body["first_built"] else "")
    ),
    "noted": _noted,
    "attached": lambda body: (
        f"{body['name']}, {count(body['bytes'])} bytes, SHA-256 {body['sha256']}"
    ),
    "costed": cost_words,
    "effect": _effect,
    "reran": _reran,
    "closed": lambda body: body["reason"],
    "corrected": _corrected,
}
