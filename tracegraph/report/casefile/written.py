"""What the records say today, written into a case as it stands.

Each function asks the records once and appends one entry, so that the command line and the
pages do the same thing in the same words.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from tracegraph.analysis.cluster import Cases, cluster_cases
from tracegraph.analysis.containment import Containment, contain
from tracegraph.analysis.costing import case_cost
from tracegraph.analysis.effect import check_effect
from tracegraph.analysis.holding import hold
from tracegraph.analysis.ranking import rank
from tracegraph.cases import CaseStore, Entry
from tracegraph.cases.changes import KEPT, changes_since, side_by_side, suspects_kept
from tracegraph.cases.corroboration import carried_rows, noticed_of, rivals_of
from tracegraph.cases.question import asked_of, audited_reason, question_of
from tracegraph.cases.steps import of_kind, require, standing
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import CaseFileError
from tracegraph.domain.permission import PeopleReason
from tracegraph.report.casefile.costs import cost_as_json
from tracegraph.report.casefile.effect import effect_as_json
from tracegraph.report.genealogy_json import contain_json
from tracegraph.report.tables import ranking_as_json
from tracegraph.store import Store
from tracegraph.store.acts import read_hold_acts

INSPECTED = 7
"""Hulls of each suspect that are named for an inspection; about so many usually decide."""


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
    people_reason = audited_reason(files, records, people_reason)
    content = cluster_as_json(cluster_cases(records, definition))
    content |= {"asked": definition.as_json(), "title": title, "people_reason": people_reason}
    return files.open_case(who, content)


def rank_case(files: CaseStore, records: Store, who: str, case_no: str) -> Entry:
    """Rank the suspects of a case and keep the numbers as they stand."""
    definition, people = asked_of(files, records, case_no)
    found = rank(records, definition, people_reason=people)
    content = ranking_as_json(found, top=KEPT)
    content["safety_class"] = found.cohort.safety_class
    # Keys of what is written are sorted; the ladder has an order of its own.
    content["ladder"] = [list(rung) for rung in found.cohort.ladder.items()]
    content["carrying"] = _carried(files, records, case_no, content["suspects"], people)
    content["to_inspect"] = _to_inspect(records, definition, content["suspects"], people)
    return files.append(case_no, who, "ranked", content)


def contain_case(
    files: CaseStore, records: Store, who: str, case_no: str, family: str, level: str
) -> Entry:
    """List the hulls that carry a suspect, or may carry it, with the state of each."""
    whole = contain_json(_held(files, records, case_no, family, level))
    kept = ("family", "level", "kind", "as_of", "counts", "states", "data_version")
    columns = ("hull_serial", "grade", "place", "state", "affected")
    content: dict[str, Any] = {name: whole[name] for name in kept}
    content["hulls"] = [{name: row.get(name) for name in columns} for row in whole["hulls"]]
    return files.append(case_no, who, "contained", content)


def cost_case(
    files: CaseStore,
    records: Store,
    who: str,
    case_no: str,
    rates: Mapping[str, float],
    *,
    until_month: int | None = None,
) -> Entry:
    """Write down what a case has cost, may still cost, and what containing it costs.

    Parameters
    ----------
    files, records, who, case_no
        As in :func:`open_case`; number of the case.
    rates : mapping of str to float
        Cost of dealing with one hull, by place; those written down last where empty.
    until_month : int, optional
        Month in service up to which further claims are foreseen; where the data end when
        left out.

    Returns
    -------
    Entry
        As from :func:`~tracegraph.report.casefile.costs.cost_as_json`, with the suspect.

    Raises
    ------
    CaseFileError
        If no list of hulls is in the case yet.
    DefinitionError
        If a rate belongs to no place or is negative, or the claims are too few to be
        foreseen so far.
    """
    entries = files.entries(case_no)
    now = standing(entries)
    listed = require(now, "contained", "List the hulls first: tracegraph case contain.").content
    earlier = of_kind(now, "costed")[-1:]
    given = dict(rates) or (dict(earlier[0].content["rates"]) if earlier else {})
    family, level = listed["family"], listed["level"]
    held = _held(files, records, case_no, family, level, until_month=until_month)
    cases = cluster_cases(records, question_of(entries)[0])
    content = cost_as_json(case_cost(cases, held, given)) | {
        "family": family,
        "level": level,
        "rates": given,
        "as_of": None if held.as_of is None else held.as_of.isoformat(),
        "data_version": records.version,
        "safety_class": cases.safety_class,
    }
    return files.append(case_no, who, "costed", content)


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
    definition, people = asked_of(files, records, case_no)
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
    definition, people = asked_of(files, records, case_no)
    # A cut-off given at opening would hide what came in since.
    today = definition.resolved(cut_off=None)
    now = cluster_as_json(cluster_cases(records, today))
    ranking = rank(records, today, people_reason=people)
    suspects = ranking_as_json(ranking, top=None)["suspects"]
    return {
        **changes_since(standing(entries)[0].content, now),
        "suspects": side_by_side(suspects_kept(entries), suspects),
        "carrying": _carried(files, records, case_no, suspects[:KEPT], people),
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


def _held(
    files: CaseStore, records: Store, case_no: str, family: str, level: str, **more: Any
) -> Containment:
    definition, people = asked_of(files, records, case_no)
    found = contain(records, family, level, definition=definition, people_reason=people, **more)
    return hold(found, read_hold_acts(records.path.parent)).found


def _to_inspect(
    records: Store,
    definition: CaseDefinition,
    suspects: list[dict[str, Any]],
    people: PeopleReason | None,
) -> list[dict[str, Any]]:
    """Hulls without a claim that tell most: of the first suspect, and of its first rival."""
    noticed = noticed_of(suspects)
    if not noticed:
        return []
    first = noticed[0]
    also = rivals_of(first, noticed)[:1]
    found = contain(
        records, first["family"], first["level"], also=also, definition=definition,
        people_reason=people,
    )  # fmt: skip
    if also:
        telling = found.telling
    else:
        name = f"{first['family']}: {first['level']}"
        telling = found.hulls[found.hulls["grade"] == "recorded"].assign(carries=name)
    telling = telling[~telling["affected"].fillna(value=False).astype(bool)]
    rows = telling.groupby("carries", sort=False).head(INSPECTED)
    return [
        {"hull": str(hull), "carries": str(carries), "place": place if place == place else None}
        for hull, carries, place in zip(
            rows["hull_serial"], rows["carries"], rows["place"], strict=True
        )
    ]


def _carried(
    files: CaseStore,
    records: Store,
    case_no: str,
    suspects: list[dict[str, Any]],
    people: PeopleReason | None,
) -> list[dict[str, Any]]:
    """What hulls inspected before carry of the suspects just ranked."""
    looked_at = of_kind(standing(files.entries(case_no)), "inspected")
    hulls = list(dict.fromkeys(one.content["hull"] for one in looked_at))
    return carried_rows(records, hulls, suspects, people)
