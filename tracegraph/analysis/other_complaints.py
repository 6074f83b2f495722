"""Other complaints on the hulls of a suspect: what cannot share its cause should not be raised.

Where a complaint that the suspect cannot bring about is raised too, the hulls differ in
something else: their owners, their dealers, or what is asked of them.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.confounding.controls import RAISED_OUTCOME, Control, outcome_control
from tracegraph.analysis.matched.loading import stored_population
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError
from tracegraph.stats.arrays import Bools
from tracegraph.store import Store

FEWEST_CLAIMS = 5
"""Affected hulls from which a complaint is looked at (common practice)."""

MOST = 30
"""Complaints looked at; those that most hulls have."""


def other_complaints(
    store: Store, definition: CaseDefinition, exposed: Bools, margins: tuple[str, ...]
) -> pd.DataFrame:
    """Count every other complaint on the hulls that carry a suspect.

    Parameters
    ----------
    store : Store
        The records.
    definition : CaseDefinition
        Of the cluster; its symptoms, zones and components are exchanged.
    exposed : array of bool, shape (h,)
        Hulls that carry the suspect, in order of number.
    margins : tuple of str
        Differences that the baseline allows for.

    Returns
    -------
    DataFrame
        Those least like chance first: ``symptom``, ``hulls``, ``observed``, ``expected``,
        ``rate_ratio``, ``rate_ratio_low``, ``rate_ratio_high``, ``p_value`` (one-sided),
        ``raised`` (bool: the lower limit passes 1.5).
    """
    symptoms = store.frame("overview/pareto")
    rows = []
    for symptom in symptoms.loc[symptoms["hulls"] >= FEWEST_CLAIMS, "symptom"].head(MOST):
        if symptom in definition.symptoms:
            continue
        other = replace(definition, symptoms=(str(symptom),), zones=(), components=())
        found = _control(store, other, exposed, margins)
        if found is not None:
            claims = found.claims
            rows.append(
                (
                    str(symptom),
                    found.hulls,
                    claims.observed,
                    claims.expected,
                    claims.ratio,
                    claims.low,
                    claims.high,
                    claims.p_value,
                    claims.low > RAISED_OUTCOME,
                )
            )
    frame = pd.DataFrame(rows, columns=_COLUMNS)
    return frame.sort_values(["p_value", "symptom"], kind="stable").reset_index(drop=True)


_COLUMNS = [
    "symptom",
    "hulls",
    "observed",
    "expected",
    "rate_ratio",
    "rate_ratio_low",
    "rate_ratio_high",
    "p_value",
    "raised",
]


def _control(
    store: Store, other: CaseDefinition, exposed: Bools, margins: tuple[str, ...]
) -> Control | None:
    with store.session() as session:
        try:
            draw_cohort(session, other)
        except DefinitionError:
            return None
        population = stored_population(session)
    if not population.case.any() or not np.any(exposed & population.at_risk):
        return None
    return outcome_control(population, margins, exposed)
