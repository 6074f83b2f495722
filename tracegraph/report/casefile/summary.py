"""A case in words: what it is about, what stands behind it, what was done, what it costs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from tracegraph.cases.actions import actions
from tracegraph.cases.chain import Entry
from tracegraph.cases.corroboration import corroboration, latest_ranking
from tracegraph.cases.retention import kept_until
from tracegraph.cases.steps import of_kind, standing
from tracegraph.domain.holding import FINISHED
from tracegraph.report.casefile.costs import cost_sentences
from tracegraph.report.casefile.effect import effect_sentences
from tracegraph.report.casefile.evidence import seen_sentence
from tracegraph.report.casefile.words import entry_words, shortened
from tracegraph.report.numbers import count, of, plural

DECISIONS = 3
"""Decisions in a summary, the latest ones."""

DECISION = 170
WORDS = 300
"""Letters of a decision and of any other sentence in a summary; the entries hold all."""


def summary_sentences(entries: Sequence[Entry]) -> list[str]:
    """A case in words, the same on every day.

    Parameters
    ----------
    entries : sequence of Entry
        All entries of a case.
    """
    now = standing(entries)
    said = [_affected(now), *_suspects(entries, now), *_held(now)]
    for entry in of_kind(now, "costed")[-1:]:
        said += cost_sentences(entry.content)
    said += _actions(entries)
    for entry in of_kind(now, "effect")[-1:]:
        said += effect_sentences(entry.content)[:2]
    decisions = of_kind(now, "decided")
    said += [
        shortened(f"Decided by {one.who} on {one.at[:10]}: {entry_words(one)}.", DECISION)
        for one in decisions[-DECISIONS:]
    ]
    if len(decisions) > DECISIONS:
        said.append(f"Earlier decisions: {len(decisions) - DECISIONS}; the entries hold them.")
    for entry in of_kind(now, "closed")[-1:]:
        reason = shortened(entry.content["reason"], DECISION)
        said.append(
            f"Closed by {entry.who} on {entry.at[:10]}: {reason}. To be kept until "
            f"{kept_until(entries)}."
        )
    return [shortened(text, WORDS) for text in said]


def asked_last(now: Iterable[Entry]) -> dict[str, Any]:
    """Counts of the latest re-run; empty before one."""
    reran = of_kind(now, "reran")
    return dict(reran[-1].content["now"]) if reran else {}


def _affected(now: list[Entry]) -> str:
    first = now[0].content
    told = f"{plural(first['affected'], 'hull')} affected when the case was opened"
    latest = asked_last(now)
    if not latest:
        return f"{told}, of {count(first['at_risk'])} in service within the definition."
    return (
        f"{told}, {count(latest['affected'])} when last asked; "
        f"{count(first['at_risk'])} in service within the definition then, "
        f"{count(latest['at_risk'])} now."
    )


def _suspects(entries: Sequence[Entry], now: list[Entry]) -> list[str]:
    if latest_ranking(now) is None:
        return ["No suspects were ranked yet."]
    found = corroboration(entries)
    if not found:
        return ["No shared factor stands out beyond chance."]
    return [seen_sentence(one) for one in found[:2]]


def _held(now: list[Entry]) -> list[str]:
    found = of_kind(now, "contained")[-1:]
    if not found:
        return ["No list of hulls was drawn up yet."]
    body = found[0].content
    hulls = body["hulls"]
    finished = sum(one["state"] in FINISHED for one in hulls)
    return [
        f"{plural(len(hulls), 'hull')} carry or may carry {body['level']} ({body['family']}); "
        f"{of(finished, len(hulls))} inspected clear, corrected or refused."
    ]


def _actions(entries: Sequence[Entry]) -> list[str]:
    found = actions(entries, date.min)
    if not found:
        return ["No action was set yet."]
    done = sum(one.done_on is not None for one in found)
    return [f"Actions: {of(done, len(found))} done."]
