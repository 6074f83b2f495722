"""What a case asks of the records: its definition, and whether people may be asked about."""

from __future__ import annotations

from collections.abc import Iterable

from tracegraph.cases.chain import Entry
from tracegraph.cases.steps import people_reason, standing
from tracegraph.domain.definition import CaseDefinition


def question_of(entries: Iterable[Entry]) -> tuple[CaseDefinition, str | None]:
    """The definition as it was given when the case was opened, and why people are switched on.

    What the records settled on that day (cut-off, allowance, landmark) is settled anew on
    today's; what a person gave stays.

    Parameters
    ----------
    entries : iterable of Entry
        All entries of a case.

    Returns
    -------
    CaseDefinition, str or None
        For the functions of the analysis.
    """
    now = standing(entries)
    return CaseDefinition.from_json(now[0].content["asked"]), people_reason(now)
