"""Numbers that lead nowhere and what people said they mean, in words and tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

import pandas as pd

from tracegraph.domain.acts import Act, Meaning
from tracegraph.report.numbers import count, plural
from tracegraph.report.tables import COUNT, DisplayTable


def near_sentence(offers: pd.DataFrame) -> str:
    """How many numbers lead nowhere although others are near.

    Parameters
    ----------
    offers : DataFrame
        ``link``, ``written``, ``near``, ``reason``, ``records``: one row per offer.

    Examples
    --------
    >>> near_sentence(pd.DataFrame(columns=["link", "written", "near", "reason", "records"]))
    'No number that leads nowhere has another near it.'
    """
    if offers.empty:
        return "No number that leads nowhere has another near it."
    numbers = len(offers[["link", "written"]].drop_duplicates())
    return (
        f"{plural(numbers, 'number')} {'leads' if numbers == 1 else 'lead'} nowhere and "
        f"{'has' if numbers == 1 else 'have'} others near: {plural(len(offers), 'offer')}. Nothing "
        "is taken for another until a person says so; the record keeps what was written."
    )


def near_table(offers: pd.DataFrame) -> DisplayTable:
    """What a number that leads nowhere may stand for, with the reason."""
    table = pd.DataFrame(
        {
            "link": offers["link"],
            "written": offers["written"],
            "may stand for": offers["near"],
            "why it is near": offers["reason"],
            "records": offers["records"],
        }
    )
    return DisplayTable(table, {"records": COUNT}, caption=f"{plural(len(table), 'offer')}.")


def acts_table(acts: Sequence[Act]) -> DisplayTable:
    """Everything that people said about numbers, oldest first."""
    rows = [asdict(act) for act in acts]
    heads = {
        "at": "written down",
        "who": "who",
        "act": "what",
        "link": "link",
        "written": "written",
        "meant": "stands for",
        "reason": "why",
    }
    table = pd.DataFrame(rows, columns=list(heads), dtype="object").rename(columns=heads)
    return DisplayTable(table, caption=f"{plural(len(table), 'act')}; none is ever edited.")


def meaning_line(meaning: Meaning) -> str:
    """A meaning in force on one line.

    Examples
    --------
    >>> meaning_line(Meaning("claim to hull", "BT-1O", "BT-10"))
    'BT-1O stands for BT-10 (claim to hull)'
    """
    return f"{meaning.written} stands for {meaning.meant} ({meaning.link})"


def offer_line(link: str, written: str, near: str, records: int) -> str:
    """An offer on one line.

    Examples
    --------
    >>> offer_line("claim to hull", "BT-1O", "BT-10", 2)
    'BT-1O may stand for BT-10 (claim to hull, 2 records)'
    """
    many = f"{count(records)} record{'' if records == 1 else 's'}"
    return f"{written} may stand for {near} ({link}, {many})"
