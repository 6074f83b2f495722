"""The tests that can be checked by hand, of every counted level, and their order."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from pandas.api.extensions import ExtensionArray

from tracegraph.analysis.counting import Counts
from tracegraph.stats.chisquare import pearson
from tracegraph.stats.contingency import TableArrays
from tracegraph.stats.exact import fisher_exact_many, smallest_p
from tracegraph.stats.multiplicity import adjust_repeated
from tracegraph.stats.odds_ratio import odds_ratios
from tracegraph.stats.risk_ratio import risk_ratios

THIN = 0.05
"""A level that could not reach this p-value at its best is too thin to be tested."""

DIRECTIONS = ("protective", "none", "harm")

NAMED = ("family", "level", "kind", "part", "step", "stage")


def rank_counts(counts: Counts, names: pd.DataFrame) -> pd.DataFrame:
    """Test and order counted levels.

    Parameters
    ----------
    counts : Counts
        Four counts for each level.
    names : DataFrame
        Indexed by ``level_id``: ``level``, ``family``, ``kind``, ``part``, ``step``,
        ``stage``.

    Returns
    -------
    DataFrame
        The columns of :attr:`tracegraph.analysis.ranking.Ranking.frame`.
    """
    first, kind = counts.tables.distinct()
    tables = counts.tables.take(first)
    tests = _tests(tables)
    direction = _direction(tables)
    tried = tests["testable"] & ~tests["thin"]
    counted = {
        "affected_exposed": tables.exposed_cases,
        "exposed": tables.exposed,
        "affected_unexposed": tables.unexposed_cases,
        "unexposed": tables.unexposed,
    }
    tests["q_bh"] = adjust_repeated(
        np.where(tried, tests["p_fisher"], np.nan), np.bincount(kind, minlength=len(first))
    )
    place = _places(
        np.where(tests["testable"], direction != 1, 2),
        tests["log10_p_fisher"].round(9),
        -tables.exposed_cases,
        tables.exposed,
    )
    # The counts stand in the order of families and levels, which the sort keeps for ties.
    order = np.argsort(place[kind], kind="stable")
    kind = kind[order]
    level_id = counts.level_id[order]
    where = names.index.get_indexer(pd.Index(level_id))
    return pd.DataFrame(
        {
            "rank": np.arange(1, len(order) + 1),
            **{name: _words(names[name].array, where) for name in NAMED},
            **{name: values[kind] for name, values in counted.items()},
            "unknown": counts.unknown[order],
            "unknown_affected": counts.unknown_affected[order],
            **{name: values[kind] for name, values in tests.items()},
            "level_id": level_id,
            "direction": pd.Categorical.from_codes(
                direction[kind] + 1, dtype=pd.CategoricalDtype(list(DIRECTIONS))
            ),
        },
        copy=False,
    )


def _words(column: ExtensionArray, where: npt.NDArray[np.intp]) -> ExtensionArray:
    """Entries of a column; of categories as plain words, which many steps further on want."""
    taken: ExtensionArray
    if isinstance(column, pd.Categorical):
        taken = column.categories.array.take(column.codes[where])
    else:
        taken = column.take(where)
    return taken


def _places(*keys: npt.NDArray[Any]) -> npt.NDArray[np.unsignedinteger]:
    """Place of each entry by the first key, then the next; equal entries share a place."""
    order = np.lexsort(keys[::-1])
    steps = np.zeros(len(order), np.bool_)
    for key in keys:
        ranked = key[order]
        both_missing = (ranked[1:] != ranked[1:]) & (ranked[:-1] != ranked[:-1])
        steps[1:] |= (ranked[1:] != ranked[:-1]) & ~both_missing
    place = np.empty(len(order), np.min_scalar_type(len(order)))  # short numbers sort in one pass
    place[order] = np.cumsum(steps)
    return place


def _tests(tables: TableArrays) -> dict[str, npt.NDArray[Any]]:
    """Every test and estimate of each table."""
    fisher = fisher_exact_many(tables)
    odds = odds_ratios(tables)
    risk = risk_ratios(tables)
    testable = tables.testable
    unset = np.where(testable, 0.0, np.nan)
    return {
        "odds_ratio": odds.conditional,
        "odds_ratio_low": odds.low,
        "odds_ratio_high": odds.high,
        "risk_ratio": risk.ratio,
        "risk_ratio_low": np.where(np.isnan(risk.katz_low), risk.low, risk.katz_low),
        "risk_ratio_high": np.where(np.isnan(risk.katz_high), risk.high, risk.katz_high),
        "p_fisher": fisher.two_sided + unset,
        "log10_p_fisher": fisher.log10_two_sided + unset,
        "p_harm": fisher.greater + unset,
        "p_chi2": pearson(tables).p_value + unset,
        "testable": testable,
        "thin": testable & (smallest_p(tables, alternative="two-sided") > THIN),
    }


def _direction(tables: TableArrays) -> npt.NDArray[np.int64]:
    """1 where the exposed fail more often, -1 where less often, 0 where neither."""
    a, b, c, d = tables.counts
    return np.sign(a * d - b * c)
