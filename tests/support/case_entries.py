"""Entries of a case, sealed one after another, without any records behind them."""

from __future__ import annotations

from typing import Any

from tracegraph.cases.chain import START, Entry, canonical, entry_after
from tracegraph.domain.definition import CaseDefinition

SUSPECT = {
    "rank": 1, "family": "hull: mold", "level": "M-2", "kind": "mold", "affected_exposed": 7,
    "exposed": 20, "affected_unexposed": 2, "unexposed": 160, "unknown": 3, "expected": 1.2,
    "rate_ratio": 6.0, "rate_ratio_low": 2.1, "rate_ratio_high": None, "p_family": 0.01,
    "p_fisher": 0.0004, "evidence": 2, "aliases": [], "reading": "Seven of twenty.",
}  # fmt: skip


def sealed(*written: tuple[str, dict[str, Any]], case_no: str = "C-0001") -> list[Entry]:
    """Entries of the given kinds and contents, each written a day after the one before."""
    entries: list[Entry] = []
    for place, (kind, content) in enumerate(written, 1):
        before = entries[-1].sealed if entries else START
        corrects = content.pop("corrects", None)
        at = f"2026-03-{place:02d}T08:00:00+00:00"
        entries.append(
            entry_after(before, case_no, place, at, "QL-1", kind, canonical(content), corrects)
        )
    return entries


def opened(**more: Any) -> tuple[str, dict[str, Any]]:
    """The first entry of a case of nine affected hulls."""
    definition = CaseDefinition(symptoms=("void",)).as_json() | {"cut_off": "2026-02-28"}
    content = {
        "title": "Voids", "sentence": "Claims of void.", "definition": definition,
        "asked": CaseDefinition(symptoms=("void",)).as_json(), "affected": 9, "at_risk": 180,
        "claims": 10, "cost": 900.0, "claims_without_cost": 1, "data_version": "aaa",
        "hulls": ["B-1"], "claim_numbers": ["W-1"], "safety_class": None, "people_reason": None,
    }  # fmt: skip
    return "opened", content | more


def ranked(**more: Any) -> tuple[str, dict[str, Any]]:
    """A ranking with one suspect."""
    cohort = {"affected": 9, "at_risk": 180, "left_out": {"hulls not delivered": 20}}
    ladder = [["built", 200], ["in service", 180]]
    content = {
        "cohort": cohort, "ladder": ladder, "suspects": [SUSPECT], "data_version": "aaa",
        "to_inspect": [{"hull": "B-9", "carries": "hull: mold: M-2", "place": "plant"}],
        "carrying": [],
    }  # fmt: skip
    return "ranked", content | more
