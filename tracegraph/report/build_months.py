"""Claims by period of building and months in service, in words and tables."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracegraph.analysis.timing.cohorts import COMPLETE, NOT_YET, BuildCohorts
from tracegraph.report.numbers import NONE, amount, count, interval, plural
from tracegraph.report.plain import plain_rows
from tracegraph.report.tables import COUNT, RATIO, TENTHS, WHOLE, DisplayTable

READ_THROUGH = "so far"
"""Word beside a rate of which some hulls are still to come."""

MATURE = 0.05
"""Share of the claims to be expected up to the oldest age seen, below which a period is too
young for its claims to say anything."""


def build_month_sentences(found: BuildCohorts) -> tuple[str, ...]:
    """Which periods of building claim more than others followed as long, in words.

    Parameters
    ----------
    found : BuildCohorts
        As counted.
    """
    months = found.months
    if months.empty:
        return ("No hull has a build date: claims cannot be laid out by period of building.",)
    total = int(months["observed"].sum())
    young = int((months["maturity"].fillna(0.0) < MATURE).sum())
    said = [
        f"{plural(total, 'first claim')} of hulls built in {plural(len(months), 'period')}. A "
        "young period has few claims because it is young: each is set against hulls of the same "
        "models followed as long."
    ]
    raised = months[(months["low"] > 1.0) & (months["maturity"] >= MATURE)]
    if raised.empty:
        said.append("No period claims more than that, each looked at by itself.")
    else:
        rows = [
            f"{period_name(row['built_month'], found.period)} ({count(row['observed'])} where "
            f"{amount(row['expected'])} were to be expected)"
            for row in raised.sort_values("ratio", ascending=False).to_dict("records")
        ]
        said.append(f"More than that, each looked at by itself: {'; '.join(rows)}.")
    if young:
        said.append(f"Too young to say anything: {plural(young, 'period')}.")
    if found.undated:
        said.append(f"{plural(found.undated, 'hull')} without a build date stand in no row.")
    return tuple(said)


def triangle_table(found: BuildCohorts) -> DisplayTable:
    """Claims per 100 hulls, a row per period of building, a column per stretch of service.

    Parameters
    ----------
    found : BuildCohorts
        As counted.

    Returns
    -------
    DisplayTable
        A cell of which some hulls are still to come bears the words "so far"; one that no
        hull has reached says "not yet"; a dash is a cell that all its hulls left before.
    """
    months = found.months
    table = pd.DataFrame(
        {
            "built": [period_name(month, found.period) for month in months["built_month"]],
            "hulls": months["hulls"],
        }
    )
    cells = found.cells
    for last, column in cells.groupby("to_month", sort=True):
        told = column.set_index("built_month").reindex(months["built_month"])
        table[stretch_name(column["from_month"].iloc[0], last)] = [
            cell_text(per_100, state)
            for per_100, state in zip(told["per_100"], told["state"], strict=True)
        ]
    return DisplayTable(
        table,
        {"hulls": COUNT},
        caption=f"First claims per 100 hulls in each stretch of months in service. {READ_THROUGH}: "
        "some hulls have not been followed to its end; not yet: none has.",
    )


def against_expected_table(found: BuildCohorts) -> DisplayTable:
    """Claims of each period of building against those of hulls followed as long.

    Parameters
    ----------
    found : BuildCohorts
        As counted.
    """
    months = found.months
    table = pd.DataFrame(
        {
            "built": [period_name(month, found.period) for month in months["built_month"]],
            "hulls": months["hulls"],
            "delivered": months["delivered"],
            "first claims": months["observed"],
            "expected": months["expected"],
            "ratio": months["ratio"],
            "95 % interval": [
                interval(low, high) for low, high in zip(months["low"], months["high"], strict=True)
            ],
            "maturity, %": 100.0 * months["maturity"],
        }
    )
    return DisplayTable(
        table,
        {
            "hulls": COUNT,
            "delivered": COUNT,
            "first claims": COUNT,
            "expected": TENTHS,
            "ratio": RATIO,
            "maturity, %": WHOLE,
        },
        caption="Expected: of hulls of the same models followed as long. Maturity: share of the "
        "claims up to the oldest age seen that the follow-up so far covers.",
    )


def cells_table(found: BuildCohorts) -> DisplayTable:
    """Every cell of the triangle with what it is made of, to be taken along.

    Parameters
    ----------
    found : BuildCohorts
        As counted.
    """
    cells = found.cells
    table = pd.DataFrame(
        {
            "built": [period_name(month, found.period) for month in cells["built_month"]],
            "months in service": [
                stretch_name(first, last)
                for first, last in zip(cells["from_month"], cells["to_month"], strict=True)
            ],
            "followed to its end": cells["followed"],
            "still to come": cells["waiting"],
            "hull months": cells["hull_months"],
            "first claims": cells["claims"],
            "per 100 hulls": cells["per_100"],
            "per 100 hulls up to here": cells["so_far"],
            "state": cells["state"],
        }
    )
    whole = ("followed to its end", "still to come", "hull months", "first claims")
    return DisplayTable(
        table,
        {
            **dict.fromkeys(whole, COUNT),
            "per 100 hulls": TENTHS,
            "per 100 hulls up to here": TENTHS,
        },
        caption=f"{plural(len(table), 'cell')}.",
    )


def build_months_as_json(found: BuildCohorts) -> dict[str, Any]:
    """Both frames as plain values.

    Parameters
    ----------
    found : BuildCohorts
        As counted.

    Returns
    -------
    dict
        ``definition``, ``sentence``, ``data_version``, ``reading``, ``months_to_a_row``,
        ``months_to_a_column``, ``undated``, ``cells``, ``periods``.
    """
    return {
        "definition": found.definition.as_json(),
        "sentence": found.definition.sentence(),
        "data_version": found.data_version,
        "reading": list(build_month_sentences(found)),
        "months_to_a_row": found.period,
        "months_to_a_column": found.width,
        "undated": found.undated,
        "cells": plain_rows(found.cells),
        "periods": plain_rows(found.months),
    }


def period_name(first: pd.Timestamp, period: int) -> str:
    """A period of building by its months.

    Examples
    --------
    >>> period_name(pd.Timestamp("2025-04-01"), 3), period_name(pd.Timestamp("2025-04-01"), 1)
    ('2025-04 to 06', '2025-04')
    """
    if period == 1:
        return f"{first:%Y-%m}"
    return f"{first:%Y-%m} to {first.month + period - 1:02d}"


def stretch_name(first: Any, last: Any) -> str:
    """A stretch of months in service.

    Examples
    --------
    >>> stretch_name(4, 6), stretch_name(5, 5)
    ('4–6', '5')
    """
    return str(last) if first == last else f"{first}–{last}"


def cell_text(per_100: float, state: str) -> str:
    """A rate with the word that says whether it is complete.

    Examples
    --------
    >>> cell_text(2.14, "complete"), cell_text(2.14, "partial"), cell_text(float("nan"), "not yet")
    ('2.1', '2.1 so far', 'not yet')
    """
    if state == NOT_YET:
        return NOT_YET
    text = NONE if per_100 != per_100 else f"{per_100:.1f}"
    return text if state == COMPLETE else f"{text} {READ_THROUGH}"
