"""Result frames with a face: headings with units, rounding, and the JSON contract."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import pandas as pd

from tracegraph.analysis.flat import TableRanking
from tracegraph.analysis.matched.joining import MATCHED_COLUMNS
from tracegraph.analysis.ranking import Ranking
from tracegraph.report.formats import day, moment
from tracegraph.report.numbers import (
    NONE,
    SMALLEST_SHOWN,
    amount,
    chance,
    count,
    fixed,
    interval,
    of,
    plural,
    ratio,
)
from tracegraph.report.reading import reading
from tracegraph.report.verdict_json import verdict_as_json

SUSPECT_KEYS = (
    "rank",
    "family",
    "level",
    "kind",
    "part",
    "affected_exposed",
    "exposed",
    "affected_unexposed",
    "unexposed",
    "unknown",
    "unknown_affected",
    "odds_ratio",
    "odds_ratio_low",
    "odds_ratio_high",
    "risk_ratio",
    "risk_ratio_low",
    "risk_ratio_high",
    "p_fisher",
    "log10_p_fisher",
    "p_harm",
    "p_chi2",
    "q_bh",
    "direction",
)
"""Fields of one suspect in JSON, in order; ``reading`` follows them."""

STRATIFIED_KEYS = (
    "stratified_odds_ratio",
    "stratified_odds_ratio_low",
    "stratified_odds_ratio_high",
    "p_stratified",
    "informative_strata",
)
"""Further fields of one suspect when something was held constant."""

_CHANCES = frozenset(
    {
        "p_fisher",
        "p_harm",
        "p_chi2",
        "q_bh",
        "p_stratified",
        "p_matched",
        "q_matched",
        "p_family",
    }
)


@dataclass(frozen=True)
class Style:
    """How a number is written.

    Attributes
    ----------
    write : callable
        Number to text.
    pattern : str
        The same for a screen table whose cells stay numbers: ``"localized"`` for thousands
        marks, or a format such as ``%.3g``.
    """

    write: Callable[[float], str]
    pattern: str


COUNT = Style(count, "localized")
RATIO = Style(ratio, "%.3g")
CHANCE = Style(chance, "%.2g")
AMOUNT = Style(amount, "%.3g")
WHOLE = Style(lambda value: f"{value:.0f}", "%.0f")
TENTHS = Style(lambda value: fixed(value, 1), "%.1f")


@dataclass(frozen=True)
class DisplayTable:
    """A frame ready to be shown.

    Attributes
    ----------
    frame : DataFrame
        Headings as the reader sees them; numbers stay numbers, so that they sort.
    styles : dict of str to Style
        How the numbers under a heading are written.
    words : dict of str to list of str
        Columns whose texts say more than their numbers can.
    caption : str
        What one row is, and how many rows there are in all.
    """

    frame: pd.DataFrame
    styles: dict[str, Style] = field(default_factory=dict)
    words: dict[str, list[str]] = field(default_factory=dict)
    caption: str = ""

    @property
    def right(self) -> frozenset[str]:
        """Headings of columns that are aligned at the right."""
        numeric = self.frame.select_dtypes("number").columns
        return frozenset({*map(str, numeric), *self.styles, *self.words})

    def texts(self) -> pd.DataFrame:
        """The same table with every cell as text.

        Returns
        -------
        DataFrame
            Of str; what is missing is a dash.
        """
        shown = {}
        for name in map(str, self.frame.columns):
            if name in self.words:
                shown[name] = self.words[name]
                continue
            write: Callable[[Any], str] = self.styles[name].write if name in self.styles else _plain
            shown[name] = [
                NONE if _missing(cell) else write(cell) for cell in self.frame[name].tolist()
            ]
        return pd.DataFrame(shown, index=self.frame.index, dtype="str")


def suspects_table(frame: pd.DataFrame, top: int | None = 20) -> DisplayTable:
    """Ranked suspects for a reader.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.ranking.Ranking.frame`.
    top : int or None, default 20
        How many rows; None: all.

    Returns
    -------
    DisplayTable
        One row per suspect; the interval of the risk ratio is one text column.
    """
    shown = frame if top is None else frame.head(top)
    intervals = [
        interval(low, high)
        for low, high in zip(shown["risk_ratio_low"], shown["risk_ratio_high"], strict=True)
    ]
    table = pd.DataFrame(
        {
            "rank": shown["rank"],
            "factor": shown["family"],
            "level": shown["level"],
            "kind": shown["kind"],
            "affected, exposed": shown["affected_exposed"],
            "exposed": shown["exposed"],
            "affected, others": shown["affected_unexposed"],
            "others": shown["unexposed"],
            "not recorded": shown["unknown"],
            "risk ratio": shown["risk_ratio"],
            "95 % interval": pd.Series(intervals, index=shown.index, dtype="str"),
            "Fisher p": shown["p_fisher"].mask(shown["p_fisher"] < SMALLEST_SHOWN),
            "log10 p": shown["log10_p_fisher"].round(2),
            "q": shown["q_bh"].mask(shown["q_bh"] < SMALLEST_SHOWN),
        }
    )
    return DisplayTable(
        table.reset_index(drop=True),
        {
            **dict.fromkeys(
                (
                    "rank",
                    "affected, exposed",
                    "exposed",
                    "affected, others",
                    "others",
                    "not recorded",
                ),
                COUNT,
            ),
            "risk ratio": RATIO,
            "Fisher p": CHANCE,
            "log10 p": TENTHS,
            "q": CHANCE,
        },
        {
            "Fisher p": [
                chance(p, log10)
                for p, log10 in zip(shown["p_fisher"], shown["log10_p_fisher"], strict=True)
            ],
            "q": [chance(q) for q in shown["q_bh"]],
        },
        caption=_caption(len(table), len(frame), "level"),
    )


def beside_table(frame: pd.DataFrame, top: int = 15) -> DisplayTable:
    """Ranked suspects in few columns, to stand beside their figure.

    Parameters
    ----------
    frame : DataFrame
        :attr:`~tracegraph.analysis.ranking.Ranking.frame`.
    top : int, default 15
        How many rows.

    Returns
    -------
    DisplayTable
        Rank, name, both pairs of counts, and the chances.
    """
    shown = frame.head(top)
    full = suspects_table(frame, top)
    table = pd.DataFrame(
        {
            "rank": shown["rank"],
            "shared factor": shown["family"] + " " + shown["level"],
            "affected with it": _pairs(shown["affected_exposed"], shown["exposed"]),
            "affected others": _pairs(shown["affected_unexposed"], shown["unexposed"]),
        }
    ).reset_index(drop=True)
    table["Fisher p"] = full.frame["Fisher p"]
    table["q"] = full.frame["q"]
    return DisplayTable(
        table,
        {"rank": COUNT, "Fisher p": CHANCE, "q": CHANCE},
        {name: full.words[name] for name in ("Fisher p", "q")},
        full.caption,
    )


def left_out_table(left_out: Mapping[str, int]) -> DisplayTable:
    """Who is not in the comparison, by reason."""
    table = pd.DataFrame(
        {
            "left out": pd.Series(list(left_out), dtype="str"),
            "count": pd.Series(list(left_out.values()), dtype="int64"),
        }
    )
    return DisplayTable(table, {"count": COUNT}, caption=_caption(len(table), len(table), "reason"))


def ranking_as_json(ranking: Ranking, top: int | None = 20) -> dict[str, Any]:
    """A ranking as plain values.

    Parameters
    ----------
    ranking : Ranking
        As computed.
    top : int or None, default 20
        How many suspects; None: all.

    Returns
    -------
    dict
        ``definition``, ``sentence``, ``data_version``, ``people_reason``, ``cohort``,
        ``tested``, ``verdict`` (null in the order of Fisher), ``suspects``. A number that
        cannot be computed, is infinite or is too small for a float is null, with its
        reason in ``reading``.
    """
    cohort = ranking.cohort
    return {
        "definition": ranking.definition.as_json(),
        "sentence": ranking.definition.sentence(),
        "data_version": ranking.data_version,
        "people_reason": ranking.people_reason,
        "order": ranking.order,
        "cohort": {
            "affected": cohort.affected,
            "at_risk": cohort.at_risk,
            "left_out": dict(cohort.left_out),
            "ladder": dict(cohort.ladder),
            "remarks": [*cohort.remarks, *ranking.remarks],
        },
        "tested": {"families": ranking.families, "levels": ranking.levels},
        "verdict": None if ranking.verdict is None else verdict_as_json(ranking.verdict),
        "suspects": suspects_as_json(ranking.frame, top),
    }


def sheet_ranking_as_json(ranking: TableRanking, top: int | None = 20) -> dict[str, Any]:
    """The ranking of a flat sheet as plain values; see :func:`ranking_as_json`."""
    return {
        "definition": {
            "unit": ranking.unit,
            "affected": ranking.outcome,
            "stratify": list(ranking.stratify),
        },
        "cohort": {
            "affected": ranking.affected,
            "at_risk": ranking.at_risk,
            "left_out": dict(ranking.left_out),
        },
        "tested": {"families": ranking.families, "levels": ranking.levels},
        "suspects": suspects_as_json(ranking.frame, top, units="units"),
    }


def suspects_as_json(
    frame: pd.DataFrame, top: int | None = 20, *, units: str = "hulls"
) -> list[dict[str, Any]]:
    """Suspects as plain values, best first, each with its reading."""
    shown = frame if top is None else frame.head(top)
    suspects = []
    for row in shown.to_dict("records"):
        keys = SUSPECT_KEYS + tuple(
            key for key in (*STRATIFIED_KEYS, *MATCHED_COLUMNS) if key in row
        )
        suspect = {key: _plain_value(key, row[key]) for key in keys}
        suspect["reading"] = reading({str(k): v for k, v in row.items()}, units=units)
        suspects.append(suspect)
    return suspects


def _plain_value(key: str, value: Any) -> Any:
    if key == "aliases":
        return [dict(zip(("family", "level", "jaccard"), one, strict=True)) for one in value]
    if isinstance(value, tuple):
        return list(value)
    if value is pd.NA:
        return None
    if hasattr(value, "item"):
        value = value.item()
    if isinstance(value, float):
        if not math.isfinite(value) or (key in _CHANCES and value < SMALLEST_SHOWN):
            return None
        return value
    return value


def _caption(shown: int, total: int, one: str) -> str:
    if shown == total:
        return f"{plural(total, one)}."
    return f"The first {count(shown)} of {count(total)} {one}s."


def _pairs(parts: pd.Series[int], wholes: pd.Series[int]) -> list[str]:
    return [of(part, whole) for part, whole in zip(parts, wholes, strict=True)]


def _missing(cell: Any) -> bool:
    return cell is None or cell is pd.NaT or cell is pd.NA or cell != cell


def _plain(cell: Any) -> str:
    if isinstance(cell, pd.Timestamp):
        return moment(cell)
    return day(cell) if isinstance(cell, date) else str(cell)
