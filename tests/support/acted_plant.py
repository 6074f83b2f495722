"""Plants in which a suspect was found by its claims and then acted upon."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd

ACTED_ON = date(2023, 1, 1)
MOLDS = 12


def acted_plant(
    seed: int, *, ratio: float, left: float, months: int = 24, risk: float = 0.004
) -> pd.DataFrame:
    """Hulls of a plant of twelve molds; the mold with the most claims before is acted upon.

    Parameters
    ----------
    seed : int
        Same seed, same plant.
    ratio : float
        Rate ratio of the first mold before the action.
    left : float
        Rate ratio of the mold acted upon after it; the same as ``ratio``: nothing was done.
    months : int
        Months of building after the action, 450 hulls in two years; hulls are followed for
        90 days more.
    risk : float
        Chance of a case per month of service.

    Returns
    -------
    DataFrame
        ``built_on``, ``follow_months``, ``case_month``, ``carries``.
    """
    rng = np.random.default_rng(seed)
    days = (24 + months) * 365 // 12
    day = np.sort(rng.integers(0, days, 450 * days // 730))
    built = np.datetime64("2021-01-01") + day.astype("timedelta64[D]")
    mold = rng.integers(0, MOLDS, len(day))
    follow = ((days + 90 - day) // 30).astype(np.int64)
    late = built >= np.datetime64(ACTED_ON)
    rate = np.where(mold == 0, np.where(late, left, ratio), 1.0) * risk
    month = rng.geometric(rate)
    case = np.where(month <= follow, month, np.nan)
    frame = pd.DataFrame(
        {"built_on": built.astype("datetime64[us]"), "follow_months": follow, "case_month": case}
    )
    early = frame[~late]
    share = early["case_month"].notna().groupby(mold[~late]).mean()
    # The accused mold need not be the bad one: then it goes on as it was.
    frame["carries"] = mold == int(share.idxmax())
    return frame
