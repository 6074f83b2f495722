"""Fleets with known claims, for what containment foresees and brackets."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from tracegraph.exposure import exposure_from_frames
from tracegraph.store import Store
from tracegraph.store.reader import as_store

FAMILY = "deck: gelcoat lot"
END = pd.Timestamp("2026-01-01")


def fleet(
    levels: Sequence[str | None],
    claim_months: dict[int, int],
    *,
    followed: Sequence[int] | int = 24,
    place: Sequence[str] | str = "owner",
    kind: str = "material lot",
    safety_class: int | None = None,
) -> Store:
    """Hulls with one level each, claims by position and month in service.

    Two hulls are completed a day, all in one half-year; each was followed for some months before
    the data end. A claim of another sort on the last day fixes that day.
    """
    count = len(levels)
    months = [followed] * count if isinstance(followed, int) else list(followed)
    serials = [f"H{n:04d}" for n in range(count)]
    delivered = [END - pd.DateOffset(months=m) for m in months]
    places = [place] * count if isinstance(place, str) else list(place)
    hulls = pd.DataFrame(
        {
            "hull_serial": serials,
            "model": "S22",
            "completed_on": [
                pd.Timestamp("2023-07-01") + pd.Timedelta(days=n // 2) for n in range(count)
            ],
            "in_service_on": [
                day if where == "owner" else pd.NaT
                for day, where in zip(delivered, places, strict=True)
            ],
            "place": places,
        }
    )
    exposure = pd.DataFrame({"hull_serial": serials, "family": FAMILY, "level": list(levels)})
    failed = {
        serials[n]: delivered[n] + pd.DateOffset(months=month) - pd.Timedelta(days=10)
        for n, month in claim_months.items()
    }
    rows = [
        (f"C{n}", serial, day, day, "blister") for n, (serial, day) in enumerate(failed.items())
    ]
    rows.append(("C-last", serials[0], END, END, "other"))
    claims = pd.DataFrame(
        rows, columns=["claim_no", "hull_serial", "opened_on", "failed_on", "symptom"]
    )
    families = pd.DataFrame({"family": [FAMILY], "kind": [kind], "part": ["deck"], "step": [""]})
    build = exposure_from_frames(hulls, exposure, claims, families)
    if safety_class is not None:
        build.execute("UPDATE claim_index SET safety_class = $c", {"c": safety_class})
    return as_store(build)


def spread(chances: float, hulls: Sequence[int], months: int, seed: int) -> dict[int, int]:
    """Claims that come with a chance a month."""
    rng = np.random.default_rng(seed)
    found = {}
    for hull in hulls:
        wait = int(rng.geometric(chances))
        if wait <= months:
            found[hull] = wait
    return found
