"""A plant whose stock is known in full, so that what its records lost can be checked.

Hulls of three colours and two models are sprayed one after another. Each colour draws on
its own lots, the decks on theirs; all of it is written down as gelcoat. Near a change-over
drums of two lots are open side by side, some sprays finish from the next lot, and now and
then an old drum turns up again. Then lots, and whole sheets, are lost from the records.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tests.support.records import Row, build_of
from tracegraph.exposure import build_exposure
from tracegraph.linkage import link_records
from tracegraph.store import Store
from tracegraph.store.reader import as_store

COLOURS = (("white", 0.5), ("navy", 0.3), ("sand", 0.2))
POUNDS = {"hull": 46.0, "deck": 34.0}
FAMILY = "{part}: gelcoat spray: gelcoat lot"


@dataclass(frozen=True)
class Habits:
    """How the plant uses and records its gelcoat.

    Attributes
    ----------
    missing : float
        Share of sprays whose lot is lost.
    in_blocks : bool
        Whether neighbouring sprays are lost together.
    lost_sheets : float
        Of the sprays lost, the share of which no record at all is left.
    mixing : float
        How far out of order drums are used near a change-over, in sprays.
    second_drum : float
        Share of sprays at a change-over that use both lots.
    old_drum : float
        Share of sprays from a lot used before.
    lot_pounds : float
        Middle lot size.
    dates_only : bool
        Whether only the day of work is written down.
    """

    missing: float = 0.15
    in_blocks: bool = False
    lost_sheets: float = 0.2
    mixing: float = 2.5
    second_drum: float = 0.15
    old_drum: float = 0.005
    lot_pounds: float = 1800.0
    dates_only: bool = False


@dataclass(frozen=True, eq=False)
class StockPlant:
    """Records of a plant, and the truth behind them.

    Attributes
    ----------
    records : dict of str to list
        Record tables.
    truth : DataFrame
        One row per spray and lot: ``hull_serial``, ``part``, ``lot_no``, ``recorded``.
    """

    records: dict[str, list[Row]]
    truth: pd.DataFrame

    def store(self) -> Store:
        build = build_of(**self.records)
        link_records(build)
        build_exposure(build)
        return as_store(build)


def stock_plant(seed: int, hulls: int = 600, habits: Habits | None = None) -> StockPlant:
    """Build and spray hulls, write it all down, and lose some of it."""
    rng = np.random.default_rng(seed)
    kept = habits or Habits()
    day = np.cumsum(rng.exponential(0.7, hulls)).astype(int)
    colour = rng.choice([name for name, _ in COLOURS], hulls, p=[share for _, share in COLOURS])
    tables: dict[str, list[Row]] = {
        name: [] for name in ("hulls", "parts", "operations", "usages", "lots")
    }
    start = np.datetime64("2024-01-01")
    serial = [f"H{n + 1:04d}" for n in range(hulls)]
    for n in range(hulls):
        tables["hulls"].append(
            {
                "hull_serial": serial[n],
                "model": "S22" if n % 3 else "S26",
                "options": f"hull {colour[n]}" + ("; t-top" if rng.random() < 0.4 else ""),
                "completed_on": str(start + day[n] + 14),
                "place": ("plant", "transit", "dealer", "owner")[min(3, (hulls - n) // 20)],
                "in_service_on": str(start + day[n] + 60) if hulls - n >= 60 else None,
            }
        )
    truth = []
    sequence = np.arange(hulls)
    for part in ("hull", "deck"):
        lost = _lost(rng, hulls, kept)
        sheet = lost & (rng.random(hulls) < kept.lost_sheets)
        streams = [colour == name for name, _ in COLOURS] if part == "hull" else [sequence >= 0]
        hour = 6 + sequence % 3 * 2 + (8 if part == "deck" else 0)
        for number, members in enumerate(streams):
            prefix = f"{part[0].upper()}{number}"
            used, pounds = _used(
                rng, tables, prefix, start, day, np.flatnonzero(members), part, kept
            )
            for n, lots in used.items():
                truth += [(serial[n], part, lot, not lost[n]) for lot in lots]
                _spray(tables, serial[n], part, start + day[n], int(hour[n]), lots, pounds[n],
                       lost=bool(lost[n]), sheet=bool(sheet[n]), habits=kept)  # fmt: skip
    columns = ["hull_serial", "part", "lot_no", "recorded"]
    return StockPlant(tables, pd.DataFrame(truth, columns=columns))


def _lost(rng: np.random.Generator, count: int, habits: Habits) -> np.ndarray:
    if not habits.in_blocks:
        return rng.random(count) < habits.missing
    lost = np.zeros(count, bool)
    while lost.mean() < habits.missing:
        first = rng.integers(count)
        lost[first : first + rng.integers(2, 12)] = True
    return lost


def _used(
    rng: np.random.Generator,
    tables: dict[str, list[Row]],
    prefix: str,
    start: np.datetime64,
    day: np.ndarray,
    members: np.ndarray,
    part: str,
    habits: Habits,
) -> tuple[dict[int, list[str]], dict[int, float]]:
    """Lots that each spray of one stream used; receipts are written down."""
    amount = POUNDS[part] * (1 + 0.08 * rng.standard_normal(len(members)))
    need = np.cumsum(amount)
    size = habits.lot_pounds * np.exp(0.35 * rng.standard_normal(len(members)))
    edges = np.concatenate([[0.0], np.cumsum(np.maximum(size, 300.0))])
    spot = need + rng.standard_normal(len(members)) * habits.mixing * POUNDS[part]
    lot = np.clip(np.searchsorted(edges, spot) - 1, 0, None)
    old = (rng.random(len(members)) < habits.old_drum) & (lot > 0)
    lot = np.where(old, lot - 1, lot)
    names = [f"{prefix}-{number + 101}" for number in range(int(lot.max()) + 1)]
    both = np.zeros(len(members), bool)
    both[:-1] = (lot[1:] != lot[:-1]) & (rng.random(len(members) - 1) < habits.second_drum)
    used, pounds, drawn, first = {}, {}, dict.fromkeys(names, 0.0), {}
    for place, n in enumerate(members):
        lots = [names[lot[place]]]
        if both[place] and lot[place + 1] != lot[place]:
            lots.append(names[lot[place + 1]])
        used[int(n)], pounds[int(n)] = lots, float(amount[place])
        for name in lots:
            drawn[name] += amount[place] / len(lots)
            first.setdefault(name, day[n])
    for name, total in drawn.items():
        if name in first:
            scrapped = float(rng.choice([0.0, 40.0]))
            received = start + first[name] - int(rng.integers(4, 18))
            tables["lots"].append(
                {
                    "material": "gelcoat", "lot_no": name, "received_on": str(received),
                    "expires_on": str(received + 100), "received_qty": round(total + scrapped, 1),
                    "on_hand_qty": 0, "scrapped_qty": scrapped, "unit": "lb",
                }
            )  # fmt: skip
    return used, pounds


def _spray(
    tables: dict[str, list[Row]],
    serial: str,
    part: str,
    day: np.datetime64,
    hour: int,
    lots: list[str],
    pounds: float,
    *,
    lost: bool,
    sheet: bool,
    habits: Habits,
) -> None:
    piece, clock = f"{part[0].upper()}-{serial}", "" if habits.dates_only else f" {hour:02d}:00"
    tables["parts"].append({"part_serial": piece, "part": part, "hull_serial": serial})
    tables["operations"].append(
        {
            "operation_id": f"L-{piece}", "step": "laminate", "part_serial": piece,
            "started_at": f"{day + 1}{clock}",
        }
    )  # fmt: skip
    if sheet:
        return
    tables["operations"].append(
        {
            "operation_id": f"G-{piece}", "step": "gelcoat spray", "part_serial": piece,
            "station": f"booth {part}", "equipment": f"GUN-{part[0]}",
            "started_at": f"{day}{clock}",
        }
    )  # fmt: skip
    for lot in [None] if lost else lots:
        tables["usages"].append(
            {
                "operation_id": f"G-{piece}", "material": "gelcoat", "lot_no": lot,
                "quantity": round(pounds / (1 if lost else len(lots)), 2), "unit": "lb",
            }
        )  # fmt: skip
