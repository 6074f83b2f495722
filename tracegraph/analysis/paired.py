"""Pairs of levels as rows among the suspects: a lot in one crew's hands, a pump in the cold."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from tracegraph.analysis.confounding.pair_chance import chance_of_pairs
from tracegraph.analysis.confounding.pairs import Pair, interactions
from tracegraph.analysis.confounding.strata import landmark_tables
from tracegraph.analysis.counting import Counts
from tracegraph.analysis.matched.evidence import NOTICED
from tracegraph.analysis.matched.frame import DEPENDS
from tracegraph.analysis.matched.population import (
    COMPLETE,
    DOES_NOT_APPLY,
    INCOMPLETE,
    ExposureMatrix,
)
from tracegraph.analysis.matched.ranking import MatchedRanking
from tracegraph.analysis.matched.rounds import Round
from tracegraph.domain.kinds import PAIR
from tracegraph.stats.arrays import Bools, Ints
from tracegraph.stats.contingency import TableArrays

SAME_HULLS = 0.9
"""Share of hulls in common from which two pairs stand in one row."""


def matched_pairs(matched: MatchedRanking) -> list[tuple[Pair, list[tuple[Pair, float]]]]:
    """Pairs of the first round that say more than their halves, each with its aliases.

    Parameters
    ----------
    matched : MatchedRanking
        The rounds.

    Returns
    -------
    list of tuple
        Best first: a pair, and the weaker pairs that nearly the same hulls carry with
        their share of hulls in common.
    """
    if not matched.rounds:
        return []
    kept: list[tuple[Pair, Bools, list[tuple[Pair, float]]]] = []
    at_risk = matched.population.at_risk
    for pair in interactions(matched.rounds[0].search, matched.margins):
        mine = _carries(matched, pair) & at_risk
        for _, hulls, others in kept:
            share = float((mine & hulls).sum() / (mine | hulls).sum())
            if share >= SAME_HULLS:
                others.append((pair, share))
                break
        else:
            kept.append((pair, mine, []))
    return [(pair, others) for pair, _, others in kept]


def count_pairs(matched: MatchedRanking, pairs: list[Pair], landmark: int) -> Counts:
    """Draw the plain table of each pair at the landmark.

    Parameters
    ----------
    matched : MatchedRanking
        Who was at risk, and who carries what.
    pairs : list of Pair
        Which.
    landmark : int
        Month in service.

    Returns
    -------
    Counts
        Numbered from 0 in the order given. Hulls count as known where both answers are.
    """
    population, exposure = matched.population, matched.exposure
    followed = population.follow_months >= landmark
    case = population.case & (population.exit_month <= landmark)
    nothing = np.zeros(len(population), np.int64)
    rows: list[tuple[int, ...]] = []
    for pair in pairs:
        halves = (pair.first, pair.second)
        both = _carries(matched, pair)
        known = exposure.known(pair.first) & exposure.known(pair.second)
        record = np.where(known | both, COMPLETE, INCOMPLETE)
        joint = ExposureMatrix.of_one_level(both, record)
        a, b, c, d = landmark_tables(population, joint, 0, nothing, landmark).counts
        blank = followed & (record == INCOMPLETE)
        for half in halves:
            blank &= exposure.record[exposure.level_family[half]] != DOES_NOT_APPLY
        rows.append(
            (
                int(a[0]),
                int(b[0]),
                int(c[0]),
                int(d[0]),
                int(blank.sum()),
                int((blank & case).sum()),
            )
        )
    numbers: Ints = np.array(rows, np.int64).reshape(-1, 6)
    a, b, c, d, unknown, unknown_affected = numbers.T
    place = np.arange(len(rows))
    tables = TableArrays.from_margins(
        exposed_cases=a, exposed=a + b, cases=a + c, total=a + b + c + d
    )
    return Counts(place, place, tables, unknown, unknown_affected)


def pair_names(matched: MatchedRanking, pairs: list[Pair], names: pd.DataFrame) -> pd.DataFrame:
    """Name pairs, the half with the stronger claim to it first.

    Parameters
    ----------
    matched : MatchedRanking
        Which levels stand where.
    pairs : list of Pair
        Which.
    names : DataFrame
        Indexed by ``level_id``: ``family``, ``level``, ``part``, ``step``, ``stage``.

    Returns
    -------
    DataFrame
        Indexed from 0: ``family`` (A × B), ``level`` (a × b), ``kind``, ``part`` and
        ``step`` where both halves share them, ``stage`` of the later half.
    """
    rows = [_named(matched, pair, names) for pair in pairs]
    words = ["family", "level", "kind", "part", "step"]
    named = pd.DataFrame(rows, columns=[*words, "stage"])
    return named.astype({**dict.fromkeys(words, "str"), "stage": names["stage"].dtype})


def with_pairs(
    frame: pd.DataFrame,
    plain: pd.DataFrame,
    found: list[tuple[Pair, list[tuple[Pair, float]]]],
    aliases: list[pd.DataFrame],
    first: Round,
) -> pd.DataFrame:
    """Put pairs among the suspects by their score.

    Parameters
    ----------
    frame : DataFrame
        Suspects in the order of evidence.
    plain : DataFrame
        Counts and plain tests of the pairs, indexed as ``found``.
    found : list of tuple
        From :func:`matched_pairs`.
    aliases : list of DataFrame
        Names of the weaker pairs of each, from :func:`pair_names`.
    first : Round
        The first round, of which the pairs are.

    Returns
    -------
    DataFrame
        The columns of ``frame``, ranked anew. Of a pair, ``expected``, ``rate_ratio`` and
        ``p_matched`` are beyond what each half does by itself; q is not worked out. Evidence
        goes by the rule of levels that do not lead: 1 at most.

    Notes
    -----
    A pair never stands before the leading level, whatever its score: like a drum inside a
    lot, it says where the claims of a level lie, and the level is what is contained until
    the two are told apart.
    """
    if not found:
        return frame
    pairs = [pair for pair, _ in found]
    p_family = chance_of_pairs(first.search, pairs)
    noticed = (p_family <= NOTICED) & (first.evidence.level > 0)
    rows = plain.assign(
        q_bh=np.nan,
        matched_cases=[float(pair.beyond.observed) for pair in pairs],
        expected=[pair.beyond.expected for pair in pairs],
        rate_ratio=[pair.beyond.ratio for pair in pairs],
        rate_ratio_low=[pair.beyond.low for pair in pairs],
        rate_ratio_high=[pair.beyond.high for pair in pairs],
        p_matched=[pair.beyond.p_value for pair in pairs],
        score=[pair.score for pair in pairs],
        p_family=p_family,
        window_margin=[pair.joint_factor - first.windows.best for pair in pairs],
        evidence=np.where(np.isnan(p_family), np.nan, noticed),
        round=1,
        shortlisted=False,
        level_id=-1,
    )
    rows["aliases"] = pd.Series(
        [
            tuple(
                (str(family), str(level), share)
                for family, level, (_, share) in zip(
                    named["family"], named["level"], others, strict=True
                )
            )
            for named, (_, others) in zip(aliases, found, strict=True)
        ],
        index=rows.index,
        dtype=object,
    )
    held = [(DEPENDS,) if one else () for one in noticed]
    rows["held_back_by"] = pd.Series(held, index=rows.index, dtype=object)
    rows["rests_on"] = pd.Series([()] * len(rows), index=rows.index, dtype=object)
    rows = rows.reindex(columns=frame.columns).astype(frame.dtypes.to_dict())
    joined = pd.concat([frame, rows], ignore_index=True)
    score = np.minimum(joined["score"].to_numpy(np.float64), frame["score"].max())
    order = np.lexsort((np.arange(len(joined)), -np.round(score, 6)))
    joined = joined.iloc[order].reset_index(drop=True)
    joined["rank"] = np.arange(1, len(joined) + 1)
    return joined


def _carries(matched: MatchedRanking, pair: Pair) -> Bools:
    both: Bools = matched.exposure.carries(pair.first) & matched.exposure.carries(pair.second)
    return both


def _named(matched: MatchedRanking, pair: Pair, names: pd.DataFrame) -> dict[str, Any]:
    halves = names.loc[matched.exposure.level_id[[pair.first, pair.second]]]
    shared: dict[str, Any] = {
        key: halves[key].iloc[0] if halves[key].nunique() == 1 else None for key in ("part", "step")
    }
    shared["stage"] = halves["stage"].max()
    family, level = (" × ".join(halves[key].astype(str)) for key in ("family", "level"))
    return {"family": family, "level": level, "kind": PAIR, **shared}
