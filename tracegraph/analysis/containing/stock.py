"""What lay in the store on a day."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.containing.uses import UsesInTime, days
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.store import Connection


@dataclass(frozen=True, eq=False)
class Spans:
    """From when to when each thing could have been used; one entry per name.

    Attributes
    ----------
    first, last : array of float
        Days.
    """

    first: Floats
    last: Floats

    def there(self, at: Floats, which: Bools | None = None) -> Ints:
        """How many things, among the marked ones, were there at each of some times."""
        first, last = self.first, self.last
        if which is not None:
            first, last = first[which], last[which]
        came = np.searchsorted(np.sort(first), at, side="right")
        went = np.searchsorted(np.sort(last), at, side="left")
        return np.asarray(came - went, np.int64)


def spans_in_stock(session: Connection, found: UsesInTime) -> Spans:
    """From when to when each lot lay in the store.

    A lot is there from its receipt (its first recorded use where none is recorded) to its
    last recorded use. One of which some is still on hand, or is not accounted for, may
    have been used until it expired.

    Parameters
    ----------
    session : Connection
        Line to a store.
    found : UsesInTime
        Recorded uses.

    Returns
    -------
    Spans
        In the order of ``found.names``. For things that are no lots, first to last use;
        for the drums of one lot, first to last use of any of them.
    """
    at = np.repeat(found.table["at"].to_numpy(np.float64), found.values.shape[1])
    code = found.values.ravel()
    seen = code >= 0
    first, last = np.full(len(found.names), np.inf), np.full(len(found.names), -np.inf)
    np.minimum.at(first, code[seen], at[seen])
    np.maximum.at(last, code[seen], at[seen])
    if found.one_lot and found.names:
        first[:], last[:] = first.min(), last.max()
    if found.material is None or not found.names:
        return Spans(first, last)
    lots = session.frame("contain/stock", {"lots": found.names}).set_index("name")
    lots = lots.reindex(found.names)
    received, expires = days(lots["received_on"]), days(lots["expires_on"])
    left = lots["left"].fillna(False).to_numpy(bool)
    until = np.where(np.isnan(expires), np.inf, expires + 1.0)
    return Spans(np.fmin(first, received), np.where(left, np.maximum(last, until), last))
