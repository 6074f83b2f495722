"""What was received of a lot against what is accounted for: a check of the list from outside."""

from __future__ import annotations

import math
from dataclasses import dataclass

import networkx as nx
import numpy as np
import pandas as pd

from tracegraph.analysis.containing.chances import Chances
from tracegraph.analysis.naming import Suspect
from tracegraph.genealogy import node_id, shares
from tracegraph.store import Connection

LARGE_USE = 0.95
"""A hull's use of a lot is taken to be no larger than this point of the recorded ones."""


@dataclass(frozen=True)
class MassBalance:
    """Received less on hand, scrapped and recorded as used.

    Attributes
    ----------
    unit : str or None
        Unit of the amounts; ``pulls`` for a mold.
    received, on_hand, scrapped, used : float
        Amounts; a blank counts as none on hand, none scrapped.
    unaccounted : float
        What is left over; below zero when more was used than received.
    without_amount : int
        Recorded uses without an amount, taken at the usual one.
    per_hull : float
        A large use of one hull.
    hulls_at_least : int
        Fewest hulls that the amount unaccounted for must have gone into.
    hulls_expected : float
        Sum of the chances of the hulls whose record is missing, over all parts and steps.
    reason : str or None
        Why no balance can be drawn; the numbers are then nan.
    """

    unit: str | None
    received: float
    on_hand: float
    scrapped: float
    used: float
    unaccounted: float
    without_amount: int
    per_hull: float
    hulls_at_least: int
    hulls_expected: float
    reason: str | None = None

    @property
    def closes(self) -> bool | None:
        """Whether the hulls in doubt explain what is unaccounted for; None: cannot be said.

        They do when the fewest hulls needed are no more than the sum of chances, one hull
        or a fifth over it allowed.
        """
        if self.reason is not None:
            return None
        allowed = self.hulls_expected + max(1.0, 0.2 * self.hulls_expected)
        return self.hulls_at_least <= allowed and self.unaccounted >= -self.per_hull


def mass_balance(
    session: Connection, suspect: Suspect, material: str, lot_no: str, chances: Chances | None
) -> MassBalance:
    """Draw the balance of one lot.

    Parameters
    ----------
    session : Connection
        Line to a store.
    suspect : Suspect
        The lot, or a drum of it.
    material, lot_no : str
        The lot.
    chances : Chances or None
        What neighbours told of the uses whose record is missing.

    Returns
    -------
    MassBalance
        Use within blends counts by the lot's share.
    """
    expected = _hulls_expected(chances)
    lots = session.frame("contain/received", {"material": material, "lot_no": lot_no})
    if lots.empty or lots["received_qty"].isna().any():
        return _none(expected, "the amount received was not written down")
    asked = {"material": material, "lot_no": lot_no, "supplier": None}
    session.run("contain/carrying_lots", asked)
    used = session.frame("contain/used_up")
    units = {*lots["unit"].dropna(), *used.loc[used["quantity"].notna(), "unit"].dropna()}
    if len(units) > 1:
        return _none(expected, f"amounts are in different units: {', '.join(sorted(units))}")
    usual = used.groupby(["part", "step", "material"], dropna=False)["quantity"].transform("median")
    if used["quantity"].fillna(usual).isna().any() or used.empty:
        return _none(expected, "no amount used was written down")
    share = _shares(session.frame("contain/blended"), material, lot_no)
    names = used["material"] + "|" + used["lot_no"]
    amount = used["quantity"].fillna(usual) * names.map(share).fillna(0.0)
    per_hull = amount.groupby(used["hull_id"]).sum()
    large = float(per_hull.quantile(LARGE_USE)) if len(per_hull) else math.nan
    received, on_hand, scrapped = (
        float(lots[name].fillna(0.0).sum())
        for name in ("received_qty", "on_hand_qty", "scrapped_qty")
    )
    left = received - on_hand - scrapped - float(amount.sum())
    return MassBalance(
        unit=next(iter(units), None),
        received=received,
        on_hand=on_hand,
        scrapped=scrapped,
        used=float(amount.sum()),
        unaccounted=left,
        without_amount=int(used["quantity"].isna().sum()),
        per_hull=large,
        hulls_at_least=max(0, math.floor(left / large + 1e-9)) if large > 0 else 0,
        hulls_expected=expected,
    )


def pull_balance(session: Connection, mold_no: str, chances: Chances | None) -> MassBalance:
    """Count the pulls of a mold that belong to no recorded part.

    Parameters
    ----------
    session : Connection
        Line to a store.
    mold_no : str
        The mold.
    chances : Chances or None
        What neighbours told of the parts whose mold is missing.

    Returns
    -------
    MassBalance
        In pulls.
    """
    expected = _hulls_expected(chances)
    first, last, recorded = session.named_rows("contain/mold_pulls", {"mold_no": mold_no})[0]
    if not recorded:
        return _none(expected, "pulls were not counted")
    made = float(last - first + 1)
    return MassBalance(
        "pulls", made, 0.0, 0.0, float(recorded), made - recorded, 0, 1.0,
        int(made - recorded), expected,
    )  # fmt: skip


def _hulls_expected(chances: Chances | None) -> float:
    if chances is None:
        return 0.0
    told = chances.uses["chance"].clip(upper=1.0).fillna(0.0)
    spared = (1.0 - told).groupby(chances.uses["hull_id"]).prod()
    return float((1.0 - spared).sum())


def _none(expected: float, reason: str) -> MassBalance:
    nan = math.nan
    return MassBalance(None, nan, nan, nan, nan, nan, 0, nan, 0, expected, reason)


def _shares(blended: pd.DataFrame, material: str, lot_no: str) -> dict[str, float]:
    """Share of the lot in itself and in every blend that holds it, by MATERIAL|LOT."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    start = node_id("lot", f"{material}|{lot_no}")
    graph.add_node(start, kind="lot")
    for row in blended.to_dict("records"):
        later = node_id("lot", f"{row['material']}|{row['lot_no']}")
        earlier = node_id("lot", f"{row['parent_material']}|{row['parent_lot_no']}")
        for node in (later, earlier):
            graph.add_node(node, kind="lot")
        already = graph.get_edge_data(later, earlier, {"share": 0.0})["share"]
        graph.add_edge(later, earlier, share=already + float(row["share"]))
    found = shares(graph, start, "downstream") | {start: 1.0}
    # A loop leaves the share open; all of it is then taken, so that no hull is missed.
    return {name[4:]: 1.0 if np.isnan(share) else share for name, share in found.items()}
