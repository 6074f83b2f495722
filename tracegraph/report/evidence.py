"""The time-matched order for a reader: what was expected, what came, and how likely chance is."""

from __future__ import annotations

import pandas as pd

from tracegraph.analysis.ranking import Ranking
from tracegraph.report.numbers import amount, chance, count, interval, ratio
from tracegraph.report.reading import name_of
from tracegraph.report.tables import CHANCE, COUNT, RATIO, TENTHS, DisplayTable
from tracegraph.report.words import CAUTIONS, MAY_BE_CHANCE, REFER_TODAY, STANDS_OUT, Answer

NOT_WEIGHED = (
    "Timing is not weighed yet: a bad spell of a few weeks can look like the lot that was used "
    "in them. Look at the order of building before naming a suspect."
)


def evidence_answer(ranking: Ranking) -> Answer:
    """Say what the time-matched order found.

    Parameters
    ----------
    ranking : Ranking
        In the order of evidence.

    Returns
    -------
    Answer
        Headline, sentences and cautions.
    """
    cautions = [NOT_WEIGHED, *CAUTIONS]
    if ranking.cohort.safety_class == 1:
        cautions.insert(0, REFER_TODAY)
    scored = ranking.frame[ranking.frame["score"].notna()]
    if scored.empty:
        return Answer(
            "No shared factor stands out.",
            ("No level is shared by two or more cases.",),
            tuple(cautions),
            "nothing",
        )
    first = {str(key): value for key, value in scored.iloc[0].items()}
    p_family = float(first["p_family"])
    said = (
        f"{count(first['matched_cases'])} cases carry {name_of(first)} where "
        f"{amount(first['expected'])} were to be expected, each case compared with the hulls at "
        f"risk at its months in service: {ratio(first['rate_ratio'])} times as often "
        f"(95 % interval {interval(first['rate_ratio_low'], first['rate_ratio_high'])})."
    )
    chance_words = (
        f"A coincidence this strong anywhere among the {count(len(ranking.frame))} levels "
        f"searched: {chance(p_family)}."
    )
    if p_family > MAY_BE_CHANCE:
        return Answer(
            "No shared factor stands out.",
            (f"The strongest: {said}", chance_words),
            tuple(cautions),
            "nothing",
        )
    stands_out = p_family <= STANDS_OUT
    return Answer(
        said if stands_out else f"May be chance: {said}",
        (chance_words,),
        tuple(cautions),
        "stands out" if stands_out else "may be chance",
    )


def evidence_table(frame: pd.DataFrame, top: int | None = 20) -> DisplayTable:
    """Suspects in the order of evidence, Fisher's test beside them.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.ranking.Ranking.frame` in the order of evidence.
    top : int or None, default 20
        How many rows; None: all.

    Returns
    -------
    DisplayTable
        One row per suspect.
    """
    shown = frame if top is None else frame.head(top)
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
            "Fisher p": shown["p_fisher"],
        }
    )
    return DisplayTable(
        table.reset_index(drop=True),
        {
            "rank": COUNT,
            "cases with it": COUNT,
            "expected": TENTHS,
            "rate ratio": RATIO,
            "score": TENTHS,
            "chance anywhere": CHANCE,
            "Fisher p": CHANCE,
        },
        caption=f"The first {count(len(table))} of {count(len(frame))} levels.",
    )
