"""Rounds of the search laid out as one frame, a row for each suspect."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from tracegraph.analysis.confounding.aliases import COMPARED
from tracegraph.analysis.matched.discovery import discovery_rates
from tracegraph.analysis.matched.evidence import NOTICED
from tracegraph.analysis.matched.rounds import Round
from tracegraph.stats.arrays import Ints

DETAILED = COMPARED
"""Suspects whose rate ratios and limits are worked out."""

DEPENDS = "depends-on-leader"
"""Why a suspect that does not lead its round stays at level 1."""

COLUMNS: dict[str, Any] = {
    "matched_cases": np.int64(0),
    "expected": np.nan,
    "rate_ratio": np.nan,
    "rate_ratio_low": np.nan,
    "rate_ratio_high": np.nan,
    "p_matched": np.nan,
    "q_matched": np.nan,
    "log_bayes_factor": np.nan,
    "score": np.nan,
    "p_family": np.nan,
    "window_margin": np.nan,
    "stretch_jaccard": np.nan,
    "evidence": np.int64(0),
    "round": np.int64(1),
    "alias_group": np.int64(-1),
    "shortlisted": np.False_,
}
"""Columns in order, each with the value that stands for "not worked out"."""


def suspects_frame(rounds: list[Round]) -> pd.DataFrame:
    """One row for each suspect of the first round and each leader of a later one.

    Parameters
    ----------
    rounds : list of Round
        From :func:`~tracegraph.analysis.matched.rounds.investigate`.

    Returns
    -------
    DataFrame
        Indexed by ``level_id``, best score first: the columns of :data:`COLUMNS` (of a
        leader ``stretch_jaccard`` is the likeness to an unbroken stretch of building),
        and ``aliases`` (tuple of level numbers with their share of hulls in common),
        ``rests_on``, ``held_back_by`` (tuples of codes). Rows of a leader of a later
        round, and of its aliases, hold the numbers of that round.
    """
    if not rounds:
        empty = {
            name: pd.Series([], dtype=np.asarray(value).dtype) for name, value in COLUMNS.items()
        }
        for name in ("aliases", "rests_on", "held_back_by"):
            empty[name] = pd.Series([], dtype=object)
        return pd.DataFrame(empty, index=pd.Index([], dtype=np.int64, name="level_id"))
    frames = [_all_rows(rounds[0])]
    frames += [_leading_rows(each, number) for number, each in enumerate(rounds[1:], 2)]
    joined = pd.concat([frame for frame in frames if len(frame)])
    joined = joined[~joined.index.duplicated(keep="last")]
    order = np.lexsort((joined.index, -joined["matched_cases"], -joined["score"].round(6)))
    return joined.iloc[order]


def _all_rows(first: Round) -> pd.DataFrame:
    """Every suspect of the first round."""
    return _rows(first, np.arange(len(first.search.levels)), 1)


def _leading_rows(later: Round, number: int) -> pd.DataFrame:
    """The leader of a later round with its aliases, where it could not be chance alone."""
    if later.facts.p_family > NOTICED:
        return _rows(later, np.zeros(0, np.int64), number)
    return _rows(later, later.aliases.members(0), number)


def _rows(each: Round, places: Ints, number: int) -> pd.DataFrame:
    search = each.search
    count = len(search.levels)
    detail = search.estimates(min(DETAILED, int(places.max(initial=-1)) + 1))
    compared = min(len(each.aliases.levels), len(detail))
    rates = discovery_rates(
        detail.p_value[:compared],
        each.aliases.group[:compared],
        search.screen,
        search.sets.families[search.sets.exposure.level_family],
        len(search.sets.population.cases),
    )
    p_family = search.p_family
    leading = np.zeros(count, np.bool_)
    leading[each.aliases.members(0)] = True
    noticed = (p_family <= NOTICED) & (each.evidence.level > 0)
    columns: dict[str, npt.NDArray[Any]] = {
        "matched_cases": search.tables.observed,
        "expected": _filled(detail.expected, count),
        "rate_ratio": _filled(detail.ratio, count),
        "rate_ratio_low": _filled(detail.low, count),
        "rate_ratio_high": _filled(detail.high, count),
        "p_matched": _filled(detail.p_value, count),
        "q_matched": _filled(rates, count),
        "log_bayes_factor": search.log_factor,
        "score": search.score,
        "p_family": p_family,
        "window_margin": _filled(each.margin, count),
        "stretch_jaccard": np.where(leading, _stretch(each), np.nan),
        "evidence": np.where(leading, each.evidence.level, noticed.astype(np.int64)),
        "round": np.full(count, number),
        "alias_group": _filled(each.aliases.group, count, -1),
        "shortlisted": np.isin(np.arange(count), each.shortlist),
    }
    index = pd.Index(search.sets.exposure.level_id[search.levels], name="level_id")
    frame = pd.DataFrame(columns, index=index).iloc[places]
    frame["aliases"] = pd.Series([_aliases(each, int(p)) for p in places], frame.index, object)
    held = [_held_back(each, bool(leading[p]), bool(noticed[p])) for p in places]
    frame["rests_on"] = pd.Series(
        [each.evidence.rests_on if leading[p] else () for p in places], frame.index, object
    )
    frame["held_back_by"] = pd.Series(held, frame.index, object)
    return frame


def _stretch(each: Round) -> float:
    return np.nan if each.stretch is None else each.stretch.jaccard


def _held_back(each: Round, leading: bool, noticed: bool) -> tuple[str, ...]:
    if leading:
        return each.evidence.held_back_by
    return (DEPENDS,) if noticed else ()


def _aliases(each: Round, place: int) -> tuple[tuple[int, float], ...]:
    """Numbers of the other levels of a group, with the share of hulls in common."""
    if place >= len(each.aliases.levels):
        return ()
    numbers = each.search.sets.exposure.level_id
    return tuple(
        (int(numbers[each.aliases.levels[other]]), float(each.aliases.jaccard[place, other]))
        for other in each.aliases.members(place)
        if other != place
    )


def _filled(values: npt.NDArray[Any], count: int, rest: float = np.nan) -> npt.NDArray[Any]:
    result = np.full(count, rest, values.dtype)
    result[: len(values)] = values[:count]
    return result
