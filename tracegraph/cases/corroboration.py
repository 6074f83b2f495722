"""Whether inspections carry a suspect beyond what claims alone can show, or refute it.

An inspection is an independent line only on a hull that had not claimed: on others it tells
again what the claim told. Each is weighed by the odds of what was seen, were the suspect the
cause, against what would be seen were it not.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp, log
from typing import Any

from tracegraph.analysis.carrying import carrying
from tracegraph.analysis.confounding.discriminating import CAUSE_SHARE, OTHER_SHARE, VERDICT
from tracegraph.analysis.matched.evidence import raised
from tracegraph.cases.chain import Entry
from tracegraph.cases.steps import of_kind, standing
from tracegraph.stats.effect_check import EFFECTIVE
from tracegraph.store import Store

Name = tuple[str, str]
BACKGROUND = "none of them"
INSPECTION, REMOVAL = "inspection", "removal effective"


@dataclass(frozen=True)
class Seen:
    """What inspections of hulls that had not claimed say about one suspect.

    Attributes
    ----------
    name : tuple of str
        Family and level.
    found_with, clean_with : int
        Hulls that carry it, with and without the fault.
    found_without, clean_without : int
        Hulls known not to carry it.
    not_told : int
        Hulls of which that is not recorded.
    odds : float
        Of the suspect being the cause against the rival that is hardest to tell from it;
        1 where nothing tells.
    rival : str
        That rival; :data:`BACKGROUND` where it is that no suspect is the cause.
    recorded : int or None
        Evidence level from the records alone; None when it was not tested.
    level : int or None
        With what inspections and effect checks add.
    rests_on : tuple of str
        Recorded facts that count: inspection, removal effective.
    aliases : tuple of (str, str)
        Suspects that cannot be told from it; all of this is said of them too.
    held_back_by : tuple of str
        What keeps the records alone from level 2.
    """

    name: Name
    found_with: int
    clean_with: int
    found_without: int
    clean_without: int
    not_told: int
    odds: float
    rival: str
    recorded: int | None
    level: int | None
    rests_on: tuple[str, ...]
    aliases: tuple[Name, ...]
    held_back_by: tuple[str, ...]

    @property
    def refuted(self) -> bool:
        """Whether inspections speak against it as clearly as they would have to speak for it."""
        return self.odds <= 1.0 / VERDICT


def corroboration(entries: Iterable[Entry]) -> list[Seen]:
    """What inspections and effect checks add to the suspects ranked last.

    Parameters
    ----------
    entries : iterable of Entry
        All entries of a case.

    Returns
    -------
    list of Seen
        One per suspect that may be more than chance (evidence level 1 or more, no pairs; of
        levels that cannot be told apart the first), in the order of the ranking; empty
        before one.
    """
    now = standing(entries)
    ranked = latest_ranking(now)
    if ranked is None:
        return []
    noticed = noticed_of(ranked)
    told = _inspections(now)
    works = {
        (one.content["family"], one.content["level"]): one.content["verdict"]
        for one in of_kind(now, "effect")
    }
    return [_seen(one, noticed, told, works) for one in noticed]


def noticed_of(suspects: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Suspects that may be more than chance, without pairs and without aliases of earlier ones."""
    kept: list[dict[str, Any]] = []
    alike: set[Name] = set()
    for one in suspects:
        if (one.get("evidence") or 0) > 0 and one["kind"] != "pair" and _name(one) not in alike:
            kept.append(one)
            alike |= _aliases(one)
    return kept


def rivals_of(suspect: dict[str, Any], noticed: list[dict[str, Any]]) -> list[Name]:
    """Suspects that may be the same cause: no weaker by the records, found in the same round.

    The records have told a weaker one apart already, and another round is about another
    cause.
    """
    return [
        _name(one)
        for one in noticed
        if _name(one) != _name(suspect)
        and _name(one) not in _aliases(suspect)
        and one["evidence"] >= suspect["evidence"]
        and one.get("round") == suspect.get("round")
    ]


def carried_rows(
    records: Store,
    hulls: list[str],
    suspects: list[dict[str, Any]],
    people_reason: str | None,
) -> list[dict[str, Any]]:
    """What hulls carry of some suspects, as it goes into a case.

    Returns
    -------
    list of dict
        ``hull``, ``family``, ``level``, ``carries`` (None: not recorded, or does not
        apply); pairs are left out.
    """
    names = [_name(one) for one in suspects if one["kind"] != "pair"]
    if not hulls or not names:
        return []
    found = carrying(records, hulls, names, people_reason=people_reason)
    return [
        {"hull": hull, "family": family, "level": level, "carries": carries}
        for hull, told in found.items()
        for (family, level), carries in told.items()
    ]


def latest_ranking(now: list[Entry]) -> list[dict[str, Any]] | None:
    """Suspects as they stand today, by the latest ranking or re-run; None before one."""
    found = [one for one in now if one.kind in ("ranked", "reran")]
    if not found:
        return None
    body = found[-1].content
    if found[-1].kind == "ranked":
        return list(body["suspects"])
    rows = [one for one in body["suspects"] if one["now"] is not None]
    return [
        {"family": one["family"], "level": one["level"], "kind": one["kind"], **one["now"]}
        for one in rows
    ]


def _inspections(now: list[Entry]) -> list[dict[str, Any]]:
    later: dict[str, dict[Name, bool | None]] = {}
    for entry in now:
        for one in entry.content.get("carrying", []):
            name = (one["family"], one["level"])
            later.setdefault(one["hull"], {})[name] = one["carries"]
    return [
        {**one.content, "seq": one.seq, "carried": later.get(one.content["hull"], {})}
        for one in of_kind(now, "inspected")
    ]


def _seen(
    suspect: dict[str, Any],
    noticed: list[dict[str, Any]],
    told: list[dict[str, Any]],
    works: dict[Name, str],
) -> Seen:
    name = _name(suspect)
    fresh = [one for one in told if not one["claimed"]]
    counts = {
        (found, carries): sum(
            one["found"] is found and one["carried"].get(name) is carries for one in fresh
        )
        for found in (True, False)
        for carries in (True, False, None)
    }
    rivals = rivals_of(suspect, noticed)
    odds = {BACKGROUND: _against_background(fresh, name)}
    odds |= {f"{two[1]} ({two[0]})": _against(fresh, name, two) for two in rivals}
    weakest = min(odds, key=lambda rival: odds[rival])
    facts = []
    if odds[weakest] >= VERDICT:
        facts.append(INSPECTION)
    if works.get(name) == EFFECTIVE:
        facts.append(REMOVAL)
    recorded = suspect.get("evidence")
    return Seen(
        name=name,
        found_with=counts[True, True],
        clean_with=counts[False, True],
        found_without=counts[True, False],
        clean_without=counts[False, False],
        not_told=counts[True, None] + counts[False, None],
        odds=odds[weakest],
        rival=weakest,
        recorded=recorded,
        level=None if recorded is None else raised(recorded, frozenset(facts)),
        rests_on=tuple(facts),
        aliases=tuple(sorted(_aliases(suspect))),
        held_back_by=tuple(suspect.get("held_back_by") or ()),
    )


def _against_background(fresh: list[dict[str, Any]], name: Name) -> float:
    """Odds of the suspect against no suspect at all: only hulls that carry it tell."""
    return exp(sum(_weight(one["found"]) for one in fresh if one["carried"].get(name) is True))


def _against(fresh: list[dict[str, Any]], name: Name, rival: Name) -> float:
    """Odds of the suspect against another: only hulls that carry exactly one of them tell."""
    total = 0.0
    for one in fresh:
        carried = one["carried"].get(name), one["carried"].get(rival)
        if carried == (True, False):
            total += _weight(one["found"])
        elif carried == (False, True):
            total -= _weight(one["found"])
    return exp(total)


def _weight(found: bool) -> float:
    """Log odds that a hull that carries the cause looks so, against one that does not."""
    if found:
        return log(CAUSE_SHARE / OTHER_SHARE)
    return log((1.0 - CAUSE_SHARE) / (1.0 - OTHER_SHARE))


def _name(suspect: dict[str, Any]) -> Name:
    return suspect["family"], suspect["level"]


def _aliases(suspect: dict[str, Any]) -> set[Name]:
    return {(one["family"], one["level"]) for one in suspect.get("aliases") or []}
