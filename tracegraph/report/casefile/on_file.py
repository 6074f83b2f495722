"""What case files say of ranked suspects: evidence that claims alone cannot give."""

from __future__ import annotations

from collections.abc import Iterable

from tracegraph.analysis.ranking import Ranking
from tracegraph.cases import CaseStore, Entry
from tracegraph.cases.corroboration import corroboration
from tracegraph.cases.steps import people_reason
from tracegraph.report.casefile.evidence import seen_sentence

LEADING = 10
"""Ranked suspects that case files are asked about."""


def on_file(files: CaseStore | None, ranking: Ranking) -> tuple[str, ...]:
    """Say where inspections or an effect check stand for or against a leading suspect.

    Parameters
    ----------
    files : CaseStore or None
        The case files; None while there are none.
    ranking : Ranking
        What was just found.

    Returns
    -------
    tuple of str
        One sentence for each case file about one of the symptoms and each suspect of which
        recorded facts decide something; inspections that do not decide yet are left to the
        case file. A case that shows families of people is told only where they are shown.
    """
    if files is None:
        return ()
    first = ranking.frame.head(LEADING)
    leading = set(zip(first["family"], first["level"], strict=True))
    return tuple(
        f"On file, {number}: {seen_sentence(one)}"
        for number in files.numbers()
        for entries in [files.entries(number)]
        if _same_cases(entries, ranking.definition.symptoms)
        and (ranking.people_reason is not None or people_reason(entries) is None)
        for one in corroboration(entries)
        if (one.rests_on or one.refuted) and one.name in leading
    )


def _same_cases(entries: list[Entry], symptoms: Iterable[str]) -> bool:
    asked = entries[0].content["definition"]["symptoms"] if entries else ()
    return not set(asked).isdisjoint(symptoms)
