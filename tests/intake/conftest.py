from pathlib import Path

import pytest

from tests.intake.yard import Yard


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return Yard(tmp_path)
