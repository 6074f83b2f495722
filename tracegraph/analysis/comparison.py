"""What two or more hulls share, where they part, and how unusual what they share is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from tracegraph.analysis.identifiers import find
from tracegraph.analysis.naming import require_reason
from tracegraph.domain.errors import AmbiguousNameError, DefinitionError, UnknownHullError
from tracegraph.domain.kinds import PEOPLE
from tracegraph.store import Connection, Store
from tracegraph.store.queries import sql_text

SHARED, DIFFERENT, UNKNOWN = "shared", "different", "not known"


@dataclass(frozen=True, eq=False)
class Comparison:
    """What hulls share and where they part.

    Attributes
    ----------
    hulls : tuple of str
        Their serials, in the order asked for.
    shared : DataFrame
        One row per level that all of them carry, rarest in the plant first: ``family``,
        ``level``, ``kind``, ``part``, ``step``, ``carry`` (hulls of the plant that carry
        it), ``applies`` (hulls that are asked the question), ``known`` (hulls whose
        records answer it in full), ``fraction`` (``carry`` / ``applies``).
    families : DataFrame
        One row per question that applies to any of them, in the order of display:
        ``family``, ``kind``, ``part``, ``step``, ``verdict`` (``shared``: all carry a
        common level; ``different``: they do not, and all records are there; ``not
        known``: they carry no common level as far as is written down, but a record is
        missing), ``differ`` (bool: some level is carried by some and not by all of
        them), and one column of text for each hull: its levels, ``not written down``
        where a record is missing, empty where the question does not apply.
    people_reason : str or None
        Why families of people are shown; None: they are left out.
    data_version : str
        Version of the records.
    """

    hulls: tuple[str, ...]
    shared: pd.DataFrame
    families: pd.DataFrame
    people_reason: str | None
    data_version: str


def compare(store: Store, hulls: Sequence[str], *, people_reason: str | None = None) -> Comparison:
    """Compare hulls question by question.

    Parameters
    ----------
    store : Store
        The records.
    hulls : sequence of str
        Two or more hulls, named as for :func:`~tracegraph.analysis.tracing.trace`; a claim
        stands for its hull.
    people_reason : str, optional
        Why families of people should be shown; without a reason they are left out.

    Returns
    -------
    Comparison
        Shared levels and a verdict for each question.

    Raises
    ------
    UnknownHullError
        If a number names no hull, or several.
    DefinitionError
        If fewer than two different hulls are named, or a reason is blank.
    """
    if people_reason is not None:
        require_reason(people_reason)
    people = {"people": people_reason is not None, "people_kind": PEOPLE}
    with store.session() as session:
        numbers = hull_numbers(session, hulls)
        if len(numbers) < 2:
            raise DefinitionError(
                f"A comparison needs two or more different hulls; got {len(numbers)}: "
                f"{', '.join(numbers.values())}."
            )
        families = session.frame("trace/compare_families", people)
        answers = session.frame("trace/compare_answers", people | {"hull_ids": list(numbers)})
        carried = answers.dropna(subset=["level_id"])
        plant = session.frame(
            "trace/compare_plant",
            {
                "family_ids": sorted(set(carried["family_id"].tolist())),
                "level_ids": sorted(set(carried["level_id"].astype("int64").tolist())),
            },
        )
    return Comparison(
        hulls=tuple(numbers.values()),
        shared=_shared(carried, plant, families, len(numbers)),
        families=_verdicts(answers, families, numbers),
        people_reason=people_reason,
        data_version=store.version,
    )


def hull_numbers(session: Connection, hulls: Sequence[str]) -> dict[int, str]:
    """Number and serial of each hull named; one named twice counts once.

    Parameters
    ----------
    session : Connection
        Line to a store.
    hulls : sequence of str
        Hulls or claims, as typed.

    Returns
    -------
    dict of int to str
        In the order given.

    Raises
    ------
    UnknownHullError
        If one names no hull, or several.
    """
    numbers: dict[int, str] = {}
    for typed in hulls:
        named = find(session, typed)[0]
        key = named.key
        if named.kind == "claim":
            reached = session.rows(sql_text("trace/hull_of_claim"), {"claim": key})
            if not reached:
                raise UnknownHullError("hull of claim", typed)
            key = str(reached[0][0])
        elif named.kind != "hull":
            raise UnknownHullError("hull", typed)
        found = session.rows(sql_text("trace/hull_numbers"), {"hull_serial": key})
        if len(found) > 1:
            raise AmbiguousNameError(
                typed, [f"{serial} (model {model}, no. {n})" for n, serial, model in found]
            )
        numbers[int(found[0][0])] = str(found[0][1])
    return numbers


def _shared(
    carried: pd.DataFrame, plant: pd.DataFrame, families: pd.DataFrame, hulls: int
) -> pd.DataFrame:
    by_level = carried.groupby(["family_id", "level_id", "level"], as_index=False).agg(
        hulls=("hull_id", "nunique")
    )
    shared = by_level[by_level["hulls"] == hulls].astype({"level_id": "int64"})
    shared = shared.merge(plant, on=["family_id", "level_id"]).merge(families, on="family_id")
    shared["fraction"] = shared["carry"] / shared["applies"]
    shared = shared.sort_values(["fraction", "family_id", "level_id"], ignore_index=True)
    return shared[
        ["family", "level", "kind", "part", "step", "carry", "applies", "known", "fraction"]
    ]


def _verdicts(
    answers: pd.DataFrame, families: pd.DataFrame, numbers: dict[int, str]
) -> pd.DataFrame:
    rows = []
    for family_id, group in answers.groupby("family_id"):
        levels = {
            hull: list(of_hull["level"].dropna()) for hull, of_hull in group.groupby("hull_id")
        }
        complete = dict(zip(group["hull_id"], group["complete"], strict=True))
        sets = [set(levels.get(hull, ())) for hull in numbers]
        common, any_of_them = set.intersection(*sets), set.union(*sets)
        verdict = SHARED if common else DIFFERENT if all(complete.values()) else UNKNOWN
        rows.append(
            {"family_id": family_id, "verdict": verdict, "differ": common != any_of_them}
            | {
                serial: _told(levels[hull], complete[hull]) if hull in levels else ""
                for hull, serial in numbers.items()
            }
        )
    columns = ["family_id", "verdict", "differ", *numbers.values()]
    frame = families.merge(pd.DataFrame(rows, columns=columns), on="family_id")
    return frame[["family", "kind", "part", "step", "verdict", "differ", *numbers.values()]]


def _told(levels: list[str], complete: bool) -> str:
    return ", ".join(levels if complete else [*levels, "not written down"])
