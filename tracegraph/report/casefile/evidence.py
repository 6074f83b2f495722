"""What inspections and effect checks add to a suspect's evidence, in words and as a table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd

from tracegraph.analysis.confounding.discriminating import VERDICT, inspections_needed
from tracegraph.cases.corroboration import BACKGROUND, Seen
from tracegraph.report.numbers import NONE, of, plural, ratio
from tracegraph.report.tables import DisplayTable
from tracegraph.report.verdict_words import HELD_BACK, LEVELS


def seen_sentence(one: Seen) -> str:
    """What stands about one suspect after inspections and effect checks."""
    name = f"{one.name[1]} ({one.name[0]})"
    if one.aliases:
        name += f", not to be told from {', '.join(f'{two[1]} ({two[0]})' for two in one.aliases)}"
    level = (
        "not tested" if one.level is None else f"evidence level {one.level}: {LEVELS[one.level]}"
    )
    told = one.found_with + one.clean_with + one.found_without + one.clean_without
    if one.refuted:
        why = f"inspections speak against it, {ratio(1.0 / one.odds)} to 1"
    elif one.odds >= VERDICT:
        why = f"inspections speak for it, {ratio(one.odds)} to 1 against {_rival(one)}"
    elif told:
        why = (
            f"inspections so far do not decide: {ratio(one.odds)} to 1 against {_rival(one)}, "
            f"{VERDICT:g} to 1 are needed"
        )
    else:
        why = (
            f"no hull without a claim was inspected that tells; about {inspections_needed()} "
            "usually decide"
        )
    if one.held_back_by and one.recorded is not None and one.recorded < 2:
        kept = "; ".join(HELD_BACK[code] for code in one.held_back_by)
        why += f". By the records alone it stays below level 2, and nothing raises it: {kept}"
    return f"{name}: {level}; {why}."


def seen_table(found: Sequence[Seen]) -> DisplayTable:
    """Inspections of hulls without a claim, by suspect, and the level of evidence with them."""
    rows = [
        (
            f"{one.name[1]} ({one.name[0]})",
            of(one.found_with, one.found_with + one.clean_with),
            of(one.found_without, one.found_without + one.clean_without),
            str(one.not_told),
            f"{ratio(one.odds)} to 1",
            _rival(one),
            NONE if one.recorded is None else str(one.recorded),
            NONE if one.level is None else str(one.level),
        )
        for one in found
    ]
    heads = ["suspect", "found with it", "found without", "not recorded", "odds", "against",
             "level by records", "level now"]  # fmt: skip
    return DisplayTable(
        pd.DataFrame(rows, columns=heads),
        caption=f"{plural(len(rows), 'suspect')} that may be more than chance.",
    )


def seen_as_json(found: Sequence[Seen]) -> list[dict[str, Any]]:
    """The same as plain values."""
    return [
        {
            "family": one.name[0],
            "level": one.name[1],
            "found_with": one.found_with,
            "clean_with": one.clean_with,
            "found_without": one.found_without,
            "clean_without": one.clean_without,
            "not_recorded": one.not_told,
            "odds": one.odds,
            "against": one.rival,
            "evidence_by_records": one.recorded,
            "evidence": one.level,
            "rests_on": list(one.rests_on),
            "refuted": one.refuted,
        }
        for one in found
    ]


def _rival(one: Seen) -> str:
    return "no suspect at all" if one.rival == BACKGROUND else one.rival
