"""Affected hulls beside matched unaffected ones, in words and tables."""

from __future__ import annotations

import pandas as pd

from tracegraph.analysis.contrast import Contrast
from tracegraph.report.numbers import NONE, amount, count, interval, of, plural, ratio
from tracegraph.report.tables import AMOUNT, CHANCE, COUNT, DisplayTable


def contrast_sentences(found: Contrast) -> tuple[str, ...]:
    """How the affected hulls were matched, and what sets them apart most.

    Parameters
    ----------
    found : Contrast
        Affected hulls beside matched unaffected ones.

    Returns
    -------
    tuple of str
        Matching first; then the most telling level; then what the numbers do not say.
    """
    sets = int(found.pairs["affected"].nunique())
    said = [
        f"{plural(sets, 'affected hull')} beside {plural(len(found.pairs), 'unaffected one')} of "
        "the same model, built nearest and followed as long."
    ]
    if len(found.pairs):
        said.append(f"The middle gap in building is {amount(_middle_gap(found))} days.")
    if found.unmatched:
        names = ", ".join(found.unmatched[:5])
        more = " and more" if len(found.unmatched) > 5 else ""
        said.append(f"No unaffected hull fits beside {names}{more}.")
    if len(found.levels):
        row = found.levels.to_dict("records")[0]
        said.append(
            f"Most telling: {row['family']} {row['level']}, on "
            f"{of(row['affected_with'], row['affected_known'])} affected hulls and "
            f"{of(row['unaffected_with'], row['unaffected_known'])} beside them; "
            f"{amount(row['expected'])} expected; rate ratio {ratio(row['rate_ratio'])}, 95 % "
            f"interval {interval(row['rate_ratio_low'], row['rate_ratio_high'])}."
        )
    said.append(
        f"{count(len(found.levels))} levels were looked at; the most telling of so many looks "
        "telling by chance too. A ranking of the whole plant judges that: tracegraph rank."
    )
    return tuple(said)


def contrast_table(found: Contrast, *, top: int | None = None) -> DisplayTable:
    """Levels that the affected hulls carry, the most telling first.

    Parameters
    ----------
    found : Contrast
        Affected hulls beside matched unaffected ones.
    top : int, optional
        Rows to show; all when left out.
    """
    rows = found.levels if top is None else found.levels.head(top)
    table = pd.DataFrame(
        {
            "family": rows["family"],
            "level": rows["level"],
            "affected with it": rows["affected_with"],
            "beside them": rows["unaffected_with"],
            "expected": rows["expected"],
            "rate ratio": rows["rate_ratio"],
            "chance": rows["p_greater"],
        }
    ).reset_index(drop=True)
    records = rows.to_dict("records")
    words = {
        "affected with it": [of(r["affected_with"], r["affected_known"]) for r in records],
        "beside them": [of(r["unaffected_with"], r["unaffected_known"]) for r in records],
        "rate ratio": [_with_limits(r) for r in records],
    }
    return DisplayTable(
        table,
        {"expected": AMOUNT, "chance": CHANCE},
        words,
        caption=f"{plural(len(found.levels), 'level')}; chance is that of one looked at alone.",
    )


def pairs_table(found: Contrast) -> DisplayTable:
    """Which unaffected hulls stand beside which affected one."""
    table = found.pairs.rename(columns={"days": "days later"})
    return DisplayTable(
        table, {"days later": COUNT}, caption=f"{plural(len(table), 'unaffected hull')}."
    )


def _middle_gap(found: Contrast) -> float:
    return float(found.pairs["days"].abs().median())


def _with_limits(row: dict[object, float]) -> str:
    if row["rate_ratio"] != row["rate_ratio"]:
        return NONE
    return f"{ratio(row['rate_ratio'])} ({ratio(row['rate_ratio_low'])} to " + (
        f"{ratio(row['rate_ratio_high'])})"
    )
