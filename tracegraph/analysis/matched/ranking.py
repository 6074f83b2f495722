"""Rank the levels of a store by the time-matched method."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from tracegraph.analysis.cohort import Cohort, draw_cohort
from tracegraph.analysis.confounding.controls import RAISED_OUTCOME, outcome_control
from tracegraph.analysis.confounding.folding import scored
from tracegraph.analysis.counting import level_names
from tracegraph.analysis.matched.evidence import FEW_CASES, judge
from tracegraph.analysis.matched.familywise import seed_from
from tracegraph.analysis.matched.frame import suspects_frame
from tracegraph.analysis.matched.loading import family_days, stored_exposure, stored_population
from tracegraph.analysis.matched.population import ExposureMatrix, Population
from tracegraph.analysis.matched.rounds import ROUNDS, Plant, Round, investigate
from tracegraph.analysis.matched.search import MARGINS
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError
from tracegraph.domain.kinds import PEOPLE, SEASONAL_KINDS
from tracegraph.store import Connection, Store

RESAMPLES = 199

CONFIRMED = "confirmed"

WEEK = ": week"
"""Ending of families that are build windows themselves; they compete as such."""

_CONFIRMED_RATIO = 1.5
_CONFIRMED_P = 0.10


@dataclass(frozen=True, eq=False)
class MatchedRanking:
    """Suspects of the time-matched method.

    Attributes
    ----------
    frame : DataFrame
        Indexed by ``level_id``, best first; see
        :func:`~tracegraph.analysis.matched.frame.suspects_frame`.
    rounds : list of Round
        The searches, one for each cause looked for.
    population : Population
        Who was at risk for how long.
    exposure : ExposureMatrix
        Who carried what.
    margins : tuple of str
        Differences that the baseline allows for.
    """

    frame: pd.DataFrame
    rounds: list[Round]
    population: Population
    exposure: ExposureMatrix
    margins: tuple[str, ...]

    def place(self, level_id: int) -> int:
        """Position of a level in the arrays of the method.

        Raises
        ------
        KeyError
            If no such level is in the records.
        """
        found = np.flatnonzero(self.exposure.level_id == level_id)
        if not len(found):
            raise KeyError(level_id)
        return int(found[0])


def rank_matched(
    store: Store,
    session: Connection,
    cohort: Cohort,
    *,
    people: bool = False,
    margins: tuple[str, ...] = MARGINS,
    resamples: int = RESAMPLES,
    rounds: int = ROUNDS,
    controls: tuple[CaseDefinition, ...] = (),
) -> MatchedRanking:
    """Rank every level that two or more cases share, each case at its own age.

    Parameters
    ----------
    store : Store
        Where the records are.
    session : Connection
        Session in which the cohort was drawn.
    cohort : Cohort
        Its counts and the settled definition.
    people : bool, default False
        Whether families of people take part.
    margins : tuple of str
        Differences that the baseline allows for: some of ``model``, ``build period``,
        ``dealer``.
    resamples : int, default 199
        Resamples for the family-wise p.
    rounds : int, default 4
        Most causes looked for.
    controls : tuple of CaseDefinition
        Complaints that cannot share the cause; raised on the leader's hulls they hold it
        at level 1.

    Returns
    -------
    MatchedRanking
        The same for the same records and definition.
    """
    matrix = stored_exposure(store).matrix
    population = stored_population(session)
    names = level_names(store)
    families = names.drop_duplicates("family_id").set_index("family_id").loc[matrix.family_id]
    of_people = (families["kind"] == PEOPLE).to_numpy()
    of_weeks = families["family"].str.endswith(WEEK).to_numpy()
    plant = Plant(
        families=~of_weeks if people else ~of_weeks & ~of_people,
        people=of_people,
        days=lambda family: family_days(store, int(matrix.family_id[family]), population),
        seasonal=families["kind"].isin(SEASONAL_KINDS).to_numpy(),
    )
    searched = investigate(
        population,
        matrix,
        plant,
        margins=margins,
        resamples=resamples,
        seed=seed_from(store.version, cohort.definition.fingerprint()),
        rounds=rounds,
    )
    judged = [_with_other_claims(store, cohort, each, margins, controls) for each in searched]
    return MatchedRanking(suspects_frame(judged), judged, population, matrix, margins)


def _with_other_claims(
    store: Store,
    cohort: Cohort,
    each: Round,
    margins: tuple[str, ...],
    controls: tuple[CaseDefinition, ...],
) -> Round:
    """Judge a leader again by confirmed claims alone and by complaints that must be even."""
    if each.evidence.level < 2:
        return each
    facts = each.facts
    definition = cohort.definition
    if definition.certainty != (CONFIRMED,):
        confirmed = _population(store, replace(definition, certainty=(CONFIRMED,)))
        facts = replace(facts, stable_if_confirmed=_still_stands(each, confirmed, margins))
    clean = facts.controls_clean
    exposed = each.search.sets.exposure.carries(each.leader)
    for other in controls:
        raised = _population(store, other)
        if raised is not None and raised.case.any():
            low = outcome_control(raised, margins, exposed).claims.low
            clean = clean is not False and low <= RAISED_OUTCOME
    facts = replace(facts, controls_clean=clean)
    return replace(each, facts=facts, evidence=judge(facts))


def _population(store: Store, definition: CaseDefinition) -> Population | None:
    """Follow-up and first claims by another definition; None where no claim matches."""
    with store.session() as session:
        try:
            draw_cohort(session, definition)
        except DefinitionError:
            return None
        return stored_population(session)


def _still_stands(
    each: Round, confirmed: Population | None, margins: tuple[str, ...]
) -> bool | None:
    """Whether confirmed claims alone say the same; None when they are too few to ask."""
    exposure = each.search.sets.exposure
    if confirmed is None:
        return None
    if int((confirmed.case & exposure.carries(each.leader)).sum()) < FEW_CASES:
        return None
    found = scored(confirmed, exposure, margins, np.array([each.leader])).effects
    ratio, p = float(found.ratios.ratio[0]), float(found.tests.greater[0])
    return ratio >= _CONFIRMED_RATIO and p <= _CONFIRMED_P
