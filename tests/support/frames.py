"""Small plants as plain frames: hulls with months of follow-up, claims by month in service."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

import pandas as pd

from tracegraph.domain.definition import CaseDefinition
from tracegraph.exposure import exposure_from_frames
from tracegraph.store import Store
from tracegraph.store.reader import as_store

BEGIN = date(1920, 1, 1)
"""Every hull goes into service on this day, so that a month in service is a month's first."""

LONG_AFTER = date(2020, 1, 1)

FAMILY = "deck: gelcoat spray: gelcoat lot"

BLISTER = CaseDefinition(symptoms=("blister",), cut_off=LONG_AFTER, reporting_days=0)


def months_on(months: int, days: int = 0) -> pd.Timestamp:
    """The day so many months (and days) after the beginning."""
    return pd.Timestamp(BEGIN) + pd.DateOffset(months=months, days=days)


def plant_of(
    follow: Mapping[str, int],
    claims: Iterable[tuple[str, int]],
    levels: Mapping[str, str | None],
    *,
    models: Mapping[str, str] | None = None,
    built: Mapping[str, str] | None = None,
    repeat_last: bool = False,
) -> Store:
    """A store of hulls by serial.

    ``follow`` gives whole months of follow-up; ``claims`` names hulls and months in service,
    a second claim of one month coming a day before the first; ``levels`` gives the gelcoat
    lot, None where it was not written down, and no entry where the question does not apply.
    ``repeat_last`` gives the last claim a second line.
    """
    hulls = pd.DataFrame(
        {
            "hull_serial": list(follow),
            "model": [(models or {}).get(serial, "S18") for serial in follow],
            "completed_on": [
                pd.Timestamp((built or {}).get(serial, "1919-12-01")) for serial in follow
            ],
            "in_service_on": pd.Timestamp(BEGIN),
            "exit_on": [months_on(months) for months in follow.values()],
            "place": "owner",
        }
    )
    seen: dict[tuple[str, int], int] = {}
    rows = []
    for serial, month in claims:
        nth = seen.setdefault((serial, month), 0)
        seen[serial, month] += 1
        day = months_on(month, -nth)
        rows.append((f"C{len(rows)}", serial, day, day, "blister"))
    if repeat_last:
        rows.append(("C-again", *rows[-1][1:]))
    last = pd.Timestamp(LONG_AFTER)
    rows.append(("C-last", next(iter(follow)), last, last, "other"))
    frame = pd.DataFrame(
        rows, columns=["claim_no", "hull_serial", "opened_on", "failed_on", "symptom"]
    )
    exposure = pd.DataFrame(
        {"hull_serial": list(levels), "family": FAMILY, "level": list(levels.values())}
    )
    return as_store(exposure_from_frames(hulls, exposure, frame))
