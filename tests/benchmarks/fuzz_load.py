"""Load 500 files of which one row in twenty is damaged, and 500 damaged as a whole.

``python -m tests.benchmarks.fuzz_load [--files 500] [--seed 1]``. It ends with an error at the
first traceback, file without a ledger, or ledger that does not sum.
"""

from __future__ import annotations

import argparse
import tempfile
import time
import warnings
from pathlib import Path

from tests.intake.damage import load_damaged, load_rows_damaged
from tests.intake.yard import Yard


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--files", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    warnings.simplefilter("error")
    for load in (load_rows_damaged, load_damaged):
        with tempfile.TemporaryDirectory() as base:
            yard = Yard(Path(base))
            begun, used = time.perf_counter(), time.process_time()
            load(yard, asked.files, asked.seed)
            report = yard.report
            assert report is not None
            sums = {
                name: sum(getattr(file, name) for file in report.files)
                for name in ("seen", "loaded", "set_aside", "repeats", "furniture")
            }
            assert sums["seen"] == sum(sums.values()) - sums["seen"]
            clock, computing = time.perf_counter() - begun, time.process_time() - used
            print(
                f"{load.__name__}: {asked.files} files, seed {asked.seed}: {len(report.files)} "
                f"with a ledger, {len(report.left_out)} left out, {sums}; {clock:.0f} s, "
                f"{computing:.0f} s of computing",
                flush=True,
            )


if __name__ == "__main__":
    main()
