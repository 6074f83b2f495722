import pytest

from tests.intake.damage import load_damaged
from tests.intake.yard import Yard


@pytest.mark.parametrize("seed", [1, 2])
def test_damaged_files_never_stop_a_load(yard: Yard, seed: int) -> None:
    load_damaged(yard, 40, seed)
