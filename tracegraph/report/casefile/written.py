"""What the records say today, written into a case as it stands.

Each function asks the records once and appends one entry, so that the command line and the
pages do the same thing in the same words.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from tracegraph.analysis.cluster import Cases, cluster_cases
from tracegraph.analysis.containment import contain
from tracegraph.analysis.effect import check_effect
from tracegraph.analysis.holding import hold
from tracegraph.analysis.ranking import Ranking, rank
from tracegraph.cases import CaseStore, Entry
from tracegraph.cases.changes import KEPT, changes_since, side_by_side, suspects_kept
from tracegraph.cases.question import question_of
from tracegraph.cases.steps import of_kind, standing
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import CaseFileError
from tracegraph.domain.permission import PeopleReason
from tracegraph.report.casefile.effect import effect_as_json
from tracegraph.report.genealogy_json import contain_json
from tracegraph.report.tables import ranking_as_json
from tracegraph.store import Store
from tracegraph.store.acts import read_hold_acts
from tracegraph.store.audit import people_reason as audited_reason


def open_case(
    files: CaseStore,
    records: Store,
    who: str,
    title: str,
    definition: CaseDefinition,
    *,
    people_reason: str | None = None,
) -> Entry:
    """Open a case: its definition is frozen with the version of the records.

    Parameters
    ----------
    files : CaseStore
        The case files.
    records : Store
        The records.
    who : str
        Code of the person.
    title : str
        What it is about.
    definition : CaseDefinition
        Which claims count.
    people_reason : str, optional
        Why families of people are switched on in this case.

    Returns
    -------
    Entry
        The first entry.

    Raises
    ------
    UnknownNameError
        If the definition names something that is not in the records.
    CaseFileError
        If the title is blank.
    DefinitionError
        If a given reason is blank.
    NotAllowedError
        If whoever writes may not ask about people.
    """
    if not title.strip():
        raise CaseFileError("A case needs a title that says what it is about; got a blank one.")
    people_reason = _audited(files, records, people_reason)
    content = cluster_as_json(cluster_cases(records, definition))
    content |= {"asked": definition.as_json(), "title": title, "people_reason": people_reason}
    return files.open_case(who, content)


def rank_case(files: CaseStore, records: Store, who: str, case_no: str) -> Entry:
    """Rank the suspects of a case and keep the numbers as they stand."""
    found = _ranked(files, records, case_no)
    content = ranking_as_json(found, top=KEPT)
    content["safety_class"] = found.cohort.safety_class
    return files.append(case_no, who, "ranked", content)


def contain_case(
    files: CaseStore, records: Store, who: str, case_no: str, family: str, level: str
) -> Entry:
    """List the hulls that carry a suspect, or may carry it, with the state of each."""
    definition, people = _question(files, records, case_no)
    found = contain(records, family, level, definition=definition, people_reason=people)
    whole = contain_json(hold(found, read_hold_acts(records.path.parent)).found)
    kept = ("family", "level", "kind", "as_of", "counts", "states", "data_version")
    columns = ("hull_serial", "grade", "place", "state", "affected")
    content: dict[str, Any] = {name: whole[name] for name in kept}
    content["hulls"] = [{name: row.get(name) for name in columns} for row in whole["hulls"]]
    return files.append(case_no, who, "contained", content)


def check_case_effect(
    files: CaseStore,
    records: Store,
    who: str,
    case_no: str,
    family: str,
    level: str,
    *,
    action: int | None = None,
    looks: int = 1,
) -> Entry:
    """Hold the claims after an action against those before.

    Parameters
    ----------
    files, records, who, case_no
        As in :func:`open_case`; number of the case.
    family, level : str
        The suspect acted on.
    action : int, optional
        Number of the action; the latest that took effect when left out.
    looks : int
        Looks planned in advance.

    Returns
    -------
    Entry
        With the verdict.

    Raises
    ------
    CaseFileError
        If no such action has taken effect.
    """
    entries = files.entries(case_no)
    done = [
        entry.content
        for entry in of_kind(standing(entries), "done")
        if action is None or entry.content["action"] == action
    ]
    if not done:
        raise CaseFileError(
            "No action has taken effect yet. Write it down first: tracegraph case done."
        )
    definition, people = _question(files, records, case_no)
    first = done[-1]["first_built"]
    found = check_effect(
        records,
        definition,
        family,
        level,
        date.fromisoformat(done[-1]["on"]),
        first_built=date.fromisoformat(first) if first else None,
        looks=looks,
        people_reason=people,
    )
    content = {**effect_as_json(found), "action": done[-1]["action"]}
    return files.append(case_no, who, "effect", content)


def rerun_case(files: CaseStore, records: Store, who: str, case_no: str) -> Entry:
    """Ask the question of a case of today's records: numbers then and now, side by side."""
    content = asked_again(files, records, case_no)
    return files.append(case_no, who, "reran", content)


def asked_again(files: CaseStore, records: Store, case_no: str) -> dict[str, Any]:
    """What a case says of today's records, without writing it down.

    Returns
    -------
    dict
        As from :func:`~tracegraph.cases.changes.changes_since`, with ``suspects`` as from
        :func:`~tracegraph.cases.changes.side_by_side`.
    """
    entries = files.entries(case_no)
    definition, people = _question(files, records, case_no)
    # A cut-off given at opening would hide what came in since.
    today = definition.resolved(cut_off=None)
    now = cluster_as_json(cluster_cases(records, today))
    ranking = rank(records, today, people_reason=people)
    suspects = ranking_as_json(ranking, top=None)["suspects"]
    return {
        **changes_since(standing(entries)[0].content, now),
        "suspects": side_by_side(suspects_kept(entries), suspects),
    }


def cluster_as_json(found: Cases) -> dict[str, Any]:
    """The affected hulls of a definition as plain values, as they go into a case.

    Returns
    -------
    dict
        ``definition``, ``sentence``, ``data_version``, ``affected``, ``at_risk``,
        ``hulls``, ``claims``, ``claim_numbers``, ``claims_without_cost``, ``cost`` (claims
        cost to date; None when none is written) and ``safety_class``.
    """
    frame = found.frame
    cost = frame["cost"].dropna()
    numbers = {str(one) for of_hull in frame["claim_numbers"] for one in of_hull}
    return {
        "definition": found.definition.as_json(),
        "sentence": found.definition.sentence(),
        "data_version": found.data_version,
        "affected": len(frame),
        "at_risk": found.at_risk,
        "hulls": sorted(str(one) for one in frame["hull_serial"]),
        "claims": int(frame["claims"].sum()),
        "claim_numbers": sorted(numbers),
        "claims_without_cost": int((frame["claims"] - frame["claims_with_cost"]).sum()),
        "cost": round(float(cost.sum()), 2) if len(cost) else None,
        "safety_class": found.safety_class,
    }


def _ranked(files: CaseStore, records: Store, case_no: str) -> Ranking:
    definition, people = _question(files, records, case_no)
    return rank(records, definition, people_reason=people)


def _question(
    files: CaseStore, records: Store, case_no: str
) -> tuple[CaseDefinition, PeopleReason | None]:
    definition, reason = question_of(files.entries(case_no))
    return definition, _audited(files, records, reason)


def _audited(files: CaseStore, records: Store, reason: str | None) -> PeopleReason | None:
    """Each time that people are asked about stands in the audit, with who asked."""
    return None if reason is None else audited_reason(records.path.parent, files.by, reason)
