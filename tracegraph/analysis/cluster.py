"""The hulls of a cluster, and where a suspect lies in the order of building."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.naming import Suspect, find_suspect
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.kinds import PEOPLE
from tracegraph.store import Store


@dataclass(frozen=True, eq=False)
class Cases:
    """The affected hulls of one definition.

    Attributes
    ----------
    frame : DataFrame
        One row per hull in the order of building: ``hull_id``, ``hull_serial``,
        ``model``, ``place``, ``built_on``, ``delivered_on``, ``case_month``,
        ``follow_months``, ``first_claim``, ``symptom``, ``zone``, ``certainty``,
        ``failed_on``, ``claims`` (lines that count), ``safety_class`` (gravest; missing
        when none is written), ``cost`` (sum where written), ``claims_with_cost``,
        ``claim_numbers`` (a list), ``counted`` (bool: within the
        landmark table).
    at_risk : int
        Hulls in service within the definition, these included.
    ladder : dict of str to int
        Hulls that remain from built to followed.
    definition : CaseDefinition
        As settled on the data.
    data_version : str
        Version of the records.
    """

    frame: pd.DataFrame
    at_risk: int
    ladder: dict[str, int]
    definition: CaseDefinition
    data_version: str

    @property
    def safety_class(self) -> int | None:
        """Gravest safety class among the claims, or None when none is written."""
        classes = self.frame["safety_class"].dropna()
        return None if classes.empty else int(classes.min())


@dataclass(frozen=True, eq=False)
class Strip:
    """Hulls in the order in which a suspect's step was done on them.

    Attributes
    ----------
    frame : DataFrame
        ``hull_id``, ``hull_serial``, ``model``, ``place``, ``at`` (time of the step, else
        of fitting or completion; missing when there is none), ``affected`` (bool),
        ``state`` (exposed, not exposed, not recorded), ``levels`` (recorded answers).
    suspect : Suspect
        The level.
    definition : CaseDefinition
        As settled on the data.
    data_version : str
        Version of the records.
    """

    frame: pd.DataFrame
    suspect: Suspect
    definition: CaseDefinition
    data_version: str


def cluster_cases(store: Store, definition: CaseDefinition) -> Cases:
    """The affected hulls of a definition with their claims.

    Parameters
    ----------
    store : Store
        The records.
    definition : CaseDefinition
        Which claims count.

    Returns
    -------
    Cases
        Also the hulls that the landmark table leaves out, marked as not counted.

    Raises
    ------
    UnknownNameError
        If the definition names something that is not in the records.
    """
    with store.session() as session:
        cohort = draw_cohort(session, definition)
        settled = cohort.definition
        frame = session.frame("cluster/cases", settled.parameters())
    frame["safety_class"] = frame["safety_class"].astype("Int64")
    return Cases(frame, cohort.ladder["in service"], cohort.ladder, settled, store.version)


def build_strip(
    store: Store,
    definition: CaseDefinition,
    family: str,
    level: str,
    *,
    people_reason: str | None = None,
) -> Strip:
    """Where a suspect lies in the order of building.

    Parameters
    ----------
    store : Store
        The records.
    definition : CaseDefinition
        Which claims count.
    family, level : str
        The suspect, as typed.
    people_reason : str, optional
        Why a family of people is asked for.

    Returns
    -------
    Strip
        The hulls of the landmark table to which the family applies.

    Raises
    ------
    UnknownNameError
        If there is no such family or level, or the definition names something unknown.
    DefinitionError
        If the family is one of people and no reason is given.
    """
    with store.session() as session:
        suspect = find_suspect(session, family, level, people_reason=people_reason)
        settled = draw_cohort(session, definition).definition
        frame = session.frame(
            "cluster/strip", {"family_id": suspect.family_id, "level_id": suspect.level_id}
        )
    return Strip(frame, suspect, settled, store.version)


def choices(store: Store) -> dict[str, list[str]]:
    """Words that a definition can be made of.

    Returns
    -------
    dict of str to list of str
        ``symptom``, ``zone``, ``component``, ``model``, ``plant``: each with its words, most
        hulls first.
    """
    frame = store.frame("cluster/choices")
    return {
        what: frame.loc[frame["what"] == what, "word"].tolist()
        for what in ("symptom", "zone", "component", "model", "plant")
    }


def family_names(store: Store, *, people: bool = False) -> list[str]:
    """Names of all families, in the order of display.

    Parameters
    ----------
    store : Store
        The records.
    people : bool, default False
        Whether families of people are among them.
    """
    frame = store.frame("contain/families")
    return frame.loc[people | (frame["kind"] != PEOPLE), "family"].tolist()


def levels_of(store: Store, family: str) -> list[str]:
    """Names of a family's levels, in their order; empty when there is no such family."""
    frame = store.frame("contain/families")
    numbers = frame.loc[frame["family"] == family, "family_id"]
    if numbers.empty:
        return []
    return store.frame("contain/levels", {"family_id": int(numbers.iloc[0])})["level"].tolist()
