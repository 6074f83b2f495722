from pathlib import Path

import pytest

from tests.intake.yard import Yard
from tracegraph.intake import finishing

# Modules that load to the end.
WHOLE = ("test_in_steps", "test_load", "test_renewal", "test_stopped")


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return Yard(tmp_path)


@pytest.fixture(autouse=True)
def _no_exposure(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who was exposed to what has tests of its own; without it a case takes half the time."""
    if request.module.__name__.rpartition(".")[2] not in WHOLE:
        monkeypatch.setattr(finishing, "build_exposure", lambda build, time_zone: None)
        monkeypatch.setattr(finishing, "renew_exposure", lambda *given, **named: False)
