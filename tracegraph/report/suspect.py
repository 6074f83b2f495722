"""One suspect from all sides, in words and as plain values."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd

from tracegraph.analysis.confounding.discriminating import inspections_needed
from tracegraph.analysis.confounding.folding import Conditional
from tracegraph.analysis.suspect import Beside, Examined
from tracegraph.analysis.timing.halves import MEANINGS as AGES
from tracegraph.analysis.timing.reading import MEANINGS as SHAPES
from tracegraph.report.numbers import amount, chance, count, interval, plural, ratio
from tracegraph.report.plain import number, plain_fields, plain_rows
from tracegraph.report.verdict_words import missing_words, neighbour_words


def suspect_sentences(found: Examined) -> tuple[str, ...]:
    """What is known about a suspect, in words.

    Parameters
    ----------
    found : Examined
        As computed.
    """
    name = f"{found.suspect.family} {found.suspect.level}"
    crude, curves, along = found.crude, found.curves, found.onset
    said = [
        f"Hulls with {name} are affected {ratio(crude.rate_ratio)} times as often at matched "
        f"months in service; the plain table has the odds ratio "
        f"{ratio(crude.odds_ratio)}, over models and build periods "
        f"{ratio(crude.common.odds_ratio[0])} (Mantel and Haenszel, 95 % interval "
        f"{interval(crude.common.low[0], crude.common.high[0])})."
    ]
    if crude.misleading:
        said.append("Plain and matched ratio disagree: look at the models one by one.")
    if math.isfinite(crude.same.tarone_p) and crude.same.degrees_of_freedom > 0:
        said.append(
            f"That the ratio is the same in all of them: p {chance(crude.same.tarone_p)} (Breslow "
            "and Day, Tarone)."
        )
    said += [
        *_log_rank(curves.tests),
        f"By service time: {AGES[curves.reading]}.",
        f"Along the order of building: {SHAPES[along.reading]} (chance of a shape as unlikely "
        f"{chance(along.p_any)}).",
        *missing_words(found.missing),
        *neighbour_words(found.neighbours),
        *_complaints(found.complaints),
    ]
    if found.beside is not None:
        said += _told_apart(found, found.beside)
    return tuple(said)


def suspect_as_json(found: Examined) -> dict[str, Any]:
    """All that is known about a suspect, as plain values.

    Parameters
    ----------
    found : Examined
        As computed.

    Returns
    -------
    dict
        ``family``, ``level``, ``sentence``, ``reading``, ``rate_ratio``, ``odds_ratio``,
        ``mantel_haenszel``, ``breslow_day_p``, ``models``, ``periods``, ``plants``,
        ``service_time``,
        ``onset``, ``changes``, ``missing_records``, ``neighbours``, ``complaints``,
        ``beside`` (null without another suspect).
    """
    crude, curves, along = found.crude, found.curves, found.onset
    return {
        "family": found.suspect.family,
        "level": found.suspect.level,
        "sentence": found.definition.sentence(),
        "data_version": found.data_version,
        "reading": list(suspect_sentences(found)),
        "rate_ratio": number(crude.rate_ratio),
        "odds_ratio": number(crude.odds_ratio),
        "mantel_haenszel": number(float(crude.common.odds_ratio[0])),
        "breslow_day_p": number(crude.same.tarone_p),
        "models": plain_rows(found.models),
        "periods": plain_rows(found.periods),
        "plants": plain_rows(found.plants),
        "service_time": {
            "reading": curves.reading,
            "first_claims": plain_rows(curves.first),
            "all_claims": plain_rows(curves.every),
            "log_rank": plain_rows(curves.tests),
            "halves": plain_rows(curves.halves),
        },
        "onset": {
            "reading": along.reading,
            "p_any": along.p_any,
            "shapes": plain_rows(along.shapes),
            "limits": plain_rows(along.limits),
        },
        "changes": plain_rows(found.changes.frame),
        "missing_records": None if found.missing is None else plain_fields(found.missing),
        "neighbours": None
        if found.neighbours is None
        else {
            "hulls": found.neighbours.hulls,
            **plain_fields(found.neighbours.claims),
            "raised": found.neighbours.raised,
        },
        "complaints": plain_rows(found.complaints),
        "beside": None if found.beside is None else _beside(found.beside),
    }


def _log_rank(tests: pd.DataFrame) -> list[str]:
    if tests["p_value"].isna().all():
        return []
    said = [
        f"{row['compared']} {count(row['observed'])} cases with it where "
        f"{amount(row['expected'])} were to be expected (p {chance(row['p_value'])})"
        for row in tests.to_dict("records")
    ]
    return [f"Ages at the claim compared by the log-rank test: over {'; '.join(said)}."]


def _complaints(complaints: pd.DataFrame) -> list[str]:
    if complaints.empty:
        return []
    raised = complaints.loc[complaints["raised"], "symptom"]
    text = f"Of {plural(len(complaints), 'other complaint')} on its hulls "
    if raised.empty:
        return [f"{text}none is raised (lower limit of the rate ratio above 1.5)."]
    return [
        f"{text}{', '.join(raised)} {'is' if len(raised) == 1 else 'are'} raised: if it cannot "
        "bring that about, its hulls differ in something else too."
    ]


def _told_apart(found: Examined, beside: Beside) -> list[str]:
    other = f"{beside.other.family} {beside.other.level}"
    mine = f"{found.suspect.family} {found.suspect.level}"
    said = [
        _given(mine, other, beside.found.first_given_second),
        _given(other, mine, beside.found.second_given_first),
        f"With {other} as stratum the odds ratio is {ratio(beside.found.common.odds_ratio[0])} "
        f"(Mantel and Haenszel, 95 % interval "
        f"{interval(beside.found.common.low[0], beside.found.common.high[0])}).",
    ]
    if beside.found.apart.none:
        return [
            *said,
            "No hull carries one of the two only: retained samples, a laboratory or a deliberate "
            "build can tell them apart, records cannot.",
        ]
    return [
        *said,
        f"{plural(len(beside.apart), 'hull')} carr{'ies' if len(beside.apart) == 1 else 'y'} one "
        f"of the two only; {inspections_needed()} of them inspected speak 20 to 1 for one, if 3 in "
        "10 show the fault where the cause is and 3 in 100 elsewhere.",
    ]


def _given(mine: str, other: str, found: Conditional | None) -> str:
    if found is None:
        return (
            f"Later than {mine} came {other}, which may be its consequence: it is not allowed for."
        )
    effect = found.effects
    return (
        f"Given {other}, the hulls with {mine} have {count(effect.counts.observed[0])} cases where "
        f"{amount(effect.expected[0])} were to be expected, {ratio(effect.ratios.ratio[0])} times "
        f"as often (p {chance(float(found.p_value[0]))})."
    )


def _beside(beside: Beside) -> dict[str, Any]:
    return {
        "family": beside.other.family,
        "level": beside.other.level,
        "jaccard": beside.found.jaccard,
        "cells": plain_rows(beside.cells),
        "apart": plain_rows(beside.apart),
        "inspections_needed": inspections_needed(),
    }
