"""Sentences about a ranking, built from its result frame and from nothing else.

Every sentence is plain text: record texts stand in it as they were written, so whoever
shows it must show it literally.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from tracegraph.analysis.flat import TableRanking
from tracegraph.analysis.ranking import Ranking
from tracegraph.domain.kinds import PEOPLE
from tracegraph.report.numbers import chance, count, of, plural
from tracegraph.report.reading import (
    FEW_AFFECTED,
    Row,
    chances_of,
    counts_of,
    effect_of,
    name_of,
    one_of,
    unknown_of,
)

STANDS_OUT = 0.05
"""Largest q at which a level is said to stand out."""

MAY_BE_CHANCE = 0.2
"""Largest q at which a level is shown as the strongest, though it may be chance."""

CAUTIONS = (
    "Association is not fault: a level can stand out because of what happened in the same weeks.",
    "A finding that may hurt someone goes to a responsible person the same day, whatever its "
    "p-value.",
    "This is an aid to engineering judgement, not legal advice; local codes and licensed "
    "practice decide.",
)
"""What is said beside every ranking."""

REFER_TODAY = "Safety class 1: refer to a person today, whatever the numbers below say."

PEOPLE_CAUTION = (
    "Families of people are shown. A person's work differs by model, mold, shift and training: "
    "compare within those before anything is said about the work, and never about the person."
)


@dataclass(frozen=True)
class Answer:
    """What a ranking says, in words.

    Attributes
    ----------
    headline : str
        One sentence.
    sentences : tuple of str
        The counts, what is as strong, what is not known.
    cautions : tuple of str
        What the reader must keep in mind.
    strength : {"stands out", "may be chance", "nothing"}
        How sure the headline is.
    """

    headline: str
    sentences: tuple[str, ...]
    cautions: tuple[str, ...]
    strength: str


def answer(
    ranking: Ranking | TableRanking, *, safety_class: int | None = None, units: str = "hulls"
) -> Answer:
    """Say what a ranking found.

    Parameters
    ----------
    ranking : Ranking or TableRanking
        As computed.
    safety_class : int, optional
        Gravest class among the cluster's claims; 1 may hurt someone.
    units : str, default "hulls"
        What a row of the cohort is called, in the plural.

    Returns
    -------
    Answer
        Headline, sentences and cautions.
    """
    frame = ranking.frame
    if isinstance(ranking, Ranking):
        affected, at_risk = ranking.cohort.affected, ranking.cohort.at_risk
        people = ranking.people_reason
    else:
        affected, at_risk, people = ranking.affected, ranking.at_risk, None
    cautions = list(CAUTIONS)
    if people is not None:
        cautions.append(f"{PEOPLE_CAUTION} Reason given: {people.strip()}")
    if safety_class == 1:
        cautions.insert(0, REFER_TODAY)
    tested = _tested_words(ranking.levels, ranking.families)
    first = _first_harm(frame)
    if first is None or not first["q_bh"] <= MAY_BE_CHANCE:
        return Answer(
            _nothing(affected, at_risk, units),
            (
                *_nothing_more(frame, first, affected, at_risk, tested, units),
                *_people_remark(frame),
            ),
            tuple(cautions),
            "nothing",
        )
    stands_out = bool(first["q_bh"] <= STANDS_OUT)
    headline = _headline(first, units)
    if not stands_out:
        headline = f"May be chance: {headline}"
    sentences = [f"{counts_of(first, units)}{effect_of(first)}; {chances_of(first)} over {tested}."]
    sentences += _same_counts(frame, first)
    sentences += _also(frame, first, units)
    sentences += _people_remark(frame)
    sentences += unknown_of(first, units)
    if first["affected_exposed"] <= FEW_AFFECTED:
        sentences.append(
            f"Only {plural(int(first['affected_exposed']), 'affected hull')} carr"
            f"{'ies' if first['affected_exposed'] == 1 else 'y'} it: look at each of them before "
            "concluding anything."
        )
    return Answer(
        headline,
        tuple(sentences),
        tuple(cautions),
        "stands out" if stands_out else "may be chance",
    )


def full_sentence(text: str) -> str:
    """A remark with a capital at its start and a stop at its end.

    Examples
    --------
    >>> full_sentence("landmark at 12 months")
    'Landmark at 12 months.'
    """
    return f"{text[:1].upper()}{text[1:]}" + ("" if text.endswith((".", "!", "?")) else ".")


def ladder(steps: Mapping[str, int]) -> str:
    """The shrinking cohort as one line.

    Examples
    --------
    >>> ladder({"built": 1200, "in service": 1018})
    '1,200 built, 1,018 in service'
    """
    return ", ".join(f"{count(number)} {step}" for step, number in steps.items())


def left_out(reasons: Mapping[str, int]) -> str:
    """What the plain table does not hold, as one sentence.

    Examples
    --------
    >>> left_out({"hulls not delivered": 12}), left_out({})
    ('Left out: hulls not delivered 12.', 'Nothing is left out.')
    """
    if not reasons:
        return "Nothing is left out."
    return f"Left out: {', '.join(f'{why} {count(n)}' for why, n in reasons.items())}."


def _first_harm(frame: pd.DataFrame) -> Row | None:
    """The strongest level that goes with harm and is not a person's work."""
    harm = _tested_harm(frame)
    others = harm[harm["kind"] != PEOPLE]
    return None if others.empty else {str(k): v for k, v in others.iloc[0].items()}


def _tested_harm(frame: pd.DataFrame) -> pd.DataFrame:
    return frame[frame["testable"] & ~frame["thin"] & (frame["direction"] == "harm")]


def _people_remark(frame: pd.DataFrame) -> list[str]:
    harm = _tested_harm(frame)
    strong = harm[(harm["kind"] == PEOPLE) & (harm["q_bh"] <= STANDS_OUT)]
    if strong.empty:
        return []
    return [
        f"{plural(len(strong), 'level')} of people's work "
        f"{'has' if len(strong) == 1 else 'have'} q of {STANDS_OUT} or less: look for the model, "
        "mold or shift behind it first."
    ]


def _headline(row: Row, units: str) -> str:
    known = int(row["affected_exposed"] + row["affected_unexposed"])
    with_record = " with a record" if row["unknown_affected"] else ""
    return (
        f"{of(row['affected_exposed'], known)} affected {units}{with_record} carry {name_of(row)}."
    )


def _tested_words(levels: int, families: int) -> str:
    return f"{plural(levels, 'level')} tested in {plural(families, 'family', 'families')}"


def _nothing(affected: int, at_risk: int, units: str) -> str:
    if not at_risk:
        return f"No {one_of(units)} was at risk under this definition, so nothing can be compared."
    if not affected:
        return f"None of {count(at_risk)} {units} at risk is affected under this definition."
    if affected == at_risk:
        return f"All {count(at_risk)} {units} at risk are affected, so there is nothing to compare."
    return "No shared factor stands out."


def _nothing_more(
    frame: pd.DataFrame, first: Row | None, affected: int, at_risk: int, tested: str, units: str
) -> list[str]:
    if not at_risk or not affected or affected == at_risk:
        return []
    sentences = [f"{of(affected, at_risk)} {units} at risk are affected; {tested}."]
    if first is not None:
        sentences += [
            f"The smallest q is {chance(first['q_bh'])}: {counts_of(first, units)}"
            f"{effect_of(first)}.",
            "That is what chance alone often gives when so many levels are looked at.",
        ]
    elif frame.empty:
        sentences.append("No level could be counted: the records hold no exposure of these hulls.")
    else:
        sentences.append(
            "No level goes with more claims and is recorded often enough to be tested."
        )
    return sentences


def _same_counts(frame: pd.DataFrame, first: Row) -> list[str]:
    cells = ["affected_exposed", "exposed", "affected_unexposed", "unexposed"]
    same = frame
    for cell in cells:
        same = same[same[cell] == first[cell]]
    names = [
        f"{family} {level}" for family, level in zip(same["family"], same["level"], strict=True)
    ][1:]
    if not names:
        return []
    shown = "; ".join(names[:4]) + (f"; and {len(names) - 4} more" if len(names) > 4 else "")
    return [f"The counts cannot tell it from {shown}."]


def _also(frame: pd.DataFrame, first: Row, units: str) -> list[str]:
    others = frame[
        (frame["q_bh"] <= STANDS_OUT)
        & (frame["direction"] == "harm")
        & (frame["rank"] != first["rank"])
        & (frame["kind"] != PEOPLE)
    ]
    if others.empty:
        return []
    number = len(others)
    return [
        f"{count(number)} further level{'s have' if number > 1 else ' has'} q of "
        f"{STANDS_OUT} or less; levels that share {units} with the first rise with it."
    ]
