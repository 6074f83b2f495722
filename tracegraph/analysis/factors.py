"""One test of each family as a whole: does this factor matter at all.

The whole-factor test has little power for one bad lot among a hundred, so it never decides
which levels are looked at.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracegraph.analysis.cohort import draw_cohort
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.kinds import PEOPLE
from tracegraph.stats.multiplicity import adjust
from tracegraph.stats.whole_factor import whole_factor_test
from tracegraph.store import Store

CLOSER_LOOK = 0.01
"""Families that come out this small are drawn twenty times as often, so that their p can
pay for the number of families."""


def assess_families(
    store: Store, definition: CaseDefinition, *, people: bool = False, resamples: int = 1999
) -> pd.DataFrame:
    """Whole-factor test of every family.

    Parameters
    ----------
    store : Store
        Where the records are.
    definition : CaseDefinition
        Which claims count.
    people : bool, default False
        Whether families of people are tested too.
    resamples : int, default 1999
        Draws for families that the chi-square law does not suit; twenty times as many for
        those that come out small.

    Returns
    -------
    DataFrame
        Smallest p first: ``family``, ``kind``, ``levels``, ``hulls`` (with a complete
        record), ``statistic``, ``df``, ``p_value``, ``q_bh``, ``method`` (chi-square,
        resampled, not testable).
    """
    rows = []
    with store.session() as session:
        settled = draw_cohort(session, definition).definition
        seed = int(settled.fingerprint(), 16)
        families = session.rows(
            "SELECT family_id, family, kind FROM families "
            "WHERE $people OR kind <> $kind ORDER BY family_id",
            {"people": people, "kind": PEOPLE},
        )
        for family_id, family, kind in families:
            found = session.shared_arrays("family_answers", {"family_id": family_id})
            hulls, first, unit = np.unique(
                np.ma.getdata(found["hull_id"]), return_index=True, return_inverse=True
            )
            affected = np.ma.getdata(found["affected"])[first].astype(bool)
            level = np.ma.getdata(found["level_id"])
            tested = whole_factor_test(unit, level, affected, resamples=resamples, seed=seed)
            if tested.method == "resampled" and tested.p_value <= CLOSER_LOOK:
                tested = whole_factor_test(
                    unit, level, affected, resamples=20 * resamples, seed=seed
                )
            rows.append(
                (family, kind, tested.levels, len(hulls), tested.statistic, tested.df,
                 tested.p_value, tested.method)
            )  # fmt: skip
    frame = pd.DataFrame(
        rows,
        columns=["family", "kind", "levels", "hulls", "statistic", "df", "p_value", "method"],
    )
    testable = frame["method"] != "not testable"
    frame.insert(7, "q_bh", adjust(frame["p_value"].where(testable).to_numpy(np.float64)))
    frame.loc[~testable, ["statistic", "p_value"]] = np.nan
    return frame.sort_values(["p_value", "family"], kind="stable", ignore_index=True)
