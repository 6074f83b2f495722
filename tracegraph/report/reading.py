"""One suspect in one sentence, with the reason for each number that does not exist."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import pandas as pd

from tracegraph.domain.kinds import PAIR, PEOPLE
from tracegraph.report.numbers import (
    SMALLEST_SHOWN,
    amount,
    count,
    equals,
    interval,
    of,
    plural,
    ratio,
)

FEW_AFFECTED = 3
"""Up to this many affected hulls are listed one by one; no share of them is quoted."""

PEOPLE_AFFECTED, PEOPLE_EXPOSED = 5, 20
"""Below either, counts on a person's work are not compared (common practice)."""

Row = Mapping[str, Any]


def reading(row: Row, *, units: str = "hulls") -> str:
    """One suspect in one sentence, with the reason for each number that does not exist.

    Parameters
    ----------
    row : mapping
        A row of :attr:`~tracegraph.analysis.ranking.Ranking.frame`.
    units : str, default "hulls"
        What a row of the cohort is called, in the plural.

    Returns
    -------
    str
        One or more plain sentences.
    """
    return " ".join([_plain_reading(row, units), *_matched_reading(row)])


def _plain_reading(row: Row, units: str) -> str:
    if not row["testable"]:
        return f"{counts_of(row, units)}. Not testable: {_why_not_testable(row, units)}."
    text = counts_of(row, units)
    if row["kind"] == PEOPLE and (
        row["affected_exposed"] < PEOPLE_AFFECTED or row["exposed"] < PEOPLE_EXPOSED
    ):
        return (
            f"{text}. Counts only: with fewer than {PEOPLE_AFFECTED} affected or "
            f"{PEOPLE_EXPOSED} exposed {units} the work of people is not compared."
        )
    if row["thin"]:
        return (
            f"{text}. Too thin to be tested: even if the counts were as uneven as they can "
            "be, p would not fall below 0.05."
        )
    text += f"{effect_of(row)}; {chances_of(row)}."
    if 0 < row["affected_exposed"] <= FEW_AFFECTED and row["direction"] == "harm":
        text += f" It rests on {plural(int(row['affected_exposed']), 'affected hull')} only."
    return " ".join([text, *_missing_numbers(row, units), *unknown_of(row, units)])


def _matched_reading(row: Row) -> list[str]:
    """What the order of evidence adds, or why it adds nothing."""
    if "score" not in row:
        return []
    if row["kind"] == PAIR:
        standing: str = (
            "so many rows of exposure that how often chance makes a pair as strong is not worked "
            "out"
            if pd.isna(row["evidence"])
            else f"evidence level {row['evidence']}"
        )
        return [
            f"Compared at the months in service of each case: {count(row['matched_cases'])} with "
            f"both halves, {amount(row['expected'])} expected from what each half does by itself, "
            f"{ratio(row['rate_ratio'])} times as often (95 % interval "
            f"{interval(row['rate_ratio_low'], row['rate_ratio_high'])}); {standing}. A pair never "
            "stands before the leading level: contain that until the two are told apart."
        ]
    if math.isnan(row["score"]):
        return ["Not in the order of evidence: fewer than two cases share it."]
    if math.isnan(row["expected"]):
        return [
            f"In the order of evidence it has the score {row['score']:.1f}; the rate ratio and the "
            "margin over build days are worked out for the strongest suspects only."
        ]
    return [
        f"Compared at the months in service of each case: {count(row['matched_cases'])} with it, "
        f"{amount(row['expected'])} expected, {ratio(row['rate_ratio'])} times as often (95 % "
        f"interval {interval(row['rate_ratio_low'], row['rate_ratio_high'])}); evidence level "
        f"{row['evidence']}."
    ]


def name_of(row: Row) -> str:
    """A suspect's name: family and level.

    Examples
    --------
    >>> name_of({"family": "deck: mold", "level": "D-3"})
    'deck: mold D-3'
    """
    return f"{row['family']} {row['level']}"


def counts_of(row: Row, units: str) -> str:
    """Affected among those that carry it and among the others; no full stop."""
    if not row["exposed"]:
        return f"No {one_of(units)} of the comparison carries {name_of(row)}"
    text = f"{of(row['affected_exposed'], row['exposed'])} {units} with {name_of(row)} are affected"
    if not row["unexposed"]:
        return text
    return f"{text} against {of(row['affected_unexposed'], row['unexposed'])} others"


def effect_of(row: Row) -> str:
    """How much more often, with its interval, to follow the counts."""
    limits = interval(row["risk_ratio_low"], row["risk_ratio_high"])
    if math.isinf(row["risk_ratio"]):
        return f", {limits} times as often (95 % limit; the ratio itself has no finite value)"
    if math.isnan(row["risk_ratio"]):
        return ""
    if row["risk_ratio"] < 0.995:
        return f", less often: risk ratio {ratio(row['risk_ratio'])} (95 % interval {limits})"
    return f", {ratio(row['risk_ratio'])} times as often (95 % interval {limits})"


def chances_of(row: Row) -> str:
    """Fisher's p and the q-value."""
    p = equals("Fisher's exact p", row["p_fisher"], row["log10_p_fisher"])
    return p if math.isnan(row["q_bh"]) else f"{p}, {equals('q', row['q_bh'])}"


def unknown_of(row: Row, units: str) -> list[str]:
    """For how many the record does not say; empty when for none."""
    if not row["unknown"]:
        return []
    affected = int(row["unknown_affected"])
    return [
        f"Not recorded for {plural(int(row['unknown']), one_of(units))} at risk, "
        f"{count(affected) if affected else 'none'} of which "
        f"{'are' if affected > 1 else 'is'} affected."
    ]


def one_of(units: str) -> str:
    """The noun in the singular."""
    return units.removesuffix("s")


def _missing_numbers(row: Row, units: str) -> list[str]:
    reasons = []
    if math.isinf(row["odds_ratio"]):
        why = (
            f"no other {one_of(units)} is affected"
            if not row["affected_unexposed"]
            else f"every {one_of(units)} that carries it is affected"
        )
        reasons.append(f"The odds ratio has no finite value, since {why}.")
    elif row["odds_ratio"] == 0:
        reasons.append(
            f"The ratios are 0 with an upper limit only, since no {one_of(units)} that carries it "
            "is affected."
        )
    if row["p_fisher"] < SMALLEST_SHOWN:
        reasons.append(
            "The p-value is smaller than a plain number can hold; its logarithm is given instead."
        )
    return reasons


def _why_not_testable(row: Row, units: str) -> str:
    known = int(row["exposed"] + row["unexposed"])
    affected = int(row["affected_exposed"] + row["affected_unexposed"])
    if not known:
        return f"no {one_of(units)} at risk has a record"
    if not row["exposed"]:
        return f"no {one_of(units)} at risk with a record carries it"
    nothing = "so there is nothing to compare"
    if not row["unexposed"]:
        return f"every {one_of(units)} at risk with a record carries it, {nothing}"
    if not affected:
        return f"no {one_of(units)} with a record is affected"
    return f"every {one_of(units)} with a record is affected, {nothing}"
