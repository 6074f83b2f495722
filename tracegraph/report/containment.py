"""Containment in words and tables: how many hulls, how sure, and where they are."""

from __future__ import annotations

import pandas as pd

from tracegraph.analysis.containing.listing import BESIDE
from tracegraph.analysis.containing.window import BUILT, WINDOW
from tracegraph.analysis.containment import Containment
from tracegraph.analysis.on_record import OnRecord
from tracegraph.domain.records import PLACES
from tracegraph.report.numbers import count, of, plural
from tracegraph.report.tables import AMOUNT, COUNT, DisplayTable

_WHERE = {
    "plant": "in the plant",
    "transit": "in transit",
    "dealer": "at dealers",
    "owner": "with owners",
}


def on_record_sentences(found: OnRecord) -> tuple[str, ...]:
    """What the records alone say, while the rest is worked out.

    Parameters
    ----------
    found : OnRecord
        From :func:`~tracegraph.analysis.on_record.on_record`.
    """
    where = [
        f"{count(n)} {_WHERE.get(place, 'nobody knows where')}" for place, n in found.places.items()
    ]
    return (
        f"{plural(found.hulls, 'hull')} {'carries' if found.hulls == 1 else 'carry'} "
        f"{found.family} {found.level} on record.",
        *([f"Where they are: {', '.join(where)}."] if where else []),
        "Which others may carry it, since a record of theirs is missing, is being worked out.",
    )


def containment_sentences(found: Containment) -> tuple[str, ...]:
    """What must be held, in words.

    Parameters
    ----------
    found : Containment
        From :func:`~tracegraph.analysis.containment.contain`.

    Returns
    -------
    tuple of str
        How many carry it and may carry it; where they are, nearest first; how many are
        affected so far.
    """
    totals = found.counts["total"]
    recorded = int(totals["recorded"])
    beside = int((found.hulls["reason"] == BESIDE).sum())
    maybe = int(totals["probable"]) + int(totals["possible"]) - beside
    said = [_carry(found, recorded, maybe)]
    if beside:
        said.append(
            f"{plural(beside, 'hull')} beside it {'is' if beside == 1 else 'are'} listed too, not "
            "shown clean by claims."
        )
    listed = found.counts.loc[["recorded", "probable", "possible"], list(PLACES)].sum()
    where = [f"{count(listed[place])} {_WHERE[place]}" for place in PLACES if listed[place]]
    total = recorded + maybe + beside
    if len(where) == 1:
        said.append(f"All are {where[0].split(' ', 1)[1]}.")
    elif where:
        said.append(f"Of these {count(total)}: {', '.join(where)}.")
    if found.definition is not None:
        affected = int(found.hulls["affected"].fillna(False).sum())
        said.append(
            f"{count(affected)} of these {count(total)} are affected under the definition: "
            f"{found.definition.sentence()}"
        )
    if found.parent is not None:
        said.append(
            f"It is one drum of {found.parent[0]} {found.parent[1]}; until the drum alone is "
            "shown to matter, contain the lot."
        )
    return tuple(said)


def _carry(found: Containment, recorded: int, maybe: int) -> str:
    hulls = plural(recorded, "hull")
    if found.kind == WINDOW:
        days = found.level.replace(" to ", " and ")
        work = "building" if found.family == BUILT else found.family
        return (
            f"{hulls} had {work} between {days} on record; {count(maybe)} more may have, since a "
            "record is missing."
        )
    name = " or ".join(f"{family} {level}" for family, level in found.members)
    return (
        f"{hulls} carr{'ies' if recorded == 1 else 'y'} {name} on record; {count(maybe)} more may, "
        "since a record is missing."
    )


def counts_table(found: Containment) -> DisplayTable:
    """Grade by place as counts; the cells add up to all hulls of the records."""
    table = found.counts.rename_axis("grade").reset_index()
    table["grade"] = table["grade"].astype("str")
    table.columns = pd.Index([str(name) for name in table.columns])
    return DisplayTable(
        table,
        dict.fromkeys([*PLACES, "total"], COUNT),
        caption=f"{plural(int(found.counts['total'].sum()), 'hull')} in the records.",
    )


def held_table(
    found: Containment, *, grade: str | None = None, place: str | None = None
) -> DisplayTable:
    """Hulls that carry the level or may carry it, most urgent first.

    Parameters
    ----------
    found : Containment
        From :func:`~tracegraph.analysis.containment.contain`.
    grade, place : str, optional
        Only hulls of this grade, at this place.
    """
    hulls = found.hulls
    if grade is not None:
        hulls = hulls[hulls["grade"] == grade]
    if place is not None:
        hulls = hulls[hulls["place"] == place]
    table = pd.DataFrame(
        {
            "hull": hulls["hull_serial"],
            "hull identification no.": hulls["hin"],
            "model": hulls["model"],
            "grade": hulls["grade"],
            "chance": hulls["probability"].round(3),
            "place": hulls["place"],
            "dealer": hulls["dealer"],
            "state": hulls["state"],
            "affected": hulls["affected"]
            .map({True: "affected", False: "no"}, na_action="ignore")
            .astype("object"),
            "claim lines": hulls["claims"],
            "months in service": hulls["months_in_service"],
            "built": hulls["built_on"],
            "in service": hulls["delivered_on"],
            "further claims expected": hulls["expected_claims"],
            "priority": hulls["priority"],
            "remark": hulls["reason"],
        }
    ).reset_index(drop=True)
    total = len(found.hulls)
    return DisplayTable(
        table,
        {
            "chance": AMOUNT,
            "claim lines": COUNT,
            "months in service": COUNT,
            "further claims expected": AMOUNT,
            "priority": COUNT,
        },
        caption=f"{plural(total, 'hull')} that carry it or may."
        if len(table) == total
        else f"{of(len(table), total)} hulls that carry it or may.",
    )
