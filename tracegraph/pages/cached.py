"""Results kept between runs, by the file of the build and by what was asked.

Results are shared by all sessions and must not be changed. A new load makes a new file
name, so its results are new entries.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandas as pd
import streamlit as st

from tracegraph.analysis.changes import Changes, changes
from tracegraph.analysis.cluster import (
    Cases,
    Strip,
    build_strip,
    choices,
    cluster_cases,
    family_names,
    levels_of,
)
from tracegraph.analysis.comparison import Comparison, compare
from tracegraph.analysis.completeness import Completeness, completeness
from tracegraph.analysis.conditions.detail import Condition, examine_condition
from tracegraph.analysis.conditions.table import Conditions, rank_conditions
from tracegraph.analysis.containment import Containment, contain
from tracegraph.analysis.contrast import Contrast, contrast
from tracegraph.analysis.convergence import Convergence, convergence
from tracegraph.analysis.first_suspects import Found, clusters, first_suspects
from tracegraph.analysis.history import HullFacts, hull_meant
from tracegraph.analysis.on_record import OnRecord, on_record
from tracegraph.analysis.overview import Rates, Totals, claim_rates, pareto, totals
from tracegraph.analysis.peers import PeerReview, review
from tracegraph.analysis.ranking import Order, Ranking, rank
from tracegraph.analysis.records_state import RecordsState, records_state
from tracegraph.analysis.suspect import Examined, examine_suspect
from tracegraph.analysis.timing.cohorts import BuildCohorts, build_cohorts
from tracegraph.analysis.tracing import Trace, trace
from tracegraph.domain.definition import CaseDefinition
from tracegraph.pages.background import Background
from tracegraph.store import Store
from tracegraph.store.tried import count_tried

_BY_BUILD: dict[str | type[Any], Callable[[Any], Any]] = {
    Store: lambda store: (str(store.path), store.version)
}


@st.cache_resource(max_entries=16, show_spinner=False, hash_funcs=_BY_BUILD)
def ranking(
    store: Store,
    definition: CaseDefinition,
    reason: str | None,
    order: Order,
    controls: tuple[str, ...],
) -> Background[Ranking]:
    """See :func:`tracegraph.analysis.ranking.rank`."""
    return Background.of_one(
        lambda: rank(store, definition, order=order, people_reason=reason, controls=controls)
    )


@st.cache_resource(max_entries=16, show_spinner=False, hash_funcs=_BY_BUILD)
def comparison(store: Store, hulls: tuple[str, ...], reason: str | None) -> Comparison:
    """See :func:`tracegraph.analysis.comparison.compare`."""
    return compare(store, hulls, people_reason=reason)


@st.cache_resource(max_entries=16, show_spinner=False, hash_funcs=_BY_BUILD)
def contrasted(
    store: Store, definition: CaseDefinition, hulls: tuple[str, ...], reason: str | None
) -> Contrast:
    """See :func:`tracegraph.analysis.contrast.contrast`."""
    return contrast(store, definition, hulls=hulls, people_reason=reason)


@st.cache_resource(
    max_entries=8, show_spinner="Looking for levels that do more together", hash_funcs=_BY_BUILD
)
def pairs(store: Store, definition: CaseDefinition, reason: str | None) -> pd.DataFrame:
    """Rows of :func:`tracegraph.analysis.ranking.rank` with pairs among them."""
    return rank(store, definition, people_reason=reason, pairs=True).frame


@st.cache_resource(max_entries=64, show_spinner=False, hash_funcs=_BY_BUILD)
def definitions_tried(store: Store, definition: CaseDefinition) -> int | None:
    """See :func:`tracegraph.store.tried.count_tried`."""
    return count_tried(store.path.parent, definition.symptoms, definition.fingerprint())


@st.cache_resource(max_entries=32, show_spinner=False, hash_funcs=_BY_BUILD)
def cases(store: Store, definition: CaseDefinition) -> Cases:
    """See :func:`tracegraph.analysis.cluster.cluster_cases`."""
    return cluster_cases(store, definition)


@st.cache_resource(max_entries=32, show_spinner=False, hash_funcs=_BY_BUILD)
def strip(
    store: Store, definition: CaseDefinition, family: str, level: str, reason: str | None
) -> Strip:
    """See :func:`tracegraph.analysis.cluster.build_strip`."""
    return build_strip(store, definition, family, level, people_reason=reason)


@st.cache_resource(
    max_entries=16, show_spinner="Looking at it from all sides", hash_funcs=_BY_BUILD
)
def examined(
    store: Store,
    definition: CaseDefinition,
    suspect: tuple[str, str],
    beside: tuple[str, str] | None,
    reason: str | None,
) -> Examined:
    """See :func:`tracegraph.analysis.suspect.examine_suspect`."""
    return examine_suspect(store, definition, *suspect, beside=beside, people_reason=reason)


@st.cache_resource(max_entries=16, show_spinner="Testing what was measured", hash_funcs=_BY_BUILD)
def conditions(store: Store, definition: CaseDefinition) -> Conditions:
    """See :func:`tracegraph.analysis.conditions.table.rank_conditions`."""
    return rank_conditions(store, definition)


@st.cache_resource(max_entries=32, show_spinner=False, hash_funcs=_BY_BUILD)
def condition(store: Store, definition: CaseDefinition, family: str) -> Condition:
    """See :func:`tracegraph.analysis.conditions.detail.examine_condition`."""
    return examine_condition(store, definition, family)


@st.cache_resource(max_entries=16, show_spinner=False, hash_funcs=_BY_BUILD)
def cohorts(store: Store, definition: CaseDefinition, period: int, width: int) -> BuildCohorts:
    """See :func:`tracegraph.analysis.timing.cohorts.build_cohorts`."""
    return build_cohorts(store, definition, period=period, width=width)


@st.cache_resource(max_entries=16, show_spinner=False, hash_funcs=_BY_BUILD)
def convergence_of(
    store: Store, hulls: tuple[int, ...], levels: tuple[int, ...], symptoms: tuple[str, ...]
) -> Convergence:
    """See :func:`tracegraph.analysis.convergence.convergence`."""
    return convergence(store, hulls, levels, symptoms=symptoms)


@st.cache_resource(max_entries=4, show_spinner=False, hash_funcs=_BY_BUILD)
def words(store: Store) -> dict[str, list[str]]:
    """See :func:`tracegraph.analysis.cluster.choices`."""
    return choices(store)


@st.cache_resource(max_entries=8, show_spinner=False, hash_funcs=_BY_BUILD)
def rates(store: Store, definition: CaseDefinition) -> Rates:
    """See :func:`tracegraph.analysis.overview.claim_rates`."""
    return claim_rates(store, definition)


@st.cache_resource(max_entries=4, show_spinner=False, hash_funcs=_BY_BUILD)
def symptoms(store: Store) -> pd.DataFrame:
    """See :func:`tracegraph.analysis.overview.pareto`."""
    return pareto(store)


@st.cache_resource(max_entries=4, show_spinner=False, hash_funcs=_BY_BUILD)
def record_totals(store: Store) -> Totals:
    """See :func:`tracegraph.analysis.overview.totals`."""
    return totals(store)


@st.cache_resource(
    max_entries=4,
    show_spinner=False,
    hash_funcs=_BY_BUILD,
    on_release=lambda work: work.leave_all(),
)
def first_suspects_of(store: Store) -> Background[Found]:
    """See :func:`tracegraph.analysis.first_suspects.first_suspects`."""
    return Background(lambda: first_suspects(store), len(clusters(store)))


@st.cache_resource(max_entries=4, show_spinner=False, hash_funcs=_BY_BUILD)
def changes_since(earlier: Store, now: Store) -> Changes:
    """See :func:`tracegraph.analysis.changes.changes`."""
    return changes(earlier, now)


@st.cache_resource(max_entries=32, show_spinner=False, hash_funcs=_BY_BUILD)
def hull(store: Store, identifier: str) -> HullFacts:
    """See :func:`tracegraph.analysis.history.hull_meant`."""
    return hull_meant(store, identifier)


@st.cache_resource(max_entries=32, show_spinner=False, hash_funcs=_BY_BUILD)
def hull_review(store: Store, identifier: str) -> Background[PeerReview]:
    """See :func:`tracegraph.analysis.peers.review`."""
    return Background.of_one(lambda: review(store, identifier))


@st.cache_resource(max_entries=16, show_spinner=False, hash_funcs=_BY_BUILD)
def genealogy(store: Store, identifier: str) -> Trace:
    """See :func:`tracegraph.analysis.tracing.trace`."""
    return trace(store, identifier, direction="up")


@st.cache_resource(max_entries=32, show_spinner=False, hash_funcs=_BY_BUILD)
def recorded(store: Store, family: str, level: str, reason: str | None) -> OnRecord:
    """See :func:`tracegraph.analysis.on_record.on_record`."""
    return on_record(store, family, level, people_reason=reason)


@st.cache_resource(max_entries=32, show_spinner=False, hash_funcs=_BY_BUILD)
def containment(
    store: Store, family: str, level: str, definition: CaseDefinition | None, reason: str | None
) -> Background[Containment]:
    """See :func:`tracegraph.analysis.containment.contain`."""
    return Background.of_one(
        lambda: contain(store, family, level, definition=definition, people_reason=reason)
    )


@st.cache_resource(max_entries=4, show_spinner=False, hash_funcs=_BY_BUILD)
def state_of_records(store: Store) -> Background[tuple[RecordsState, Completeness]]:
    """See :mod:`tracegraph.analysis.records_state` and :mod:`tracegraph.analysis.completeness`."""
    return Background.of_one(lambda: (records_state(store), completeness(store)))


@st.cache_resource(max_entries=4, show_spinner=False, hash_funcs=_BY_BUILD)
def families(store: Store, people: bool) -> list[str]:
    """See :func:`tracegraph.analysis.cluster.family_names`."""
    return family_names(store, people=people)


@st.cache_resource(max_entries=64, show_spinner=False, hash_funcs=_BY_BUILD)
def levels(store: Store, family: str) -> list[str]:
    """See :func:`tracegraph.analysis.cluster.levels_of`."""
    return levels_of(store, family)
