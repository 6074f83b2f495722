"""The finished yard as record tables, still clean: every cell is text as it will be written."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracegraph.synthetic.build import Built
from tracegraph.synthetic.cells import day_text, number_text, time_text
from tracegraph.synthetic.schedule import CUT_OFF, FIRST_DAY
from tracegraph.synthetic.stock import Texts
from tracegraph.synthetic.workdays import MINUTES_A_DAY, OPENING, Minutes, minute
from tracegraph.synthetic.yard import GELCOAT_SPRAY, LOGGED_STATIONS, PARTS

RENAMED_MOLD = ("S18-D2", "S18-D2R")
RENAMED_ON = "2024-09-09"
PULLS_BEFORE = 40  # pulls of a mold before the records begin, at most


def hulls_table(built: Built) -> pd.DataFrame:
    """Rows of ``hulls``, in order of hull serial."""
    h = built.hulls
    table = pd.DataFrame(
        {
            "hull_serial": h.serial,
            "job_no": h.job_no,
            "hin": h.hin,
            "model": h.model,
            "options": h.options,
            "completed_on": day_text(h.completed),
            "shipped_on": day_text(h.shipped),
            "in_service_on": day_text(h.in_service),
            "exit_on": day_text(h.exit),
            "dealer": h.dealer,
            "place": h.place,
        }
    )
    return table.sort_values("hin", key=lambda s: s.str[3:8], kind="stable")


def parts_table(built: Built) -> pd.DataFrame:
    """Rows of ``parts``: the mold by the name it had on the day."""
    frames = []
    for part in PARTS:
        run = built.schedule.parts[part]
        frames.append(
            pd.DataFrame(
                {
                    "part_serial": built.part_serial[part],
                    "part": part,
                    "hull_serial": "",
                    "job_no": built.hulls.job_no,
                    "mold_no": mold_names(run.mold_no, run.start["pull"]),
                    "pull_no": run.pull_no + pulls_before(built, run.mold_no),
                    "pulled_at": time_text(run.finish["pull"]),
                }
            )
        )
    return pd.concat(frames, ignore_index=True)


def mold_names(mold_no: Texts, time: Minutes) -> Texts:
    """Mold numbers as used at a time: one mold was renamed."""
    late = (mold_no == RENAMED_MOLD[0]) & (time >= minute(RENAMED_ON))
    names: Texts = np.where(late, RENAMED_MOLD[1], mold_no).astype(object)
    return names


def pulls_before(built: Built, mold_no: Texts) -> NDArray[np.int64]:
    """Pulls of each mold before the records begin."""
    names, which = np.unique(mold_no.astype(str), return_inverse=True)
    before = [_pulls_of(built, name) for name in names.tolist()]
    return np.array(before, dtype=np.int64)[which]


def _pulls_of(built: Built, mold: str) -> int:
    return int(built.chance.of("pulls before " + mold).integers(0, PULLS_BEFORE))


def mold_events_table(built: Built) -> pd.DataFrame:
    """Rows of ``mold_events``: commissioning, waxing, repairs and one renaming."""
    rows: list[tuple[int, str, str, int, str]] = []  # at, mold, event, pulls so far, note
    for part in PARTS:
        for mold in sorted(set(built.schedule.parts[part].mold_no.tolist())):
            before = _pulls_of(built, mold)
            made = minute(FIRST_DAY) - 30 * MINUTES_A_DAY * (1 + before // 6) + OPENING
            rows.append((made, mold, "commissioned", 0, ""))
    for s in built.schedule.services:
        note = "gelcoat chip filled and polished" if s.event == "repaired" else ""
        rows.append((s.at, s.mold_no, s.event, s.pulls + _pulls_of(built, s.mold_no), note))
    if any(mold == RENAMED_MOLD[0] for _, mold, *_ in rows):
        rows.append((minute(RENAMED_ON), RENAMED_MOLD[0], "renamed", -1, RENAMED_MOLD[1]))
    rows.sort()
    time = np.array([r[0] for r in rows], dtype=np.int64)
    event = np.array([r[2] for r in rows], dtype=object)
    mold_no = np.array([r[1] for r in rows], dtype=object)
    return pd.DataFrame(
        {
            "mold_no": np.where(event == "renamed", mold_no, mold_names(mold_no, time)),
            "at": time_text(time),
            "event": event,
            "pull_no": ["" if r[3] < 0 else str(r[3]) for r in rows],
            "note": [r[4] for r in rows],
        }
    )


def number_operations(built: Built) -> dict[tuple[str, str], Texts]:
    """Operation numbers that rise with the start: sprays in one series, the rest in another."""
    numbers: dict[tuple[str, str], Texts] = {}
    sprays = [k for k in built.works if k[1] == GELCOAT_SPRAY]
    others = [k for k in built.works if k[1] != GELCOAT_SPRAY]
    for prefix, keys in (("G", sprays), ("P", others)):
        start = np.concatenate([built.works[k].start for k in keys])
        rank = np.empty(start.size, dtype=np.int64)
        rank[np.argsort(start, kind="stable")] = np.arange(1, start.size + 1)
        names = np.array([f"{prefix}{r:06d}" for r in rank.tolist()], dtype=object)
        at = 0
        for key in keys:
            upto = at + built.works[key].start.size
            numbers[key] = names[at:upto]
            at = upto
    return numbers


def operations_table(built: Built, numbers: dict[tuple[str, str], Texts]) -> pd.DataFrame:
    """Rows of ``operations`` for everything but gelcoat sprays, in order of start."""
    frames = []
    for key, work in built.works.items():
        if work.step == GELCOAT_SPRAY:
            continue
        blank = np.full(work.hull.size, "", dtype=object)
        frames.append(
            pd.DataFrame(
                {
                    "operation_id": numbers[key],
                    "step": work.step,
                    "part_serial": built.part_serial[work.part][work.hull] if work.part else blank,
                    "job_no": blank if work.part else built.hulls.job_no[work.hull],
                    "station": work.station,
                    "equipment": work.equipment,
                    "operator": work.operator,
                    "crew": work.crew,
                    "shift": work.shift,
                    "started_at": time_text(work.start),
                    "finished_at": time_text(work.finish),
                    "attempt": work.attempt,
                }
            )
        )
    return pd.concat(frames, ignore_index=True).sort_values("operation_id", kind="stable")


def usages_table(built: Built, numbers: dict[tuple[str, str], Texts]) -> pd.DataFrame:
    """Rows of ``usages`` but for the gelcoat and catalyst that the spray log holds."""
    frames = []
    for key, work in built.works.items():
        for use in work.uses:
            if use.logged:
                continue
            frames.append(
                pd.DataFrame(
                    {
                        "operation_id": numbers[key][use.row],
                        "material": use.material,
                        "lot_no": use.lot_no,
                        "drum_no": use.drum_no,
                        "quantity": number_text(use.quantity, 1),
                        "unit": use.unit,
                    }
                )
            )
    return pd.concat(frames, ignore_index=True).sort_values("operation_id", kind="stable")


def readings_table(built: Built, numbers: dict[tuple[str, str], Texts]) -> pd.DataFrame:
    """Rows of ``readings`` for everything but gelcoat sprays."""
    frames = []
    for key, work in built.works.items():
        if work.step == GELCOAT_SPRAY:
            continue
        for (quantity, unit), value in work.readings.items():
            frames.append(
                pd.DataFrame(
                    {
                        "operation_id": numbers[key],
                        "quantity": quantity,
                        "value": number_text(value, 1),
                        "unit": unit,
                    }
                )
            )
    return pd.concat(frames, ignore_index=True).sort_values("operation_id", kind="stable")


def lots_table(built: Built) -> pd.DataFrame:
    """Rows of ``lots``, in order of receipt."""
    lots = pd.concat(built.stock.lots, ignore_index=True)
    lots = lots.sort_values(["received_on", "lot_no"], kind="stable")
    for column in ("made_on", "received_on", "expires_on"):
        lots[column] = day_text(lots[column].to_numpy())
    for column in ("received_qty", "on_hand_qty", "scrapped_qty"):
        lots[column] = number_text(lots[column].to_numpy(), 1)
    return lots


def blends_table(built: Built) -> pd.DataFrame:
    """Rows of ``blends``."""
    blends = pd.concat(built.stock.blends, ignore_index=True)
    blends["share"] = number_text(blends["share"].to_numpy(), 2)
    return blends


def components_table(built: Built) -> pd.DataFrame:
    """Rows of ``components``."""
    frames = [
        pd.DataFrame(
            {
                "job_no": built.hulls.job_no[f.hull],
                "component": f.component,
                "serial_no": f.serial_no,
                "supplier": f.supplier,
                "lot_no": f.lot_no,
                "fitted_at": time_text(f.fitted_at),
                "fitted_by": f.fitted_by,
            }
        )
        for f in built.fitted
    ]
    return pd.concat(frames, ignore_index=True).sort_values(
        ["fitted_at", "job_no", "component"], kind="stable"
    )


def ambient_table(built: Built, stations: Sequence[str] = LOGGED_STATIONS) -> pd.DataFrame:
    """Rows of ``ambient``: hourly temperature in degC and relative humidity in %."""
    frames = []
    for station in stations:
        temperature = built.weather.temperature[station]
        humidity = built.weather.humidity[station]
        hour = built.weather.first_hour + np.arange(temperature.size)
        at = time_text(hour * 60)
        frames.append(_series(station, at, "ambient_temp", number_text(temperature, 1), "degC"))
        frames.append(_series(station, at, "relative_humidity", number_text(humidity, 0), "%"))
    return pd.concat(frames, ignore_index=True)


def _series(station: str, at: Texts, quantity: str, value: Texts, unit: str) -> pd.DataFrame:
    return pd.DataFrame(
        {"station": station, "at": at, "quantity": quantity, "value": value, "unit": unit}
    )


def cut_off_minute() -> int:
    """First minute after the cut-off day."""
    return minute(CUT_OFF) + MINUTES_A_DAY
