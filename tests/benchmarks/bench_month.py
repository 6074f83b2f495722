"""Time a month's new files on a store of five years against loading everything at once.

Run: python -m tests.benchmarks.bench_month [--hulls 12000]

Invented records are loaded once, and handed out as plain CSV in two folders: what came up to
a day, and the last sixtieth of the work after it. Everything at once is the yardstick. The
month is loaded twice into the store of the years before: whole, and its claims alone.
Seconds on the clock and seconds of computing are both shown.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
from pathlib import Path

import duckdb

from tests.benchmarks.bench_load import cost, say
from tracegraph.intake import load_folder
from tracegraph.store import StoreDirectory, open_store
from tracegraph.synthetic import make_builds

MONTHS = 60
OF_WORK = "(SELECT min(o.started_at) FROM operations AS o WHERE o.operation_id = t.operation_id)"
DAYS = {
    "hulls": "completed_on",
    "parts": "pulled_at",
    "operations": "started_at",
    "ambient": '"at"',
    "lots": "received_on",
    "mold_events": '"at"',
    "components": "fitted_at",
    "inspections": '"at"',
    "claims": "opened_on",
    "usages": OF_WORK,
    "readings": OF_WORK,
    "blends": "(SELECT min(l.received_on) FROM lots AS l WHERE l.lot_no = t.parent_lot_no)",
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hulls", type=int, default=12_000)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        base = Path(name)
        make_builds(base / "made", hulls=given.hulls, seed=3, scenario="sample")
        directory = StoreDirectory(base / "first")
        load_folder(base / "made", directory)
        current = directory.require_current()
        hand_out(current, base)
        compare(base)


def hand_out(build: Path, base: Path) -> None:
    """Write the records of a build as they were before the last month, and of the month."""
    for name in ("years", "month", "claims"):
        (base / "files" / name).mkdir(parents=True)
    with duckdb.connect(str(build), read_only=True) as reading:
        cut = reading.execute(
            "SELECT quantile_disc(started_at, $share) FROM operations",
            {"share": 1 - 1 / MONTHS},
        ).fetchall()[0][0]
        for table, day in DAYS.items():
            for name, sign in (("years", "<"), ("month", ">=")):
                path = base / "files" / name / f"{table}.csv"
                rows = f"SELECT t.* EXCLUDE (source_id, source_row) FROM {table} AS t"
                when = f"coalesce({day}, TIMESTAMP '2000-01-01') {sign} TIMESTAMP '{cut}'"
                reading.execute(f"COPY ({rows} WHERE {when}) TO '{path}' (HEADER)")
    shutil.copy(base / "files/month/claims.csv", base / "files/claims/claims.csv")


def compare(base: Path) -> None:
    files, stores = base / "files", {n: StoreDirectory(base / n) for n in ("all", "years")}
    shutil.copytree(files / "years", base / "everything/years")
    shutil.copytree(files / "month", base / "everything/month")
    whole = cost(lambda: load_folder(base / "everything", stores["all"]))
    say("everything at once", whole)
    say("the years before", cost(lambda: load_folder(files / "years", stores["years"])))
    shutil.copytree(stores["years"].path, base / "claims")
    stores["claims"] = StoreDirectory(base / "claims")
    for name, folder, store in (
        ("the month's claims alone", "claims", "claims"),
        ("the month", "month", "years"),
    ):
        found = cost(lambda folder=folder, store=store: load_folder(files / folder, stores[store]))
        say(name, found)
        print(
            f"  {found.clock / whole.clock:.2f} of everything at once, "
            f"{found.computing / whole.computing:.2f} of its computing"
        )
    for store in ("all", "years"):
        with open_store(stores[store].path) as build:
            [(rows, held)] = build.rows("SELECT count(*), bit_xor(hash(e)) FROM exposure AS e")
        print(f"  {rows:,} rows of exposure in {store!r}, fingerprint {held}", flush=True)


if __name__ == "__main__":
    main()
