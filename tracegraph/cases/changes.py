"""A case asked again of today's records: what stood then and what stands now."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from tracegraph.cases.chain import Entry
from tracegraph.cases.steps import of_kind, standing

COUNTS = ("affected", "claims", "cost", "data_version", "at_risk")
NUMBERS = (
    "rank", "evidence", "affected_exposed", "exposed", "affected_unexposed", "unexposed",
    "unknown", "expected", "rate_ratio", "rate_ratio_low", "rate_ratio_high", "p_family",
    "p_fisher", "aliases", "held_back_by", "round",
)  # fmt: skip
"""What is held side by side of each suspect."""

KEPT = 20
"""Suspects kept in a case, best first."""

NOT_THEN = "not among the suspects kept then"
NOT_NOW = "not in today's records, or no longer tested"
NOT_ASKED = "not asked again yet"
NO_RANKING = "no suspects were ranked in this case before"


def changes_since(then: dict[str, Any], now: dict[str, Any]) -> dict[str, Any]:
    """What the records say now that they did not say when a case was opened.

    Parameters
    ----------
    then, now : dict
        ``affected``, ``claims``, ``cost``, ``data_version``, ``at_risk``, ``hulls``,
        ``claim_numbers``; ``safety_class`` of today.

    Returns
    -------
    dict
        ``then`` and ``now`` with their counts, ``new_hulls``, ``gone_hulls``,
        ``new_claims``, ``gone_claims`` and ``safety_class``.

    Examples
    --------
    >>> one = {"affected": 1, "claims": 1, "cost": 5.0, "data_version": "a", "at_risk": 9,
    ...        "hulls": ["B"], "claim_numbers": ["W1"]}
    >>> two = {**one, "affected": 2, "hulls": ["B", "C"], "claim_numbers": ["W1", "W2"],
    ...        "safety_class": 2}
    >>> found = changes_since(one, two)
    >>> found["new_hulls"], found["new_claims"]
    (['C'], ['W2'])
    """

    def only(first: dict[str, Any], second: dict[str, Any], what: str) -> list[str]:
        return sorted(set(first[what]) - set(second[what]))

    return {
        "then": {name: then[name] for name in COUNTS},
        "now": {name: now[name] for name in COUNTS},
        "new_hulls": only(now, then, "hulls"),
        "gone_hulls": only(then, now, "hulls"),
        "new_claims": only(now, then, "claim_numbers"),
        "gone_claims": only(then, now, "claim_numbers"),
        "safety_class": now["safety_class"],
    }


def side_by_side(
    then: list[dict[str, Any]], now: list[dict[str, Any]] | None, kept: int = KEPT
) -> list[dict[str, Any]]:
    """The numbers of each suspect then and now.

    Parameters
    ----------
    then : list of dict
        Suspects as they were kept in the case.
    now : list of dict or None
        All suspects of today, best first; None: today's records were not asked.
    kept : int, default 20
        How many of today's are shown besides those of then.

    Returns
    -------
    list of dict
        Today's order, then those that today's records no longer name: ``family``,
        ``level``, ``kind``, ``then``, ``now`` (each with :data:`NUMBERS`, or None) and
        ``reason`` (why one is None; else empty).
    """
    earlier = {(one["family"], one["level"]): one for one in then}
    today = {(one["family"], one["level"]): one for one in now or []}
    names = [
        name for place, name in enumerate(today) if place < kept or name in earlier
    ]  # today's order
    names += [name for name in earlier if name not in today]
    rows = []
    for name in names:
        before, after = earlier.get(name), today.get(name)
        reason = ""
        if before is None:
            reason = NOT_THEN if then else NO_RANKING
        elif after is None:
            reason = NOT_ASKED if now is None else NOT_NOW
        rows.append(
            {
                "family": name[0],
                "level": name[1],
                "kind": (after or before or {})["kind"],
                "then": _numbers(before),
                "now": _numbers(after),
                "reason": reason,
            }
        )
    return rows


def suspects_kept(entries: Iterable[Entry]) -> list[dict[str, Any]]:
    """Suspects as they stood when the case last ranked them; empty when it never did."""
    found = of_kind(standing(entries), "ranked")
    return list(found[-1].content["suspects"]) if found else []


def _numbers(one: dict[str, Any] | None) -> dict[str, Any] | None:
    return None if one is None else {name: one.get(name) for name in NUMBERS}
