"""Rank the levels of a store by the time-matched method."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracegraph.analysis.cohort import Cohort
from tracegraph.analysis.counting import level_names
from tracegraph.analysis.matched.familywise import seed_from
from tracegraph.analysis.matched.loading import stored_exposure, stored_population
from tracegraph.analysis.matched.search import Search, search
from tracegraph.domain.kinds import PEOPLE
from tracegraph.store import Connection, Store

DETAILED = 200
"""Suspects whose rate ratios and limits are worked out."""

RESAMPLES = 199


@dataclass(frozen=True, eq=False)
class MatchedRanking:
    """Suspects of the time-matched method.

    Attributes
    ----------
    frame : DataFrame
        Indexed by ``level_id``, best first: ``matched_cases`` (cases that carry the
        level), ``expected``, ``rate_ratio`` with ``rate_ratio_low`` and ``_high`` (95 %),
        ``p_matched`` (exact, harm), ``log_bayes_factor``, ``score``, ``p_family``.
        Missing where not worked out.
    search : Search
        What it was made from.
    """

    frame: pd.DataFrame
    search: Search


def rank_matched(
    store: Store,
    session: Connection,
    cohort: Cohort,
    *,
    people: bool = False,
    resamples: int = RESAMPLES,
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
    resamples : int, default 199
        Resamples for the family-wise p.

    Returns
    -------
    MatchedRanking
        The same for the same records and definition.
    """
    matrix = stored_exposure(store).matrix
    population = stored_population(session)
    names = level_names(store)
    kinds = names.drop_duplicates("family_id").set_index("family_id")["kind"]
    families = np.ones(matrix.families, np.bool_)
    if not people:
        families = (kinds.reindex(matrix.family_id) != PEOPLE).to_numpy()
    found = search(
        population,
        matrix,
        families=families,
        resamples=resamples,
        seed=seed_from(store.version, cohort.definition.fingerprint()),
    )
    return MatchedRanking(matched_frame(found), found)


def matched_frame(found: Search) -> pd.DataFrame:
    """Suspects of a search as a frame; see :attr:`MatchedRanking.frame`."""
    levels = found.levels
    detail = found.effects(DETAILED)
    count = len(detail.expected)
    frame = pd.DataFrame(
        {
            "level_id": found.sets.exposure.level_id[levels],
            "matched_cases": found.tables.observed,
            "log_bayes_factor": found.log_factor,
            "score": found.score,
            "p_family": found.p_family,
        }
    ).set_index("level_id")
    for name, values in (
        ("expected", detail.expected),
        ("rate_ratio", detail.ratios.ratio),
        ("rate_ratio_low", detail.low),
        ("rate_ratio_high", detail.high),
        ("p_matched", detail.tests.greater),
    ):
        column = np.full(len(levels), np.nan)
        column[:count] = values
        frame[name] = column
    return frame
