"""What a case asks of the records: its definition, and whether people may be asked about."""

from __future__ import annotations

from collections.abc import Iterable

from tracegraph.cases.chain import Entry
from tracegraph.cases.steps import people_reason, standing
from tracegraph.cases.store import CaseStore
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.permission import PeopleReason
from tracegraph.store import Store
from tracegraph.store.audit import people_reason as audited


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


def asked_of(
    files: CaseStore, records: Store, case_no: str
) -> tuple[CaseDefinition, PeopleReason | None]:
    """The question of a case, about to be asked of the records by whoever opened the files.

    Each time that people are asked about stands in the audit, with who asked.

    Raises
    ------
    NotAllowedError
        If people are switched on in the case, and whoever asks may not see them.
    """
    definition, reason = question_of(files.entries(case_no))
    return definition, audited_reason(files, records, reason)


def audited_reason(files: CaseStore, records: Store, reason: str | None) -> PeopleReason | None:
    """A reason for asking about people, once it stands in the audit; None without one."""
    return None if reason is None else audited(records.path.parent, files.by, reason)
