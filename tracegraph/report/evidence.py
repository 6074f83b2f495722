"""The time-matched order for a reader: the verdict in words, and the suspects as a table."""

from __future__ import annotations

import math

import pandas as pd

from tracegraph.analysis.ranking import Ranking
from tracegraph.analysis.verdict import Finding, Name
from tracegraph.domain.kinds import PAIR, PEOPLE
from tracegraph.report.numbers import count, interval, plural
from tracegraph.report.reading import FEW_AFFECTED, Row, chances_of, counts_of, effect_of
from tracegraph.report.tables import CHANCE, COUNT, RATIO, TENTHS, DisplayTable
from tracegraph.report.verdict_words import (
    calibration_words,
    carried,
    chance_words,
    further_causes,
    gap_words,
    how_often,
    missing_words,
    neighbour_words,
    nested,
    refuting_words,
    silence,
    standing,
    told_apart,
)
from tracegraph.report.words import CAUTIONS, PEOPLE_CAUTION, REFER_TODAY, Answer

APART = 1.5
"""Factor between the plain and the time-matched ratio from which the reader is told."""


def evidence_answer(ranking: Ranking, *, safety_class: int | None = None) -> Answer:
    """Say what the time-matched order found.

    Parameters
    ----------
    ranking : Ranking
        In the order of evidence.
    safety_class : int, optional
        Gravest class among the cluster's claims; 1 may hurt someone.

    Returns
    -------
    Answer
        Headline, sentences and cautions.

    Raises
    ------
    ValueError
        If the ranking is in another order.
    """
    verdict = ranking.verdict
    if verdict is None:
        raise ValueError("the ranking is not in the order of evidence")
    cautions = list(CAUTIONS)
    if ranking.people_reason is not None:
        cautions.append(f"{PEOPLE_CAUTION} Reason given: {ranking.people_reason.strip()}")
    if safety_class == 1:
        cautions.insert(0, REFER_TODAY)
    if not verdict.findings:
        return Answer(
            "No shared factor stands out.",
            ("No level is shared by two or more affected hulls.",),
            tuple(cautions),
            "nothing",
        )
    first = verdict.findings[0]
    odds = chance_words(first.p_family, _levels(ranking.frame), verdict.resamples)
    if first.evidence == 0:
        return Answer(
            "No shared factor stands out.",
            (
                f"The strongest, {carried(first)}. {odds}",
                *standing(first)[1:],
                *silence(verdict),
                *gap_words(verdict),
                *calibration_words(verdict),
            ),
            tuple(cautions),
            "nothing",
        )
    return Answer(
        _headline(first),
        (
            *standing(first)[:1],
            odds,
            how_often(first),
            *_plain(ranking, first),
            *told_apart(first),
            *standing(first)[1:],
            *nested(first),
            *neighbour_words(first.neighbours),
            *missing_words(first.missing),
            *refuting_words(first),
            *_few(first),
            *further_causes(verdict),
            *gap_words(verdict),
            *calibration_words(verdict),
        ),
        tuple(cautions),
        "stands out" if first.evidence >= 2 else "may be chance",
    )


def definitions_words(tried: int | None, p_family: float) -> str:
    """How many definitions were tried on a cluster, and what that does to the chance.

    Parameters
    ----------
    tried : int or None
        Definitions tried, this one included; None where they cannot be counted.
    p_family : float
        Chance of the strongest suspect; nan without one.

    Examples
    --------
    >>> definitions_words(3, 0.01)
    'Definitions tried on these symptoms: 3; the chance above times 3 is 0.03.'
    """
    if tried is None:
        return "Definitions tried on these symptoms are not counted: the store cannot be written."
    if tried == 1 or math.isnan(p_family):
        return f"Definitions tried on these symptoms: {tried}."
    paid = min(1.0, tried * p_family)
    return f"Definitions tried on these symptoms: {tried}; the chance above times {tried} is " + (
        f"{paid:.2g}."
    )


def folded(frame: pd.DataFrame) -> pd.DataFrame:
    """One row for each alias group, its best; levels without a group stay.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.ranking.Ranking.frame` in the order of evidence.

    Returns
    -------
    DataFrame
        In the same order, with the ranks it had.
    """
    grouped = frame["alias_group"].notna() & (frame["alias_group"] >= 0)
    again = frame.duplicated(["round", "alias_group"]) & grouped
    return frame[~again]


def evidence_beside(frame: pd.DataFrame, top: int = 15) -> DisplayTable:
    """Suspects by evidence in few columns, to stand beside their figure.

    Parameters
    ----------
    frame : DataFrame
        From :func:`folded`.
    top : int, default 15
        How many rows.

    Returns
    -------
    DisplayTable
        Rank, name and how many others the same hulls carry, counts, chance, evidence
        level, Fisher's test.
    """
    shown = frame.head(top)
    names = [
        f"{family} {level}" + (f" (+{len(aliases)} alike)" if aliases else "")
        for family, level, aliases in zip(
            shown["family"], shown["level"], shown["aliases"], strict=True
        )
    ]
    table = pd.DataFrame(
        {
            "rank": shown["rank"],
            "shared factor": pd.Series(names, index=shown.index, dtype="str"),
            "cases": shown["matched_cases"],
            "expected": shown["expected"],
            "chance": shown["p_family"],
            "evidence": shown["evidence"],
            "Fisher p": shown["p_fisher"],
        }
    )
    styles = {
        "rank": COUNT,
        "cases": COUNT,
        "expected": TENTHS,
        "chance": CHANCE,
        "evidence": COUNT,
        "Fisher p": CHANCE,
    }
    caption = f"The first {count(len(table))} of {plural(len(frame), 'row')}."
    return DisplayTable(table.reset_index(drop=True), styles, caption=caption)


def evidence_table(frame: pd.DataFrame, top: int | None = 20) -> DisplayTable:
    """Suspects in the order of evidence, one row for each alias group.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.ranking.Ranking.frame` in the order of evidence.
    top : int or None, default 20
        How many rows; None: all.

    Returns
    -------
    DisplayTable
        With Fisher's test beside.
    """
    rows = folded(frame)
    shown = rows if top is None else rows.head(top)
    limits = zip(shown["rate_ratio_low"], shown["rate_ratio_high"], strict=True)
    table = pd.DataFrame(
        {
            "rank": shown["rank"],
            "factor": shown["family"],
            "level": shown["level"],
            "kind": shown["kind"],
            "cases with it": shown["matched_cases"],
            "expected": shown["expected"],
            "rate ratio": shown["rate_ratio"],
            "95 % interval": pd.Series(
                [interval(low, high) for low, high in limits], index=shown.index, dtype="str"
            ),
            "score": shown["score"],
            "chance anywhere": shown["p_family"],
            "over build days": shown["window_margin"],
            "evidence": shown["evidence"],
            "round": shown["round"],
            "Fisher p": shown["p_fisher"],
            "cannot be told from": pd.Series(
                [_others(aliases) for aliases in shown["aliases"]], index=shown.index, dtype="str"
            ),
        }
    )
    merged, pairs = len(frame) - len(rows), len(frame) - _levels(frame)
    return DisplayTable(
        table.reset_index(drop=True),
        {
            "rank": COUNT,
            "cases with it": COUNT,
            "expected": TENTHS,
            "rate ratio": RATIO,
            "score": TENTHS,
            "chance anywhere": CHANCE,
            "over build days": TENTHS,
            "evidence": COUNT,
            "round": COUNT,
            "Fisher p": CHANCE,
        },
        caption=f"The first {count(len(table))} of {plural(_levels(frame), 'level')}"
        + (f", {count(merged)} of them folded into another's row" if merged else "")
        + (f", and {plural(pairs, 'pair')}." if pairs else "."),
    )


def _levels(frame: pd.DataFrame) -> int:
    return int((frame["kind"] != PAIR).sum())


def _headline(first: Finding) -> str:
    if first.kind == PEOPLE:
        return "People's work goes with the claims: look for the work behind it, not the person."
    text = f"{carried(first)}."
    return text if first.evidence >= 2 else f"May be chance or timing: {text}"


def _plain(ranking: Ranking, first: Finding) -> list[str]:
    """The leader in the plain table, and a warning where that says something else."""
    row = _row(ranking.frame, first.name)
    if row is None or not row["testable"]:
        return []
    months = ranking.definition.landmark_months
    said = [
        f"In the plain table, at {months} months in service: {counts_of(row, 'hulls')}"
        f"{effect_of(row)}; {chances_of(row)}."
    ]
    crude, matched = float(row["odds_ratio"]), first.rate_ratio
    apart = max(crude, matched) > APART * max(min(crude, matched), 1e-12)
    inside = row["odds_ratio_low"] <= matched <= row["odds_ratio_high"]
    if (crude < 1.0) != (matched < 1.0) or (apart and not inside):
        said.append(
            "The two disagree: hulls of different models, build periods or ages are mixed in the "
            "plain table. Trust neither before the models have been looked at one by one."
        )
    return said


def _few(first: Finding) -> list[str]:
    if first.cases > FEW_AFFECTED:
        return []
    return [f"Only {plural(first.cases, 'affected hull')} carry it: look at each of them first."]


def _row(frame: pd.DataFrame, name: Name) -> Row | None:
    found = frame[(frame["family"] == name.family) & (frame["level"] == name.level)]
    return None if found.empty else {str(k): v for k, v in found.iloc[0].items()}


def _others(aliases: tuple[tuple[str, str, float], ...], most: int = 2) -> str:
    names = [f"{family} {level}" for family, level, _ in aliases]
    more = f"; and {len(names) - most} more" if len(names) > most else ""
    return "; ".join(names[:most]) + more
