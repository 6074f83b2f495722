"""Rankings made of hand-written counts, for the tests of what is said and shown."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import numpy as np
import pandas as pd

from tracegraph.analysis.cohort import Cohort
from tracegraph.analysis.counting import Counts
from tracegraph.analysis.plain_tests import rank_counts
from tracegraph.analysis.ranking import Ranking
from tracegraph.domain.definition import CaseDefinition
from tracegraph.stats.contingency import TableArrays

LOT = "deck: gelcoat spray: gelcoat lot"

Cells = tuple[int, int, int, int]


def frame_of(
    tables: Sequence[Cells],
    levels: Sequence[str] | None = None,
    *,
    family: str = LOT,
    kind: str = "material lot",
    unknown: Sequence[tuple[int, int]] | None = None,
) -> pd.DataFrame:
    """Ranking frame of 2x2 tables given as (affected, not) exposed, (affected, not) others."""
    a, b, c, d = (np.array(cells, dtype=np.int64) for cells in zip(*tables, strict=True))
    number = len(tables)
    missing = unknown or [(0, 0)] * number
    names = pd.DataFrame(
        {
            "level": list(levels or [f"G-{n}" for n in range(1, number + 1)]),
            "family": family,
            "kind": kind,
            "part": "deck",
            "step": "gelcoat spray",
            "stage": 1,
        },
        index=pd.Index(range(number), name="level_id"),
    )
    counts = Counts(
        level_id=np.arange(number),
        family_id=np.zeros(number, np.int64),
        tables=TableArrays.from_margins(
            exposed_cases=a, exposed=a + b, cases=a + c, total=a + b + c + d
        ),
        unknown=np.array([hulls for hulls, _ in missing], dtype=np.int64),
        unknown_affected=np.array([cases for _, cases in missing], dtype=np.int64),
    )
    return rank_counts(counts, names)


def ranking_of(
    frame: pd.DataFrame,
    *,
    affected: int = 12,
    at_risk: int = 1081,
    people_reason: str | None = None,
) -> Ranking:
    """A ranking as :func:`tracegraph.analysis.ranking.rank` returns it."""
    definition = CaseDefinition(
        symptoms=("blister",), cut_off=date(2026, 6, 30), reporting_days=60, landmark_months=14
    )
    tested = frame["testable"] & ~frame["thin"]
    return Ranking(
        frame=frame,
        definition=definition,
        cohort=Cohort(
            definition,
            affected,
            at_risk,
            {"hulls not delivered": 119},
            {"built": 1200, "in service": at_risk},
            None,
            ("landmark at 14 months in service: it keeps the most cases",),
        ),
        families=int(frame.loc[tested, "family"].nunique()),
        levels=int(tested.sum()),
        data_version="v1",
        people_reason=people_reason,
    )
