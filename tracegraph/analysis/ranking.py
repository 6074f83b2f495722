"""Rank every level of every family by how strongly the affected hulls share it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, TypeAlias, get_args

import numpy as np
import pandas as pd

from tracegraph.analysis.cohort import Cohort, draw_cohort
from tracegraph.analysis.counting import level_names
from tracegraph.analysis.matched.familywise import seed_from
from tracegraph.analysis.matched.joining import by_evidence
from tracegraph.analysis.matched.ranking import RESAMPLES, MatchedRanking, rank_matched
from tracegraph.analysis.matched.rounds import ROUNDS
from tracegraph.analysis.matched.search import MARGINS
from tracegraph.analysis.naming import require_reason
from tracegraph.analysis.paired import count_pairs, matched_pairs, pair_names, with_pairs
from tracegraph.analysis.plain_tests import rank_counts
from tracegraph.analysis.tally import count_stored
from tracegraph.analysis.verdict import Verdict, draw_verdict
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError
from tracegraph.exposure import exposure_from_frames
from tracegraph.store import Store
from tracegraph.store.reader import as_store

Order: TypeAlias = Literal["fisher", "evidence"]

DIFFERENCES = ("model", "build period", "dealer")
"""Differences between hulls that the baseline can allow for."""

FEWEST_DATED = 0.5
"""Share of the hulls that must be in service for cases to be compared at their age."""


@dataclass(frozen=True)
class Ranking:
    """Ranked suspects with what was asked and on which data.

    Attributes
    ----------
    frame : DataFrame
        One row per level, best first: ``rank``, ``family``, ``level``, ``kind``,
        ``part``, ``step``, ``stage``, ``affected_exposed``, ``exposed``,
        ``affected_unexposed``, ``unexposed``, ``unknown``, ``unknown_affected``,
        ``odds_ratio`` (conditional maximum likelihood) with ``odds_ratio_low`` and
        ``_high`` (exact 95 %), ``risk_ratio`` with ``risk_ratio_low`` and ``_high``
        (Katz's log limits, 95 %; Koopman's score limits where a cell is empty),
        ``p_fisher`` (two-sided), ``log10_p_fisher``, ``p_harm``
        (one-sided), ``p_chi2`` (Pearson, uncorrected), ``q_bh``, ``direction`` (harm,
        none, protective), ``testable``, ``thin``. In the order of evidence also the
        columns :data:`~tracegraph.analysis.matched.joining.MATCHED_COLUMNS` of
        :func:`~tracegraph.analysis.matched.frame.suspects_frame`, where ``evidence`` and
        ``round`` are nullable integers and ``aliases`` is a tuple of (family, level,
        jaccard). They are missing where fewer than two cases share a level.
    definition : CaseDefinition
        As settled on the data.
    cohort : Cohort
        Who was compared with whom.
    families, levels : int
        How many were tested.
    data_version : str
        Version of the records.
    people_reason : str or None
        Why families of people are shown; None: they are not.
    order : {"fisher", "evidence"}
        What the rows are sorted by.
    verdict : Verdict or None
        What the order of evidence found, round by round; None in the order of Fisher.
    remarks : tuple of str
        What could not be done, and why.
    """

    frame: pd.DataFrame
    definition: CaseDefinition
    cohort: Cohort
    families: int
    levels: int
    data_version: str
    people_reason: str | None = None
    order: Order = "fisher"
    verdict: Verdict | None = None
    remarks: tuple[str, ...] = ()


def rank(
    store: Store,
    definition: CaseDefinition,
    *,
    order: Order = "evidence",
    people_reason: str | None = None,
    allow_for: tuple[str, ...] = MARGINS,
    resamples: int = RESAMPLES,
    rounds: int = ROUNDS,
    pairs: bool = False,
    controls: tuple[str, ...] = (),
) -> Ranking:
    """Rank what the affected hulls share against the hulls at risk.

    Parameters
    ----------
    store : Store
        Where the records are.
    definition : CaseDefinition
        Which claims count.
    order : {"fisher", "evidence"}
        By Fisher's test on the landmark table, or by the time-matched evidence: each case
        against the hulls at risk at its own months in service, differences between models
        and build periods allowed for.
    people_reason : str, optional
        Why families of people should be shown; without a reason they are neither shown
        nor tested.
    allow_for : tuple of str, default ("model", "build period")
        Differences in claim rate between hulls that accuse no level: some of
        :data:`DIFFERENCES`.
    resamples : int, default 199
        Resamples behind the family-wise p.
    rounds : int, default 4
        Most causes looked for, one after another.
    pairs : bool, default False
        Whether pairs of levels that say more than their halves stand among the suspects,
        as rows of kind ``pair`` with family ``A × B`` and level ``a × b``; in the order of
        evidence only.
    controls : tuple of str
        Symptoms that cannot share the cause. Where one is raised on the hulls of a leader,
        that has evidence level 1 at most.

    Returns
    -------
    Ranking
        By Fisher: two-sided p among levels that go with harm, then the levels that do
        not; ties by more affected hulls, fewer exposed, then the order of kinds, stages
        and names. By evidence: the score, then the levels without one in Fisher's order.

    Raises
    ------
    UnknownNameError
        If the definition names something that is not in the records.
    DefinitionError
        If the definition contradicts itself, a reason is blank, or a difference to allow
        for is not one of those known.

    Notes
    -----
    Where fewer than half of the hulls have a delivery date, months in service are not
    known well enough to compare cases at their age: the order is Fisher's, and
    ``remarks`` says so.
    """
    if order not in get_args(Order):
        raise DefinitionError(f"order must be fisher or evidence; got {order!r}.")
    if people_reason is not None:
        require_reason(people_reason)
    for name in allow_for:
        if name not in DIFFERENCES:
            raise DefinitionError(
                f"Differences that can be allowed for are {', '.join(DIFFERENCES)}; got {name!r}."
            )
    if resamples < 1:
        raise DefinitionError(f"resamples must be 1 or more; got {resamples}.")
    others = _controls(store, definition, controls)
    names = level_names(store)
    verdict: Verdict | None = None
    matched: MatchedRanking | None = None
    remarks: tuple[str, ...] = ()
    with store.session() as session:
        cohort = draw_cohort(session, definition)
        counts = count_stored(store, session, people=people_reason is not None)
        frame = rank_counts(counts, names)
        if order == "evidence" and (why := _undated(cohort)):
            order, remarks = "fisher", (why,)
        if order == "evidence":
            matched = rank_matched(
                store,
                session,
                cohort,
                people=people_reason is not None,
                margins=allow_for,
                resamples=resamples,
                rounds=rounds,
                controls=others,
            )
            seed = seed_from(store.version, cohort.definition.fingerprint())
            verdict = draw_verdict(matched, names, resamples=resamples, seed=seed)
            frame = by_evidence(frame, matched.frame, names)
    tested = frame["testable"] & ~frame["thin"]
    families, levels = _families_of(frame.loc[tested, "level_id"], names), int(tested.sum())
    if pairs and matched is not None:
        frame = _among_pairs(frame, matched, names, cohort)
    return Ranking(
        frame=frame,
        definition=cohort.definition,
        cohort=cohort,
        families=families,
        levels=levels,
        data_version=store.version,
        people_reason=people_reason,
        order=order,
        verdict=verdict,
        remarks=remarks,
    )


def rank_frames(
    hulls: pd.DataFrame,
    exposure: pd.DataFrame,
    claims: pd.DataFrame,
    definition: CaseDefinition,
    families: pd.DataFrame | None = None,
    *,
    order: Order = "evidence",
) -> Ranking:
    """Rank from plain frames instead of a store.

    Parameters
    ----------
    hulls : DataFrame
        ``hull_serial``, ``model``, ``in_service_on``, and what else is known.
    exposure : DataFrame
        ``hull_serial``, ``family``, ``level``; a null level is a missing record, no row
        says that the family does not apply.
    claims : DataFrame
        ``claim_no``, ``hull_serial``, ``opened_on``, ``symptom``, and what else is known.
    definition : CaseDefinition
        Which claims count.
    families : DataFrame, optional
        ``family``, ``kind``, ``part``, ``step``, ``stage``. Families of kind people are
        not ranked.
    order : {"fisher", "evidence"}
        As in :func:`rank`.

    Returns
    -------
    Ranking
        As from :func:`rank`.

    Raises
    ------
    FlatTableError
        If a frame lacks a column that it must have.
    """
    build = exposure_from_frames(hulls, exposure, claims, families)
    try:
        return rank(as_store(build), definition, order=order)
    finally:
        build.close()


def _families_of(level_id: pd.Series, names: pd.DataFrame) -> int:
    """Number of families that some levels belong to; by number, since texts take far longer."""
    family = names["family_id"].to_numpy()[names.index.get_indexer(pd.Index(level_id))]
    return int(np.count_nonzero(np.bincount(family)))


def _controls(
    store: Store, definition: CaseDefinition, symptoms: tuple[str, ...]
) -> tuple[CaseDefinition, ...]:
    """The same definition for symptoms that cannot share the cause."""
    for symptom in symptoms:
        if symptom in definition.symptoms:
            raise DefinitionError(
                f"A control is a symptom that cannot share the cause; {symptom} is the one that is "
                "ranked. Name another one."
            )
    others = tuple(
        replace(definition, symptoms=(symptom,), zones=(), components=()) for symptom in symptoms
    )
    for other in others:
        with store.session() as session:
            draw_cohort(session, other)
    return others


def _undated(cohort: Cohort) -> str | None:
    """Why cases cannot be compared at their own age; None where they can."""
    meant, dated = cohort.ladder["in the definition"], cohort.ladder["in service"]
    if meant and dated >= FEWEST_DATED * meant:
        return None
    return (
        f"only {dated} of {meant} hulls have a delivery date, or a ship date with it: each case "
        "cannot be compared at its own months in service, model and build period are not allowed "
        "for, and neither build windows nor second causes are looked for; the order is that of "
        "Fisher's test on the landmark table"
    )


def _among_pairs(
    frame: pd.DataFrame, matched: MatchedRanking, names: pd.DataFrame, cohort: Cohort
) -> pd.DataFrame:
    found = matched_pairs(matched)
    pairs = [pair for pair, _ in found]
    landmark = cohort.definition.landmark_months
    if not pairs or landmark is None:
        return frame
    named = pair_names(matched, pairs, names)
    plain = rank_counts(count_pairs(matched, pairs, landmark), named).set_index("level_id")
    others = [pair_names(matched, [one for one, _ in rest], names) for _, rest in found]
    return with_pairs(frame, plain.sort_index(), found, others, matched.rounds[0])
