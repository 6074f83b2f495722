"""A yard with one bad lot of fuel hose, as files: once as then, once with what came in later.

240 hulls, ten a month from January 2023. Every third hull carries hose lot FH-2 until
the end of 2023, then FH-4; the others carry FH-1 and FH-3 in turn. Hulls with FH-2 smell of
fuel, safety class 1. The earlier files end on 2024-06-30 and lack a third of its claims.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pandas as pd

BAD = ("hull: fuel hose: lot", "FH-2")
WITHDRAWN = date(2024, 1, 1)
EARLIER, LATER = date(2024, 6, 30), date(2025, 12, 31)


def write_yard(folder: Path, until: date) -> None:
    """Write the records as they stood on a day."""
    folder.mkdir(parents=True, exist_ok=True)
    hulls, components, claims = [], [], []
    for n in range(240):
        built = date(2023, 1, 1) + timedelta(days=round(n * 365.25 / 120))
        if built > until:
            break
        sold = built + timedelta(days=60)
        serial = f"FB-{n + 1:04d}"
        place = "owner" if sold <= until else ("plant", "transit", "dealer")[n % 3]
        hulls.append(
            {
                "hull_serial": serial,
                "model": ("S18", "S22")[n // 2 % 2],
                "completed_on": built,
                "shipped_on": built + timedelta(days=10),
                "in_service_on": sold if place == "owner" else None,
                "place": place,
                "dealer": f"D-{n % 4}",
            }
        )
        lot = ("FH-1", "FH-3")[n % 2]
        if n % 3 == 0:
            lot = "FH-2" if built < WITHDRAWN else "FH-4"
        components.append(
            {"hull_serial": serial, "component": "fuel hose", "lot_no": lot, "supplier": "SU-1"}
        )
        # Two of five hulls with the bad lot, and one in fifty of the others before 2024.
        bad = lot == "FH-2" and n // 3 % 5 < 2
        if bad or (built < WITHDRAWN and n % 50 == 1):
            month = 2 + n % 7 if bad and n // 3 % 5 == 0 else 11
            on = sold + timedelta(days=31 * month)
            claims.append(
                {
                    "claim_no": f"W-{n + 1:04d}",
                    "hull_serial": serial,
                    "opened_on": on,
                    "failed_on": on,
                    "symptom": "fuel smell",
                    "safety_class": 1,
                    "cost": 200 + 10 * (n % 9) if n % 4 else None,
                }
            )
    # Another complaint, so that the data go on to the last day.
    for n in range(0, len(hulls), 12):
        on = min(until, hulls[n]["completed_on"] + timedelta(days=300))
        claims.append(
            {
                "claim_no": f"X-{n + 1:04d}",
                "hull_serial": hulls[n]["hull_serial"],
                "opened_on": on,
                "failed_on": on,
                "symptom": "scuff",
                "cost": 50,
            }
        )
    claims.append({**claims[-1], "claim_no": "X-9999", "opened_on": until, "failed_on": until})
    for name, rows in (("hulls", hulls), ("components", components), ("claims", claims)):
        frame = pd.DataFrame(rows)
        if name == "claims":
            frame = frame[pd.to_datetime(frame["opened_on"]) <= pd.Timestamp(until)]
        frame.to_csv(folder / f"{name}.csv", index=False)
