"""Measured conditions of the work against the claims, in words, tables and plain values."""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

import pandas as pd

from tracegraph.analysis.conditions.detail import Condition
from tracegraph.analysis.conditions.ranks import MEANINGS, NONE
from tracegraph.analysis.conditions.table import Conditions
from tracegraph.report.numbers import (
    amount,
    chance,
    count,
    interval,
    measured,
    of,
    plural,
    unit_sign,
)
from tracegraph.report.plain import plain_rows
from tracegraph.report.tables import AMOUNT, CHANCE, COUNT, RATIO, TENTHS, DisplayTable

NAMED = 5
"""Conditions named in words."""

_ALLOWED = {
    "nothing": "hulls at risk at the same age",
    "model and month": "the same, model and month of the year allowed for",
    "week": "others of the same week",
}

_POPULATIONS = {
    "risk sets": "hulls at risk at the same age",
    "risk sets with season": "the same, model and month of the year allowed for",
    "landmark": "the plain table",
}

Row = dict[Hashable, Any]


def conditions_sentences(found: Conditions) -> tuple[str, ...]:
    """Which conditions go with the claims, in words.

    Parameters
    ----------
    found : Conditions
        As tested.
    """
    frame = found.frame
    tested = frame[frame["p_value"].notna()]
    if tested.empty:
        return ("No measured condition has a value on an affected hull: there is nothing to test.",)
    standing = tested[tested["reading"] != NONE]
    said = [
        f"{plural(len(tested), 'measured condition')} tested as measured, without cutting them "
        "into classes: each affected hull takes its rank among the hulls at risk at its age."
    ]
    if standing.empty:
        first = tested.to_dict("records")[0]
        return (
            *said,
            f"None goes with the claims once all are paid for. The nearest: "
            f"{_differs(first)} (p {chance(first['p_value'])}, q {chance(first['q_bh'])}).",
        )
    said += [condition_sentence(row) for row in standing.head(NAMED).to_dict("records")]
    if len(standing) > NAMED:
        said.append(f"And {plural(len(standing) - NAMED, 'more condition')}, in the table.")
    said.append(
        "Conditions that follow from each other come out together: the test cannot say which of "
        "them is the cause."
    )
    return tuple(said)


def condition_sentence(row: Row) -> str:
    """One condition in one sentence.

    Parameters
    ----------
    row : dict
        A row of :attr:`~tracegraph.analysis.conditions.table.Conditions.frame`.
    """
    if row["p_value"] != row["p_value"]:
        return f"{row['family']}: no affected hull has a value."
    return (
        f"{_differs(row)} (z {amount(row['z'])}, p {chance(row['p_value'])}, "
        f"q {chance(row['q_bh'])}): {MEANINGS[row['reading']]}."
    )


def _differs(row: Row) -> str:
    return (
        f"{row['family']} is {'higher' if row['z'] > 0 else 'lower'} on affected hulls, median "
        f"{measured(row['median_affected'], row['unit'])} against "
        f"{measured(row['median'], row['unit'])} on hulls at risk"
    )


def conditions_table(found: Conditions, top: int | None = 20) -> DisplayTable:
    """Measured conditions, the least likely by chance first.

    Parameters
    ----------
    found : Conditions
        As tested.
    top : int or None, default 20
        How many rows; None: all.
    """
    frame = found.frame
    shown = frame if top is None else frame.head(top)
    table = pd.DataFrame(
        {
            "condition": shown["family"],
            "reads": shown["reading"],
            "kind": shown["kind"],
            "unit": [unit_sign(unit) for unit in shown["unit"]],
            "median, affected": shown["median_affected"],
            "median, at risk": shown["median"],
            "cases with a value": [
                of(part, part + missing)
                for part, missing in zip(shown["cases"], shown["unknown_cases"], strict=True)
            ],
            "z": shown["z"],
            "p": shown["p_value"],
            "q": shown["q_bh"],
            "p within months": shown["p_season"],
            "p within weeks": shown["p_week"],
        }
    )
    amounts = dict.fromkeys(("median, affected", "median, at risk", "z"), AMOUNT)
    chances = dict.fromkeys(("p", "q", "p within months", "p within weeks"), CHANCE)
    said = "" if len(shown) == len(frame) else f"The first {count(len(shown))} of "
    return DisplayTable(
        table.reset_index(drop=True),
        {**amounts, **chances},
        caption=f"{said}{plural(len(frame), 'condition')}; z above 0: affected hulls have higher "
        "values.",
    )


def detail_sentences(found: Condition) -> tuple[str, ...]:
    """One condition from all sides, in words.

    Parameters
    ----------
    found : Condition
        As examined.
    """
    said = []
    if found.tests["cases"].iloc[0]:
        rows = [
            f"against {_ALLOWED[row['allowed_for']]} z {amount(row['z'])}, "
            f"p {chance(row['p_value'])}"
            for row in found.tests.to_dict("records")
        ]
        said.append(f"Rank test of {found.family}: {'; '.join(rows)}.")
    said.append(
        f"Cases spread so unevenly over its bands with chance {chance(found.p_bands)} "
        f"({count(found.resamples)} resamples), high and low ends alike."
    )
    said += [_cut_words(row, found.unit) for row in found.cuts.to_dict("records")[:1]]
    if found.unknown:
        said.append(
            f"No value on {plural(found.unknown, 'hull')} at risk, "
            f"{count(found.unknown_cases) if found.unknown_cases else 'none'} of them affected: "
            "these are left out."
        )
    return tuple(said)


def _cut_words(row: Row, unit: str | None) -> str:
    if not row["cuts"]:
        return "There is no cut to try: too few different values."
    where = "at or below" if row["side"] == "below" else "above"
    return (
        f"The best of {plural(row['cuts'], 'cut')}: {count(row['observed'])} cases {where} "
        f"{measured(row['cut'], unit)}, where {amount(row['expected'])} were to be expected; a "
        f"search finds as much in claims dealt out by chance with p {chance(row['p_value'])}."
    )


def detail_tables(found: Condition) -> list[tuple[str, DisplayTable]]:
    """Bands and best cuts of one condition, each with its heading.

    Parameters
    ----------
    found : Condition
        As examined.
    """
    bands, cuts, plain = found.bands, found.cuts, found.plain
    in_bands = pd.DataFrame(
        {
            "band": bands["band"],
            "hulls": bands["hulls"],
            "cases": bands["observed"],
            "expected": bands["expected"],
            "rate ratio": bands["rate_ratio"],
            "95 % interval": [
                interval(low, high)
                for low, high in zip(bands["rate_ratio_low"], bands["rate_ratio_high"], strict=True)
            ],
        }
    )
    best = pd.DataFrame(
        {
            "compared with": cuts["population"].map(_POPULATIONS),
            "cut": [
                f"{'at or below' if side == 'below' else 'above'} {measured(cut, found.unit)}"
                for cut, side in zip(cuts["cut"], cuts["side"], strict=True)
            ],
            "hulls": cuts["hulls"],
            "cases": cuts["observed"],
            "expected": cuts["expected"],
            "z": cuts["z"].abs(),
            "p of the search": cuts["p_value"],
            "cuts tried": cuts["cuts"],
        }
    )
    on_plain = pd.DataFrame(
        {
            "test": plain["test"],
            "affected": plain["affected"],
            "others": plain["others"],
            "z": plain["z"],
            "p": plain["p_value"],
            "how": plain["exact"].map({True: "exact", False: "normal law"}),
        }
    )
    numbers = {"hulls": COUNT, "cases": COUNT, "expected": TENTHS, "rate ratio": RATIO}
    return [
        (
            "Bands, and the lowest and highest tenth",
            DisplayTable(
                in_bands,
                numbers,
                caption="Bands are fifths of the whole production, fixed before any claim is "
                "looked at. Each against all other hulls, models allowed for.",
            ),
        ),
        (
            "Where claims differ most",
            DisplayTable(
                best,
                {**numbers, "z": AMOUNT, "p of the search": CHANCE, "cuts tried": COUNT},
                caption="A cut that was searched for is worth only what the search would find in "
                "claims dealt out by chance.",
            ),
        ),
        (
            "On the plain table",
            DisplayTable(
                on_plain,
                {"affected": COUNT, "others": COUNT, "z": AMOUNT, "p": CHANCE},
                caption="Permutation tests, two-sided, on hulls followed to the landmark.",
            ),
        ),
    ]


def conditions_as_json(found: Conditions, top: int | None = None) -> dict[str, Any]:
    """Tested conditions as plain values.

    Parameters
    ----------
    found : Conditions
        As tested.
    top : int or None
        How many; None: all.

    Returns
    -------
    dict
        ``definition``, ``sentence``, ``data_version``, ``reading``, ``conditions``, each
        with its ``reading`` and, in ``words``, its sentence.
    """
    frame = found.frame if top is None else found.frame.head(top)
    rows = plain_rows(frame)
    for row, original in zip(rows, frame.to_dict("records"), strict=True):
        row["words"] = condition_sentence(original)
    return {
        "definition": found.definition.as_json(),
        "sentence": found.definition.sentence(),
        "data_version": found.data_version,
        "reading": list(conditions_sentences(found)),
        "conditions": rows,
    }


def condition_as_json(found: Condition) -> dict[str, Any]:
    """One condition as plain values.

    Parameters
    ----------
    found : Condition
        As examined.

    Returns
    -------
    dict
        ``definition``, ``sentence``, ``data_version``, ``family``, ``unit``, ``reading``,
        ``tests``, ``plain``, ``bands``, ``p_bands``, ``cuts``, ``hulls``.
    """
    return {
        "definition": found.definition.as_json(),
        "sentence": found.definition.sentence(),
        "data_version": found.data_version,
        "family": found.family,
        "unit": found.unit,
        "reading": list(detail_sentences(found)),
        "resamples": found.resamples,
        "tests": plain_rows(found.tests),
        "plain": plain_rows(found.plain),
        "bands": plain_rows(found.bands),
        "p_bands": found.p_bands,
        "cuts": plain_rows(found.cuts),
        "hulls": plain_rows(found.hulls),
    }
