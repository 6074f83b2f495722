import pytest

from tests.intake.damage import load_damaged, load_rows_damaged
from tests.intake.yard import Yard


@pytest.mark.parametrize("seed", [1, 2])
def test_damaged_files_never_stop_a_load(yard: Yard, seed: int) -> None:
    load_damaged(yard, 40, seed)


def test_damaged_rows_cost_themselves_only(yard: Yard) -> None:
    """``python -m tests.benchmarks.fuzz_load`` does it with 500 files."""
    report = load_rows_damaged(yard, 25, seed=3)
    assert report.left_out == ()
    seen = sum(file.seen for file in report.files)
    assert sum(file.loaded for file in report.files) > 0.9 * seen
