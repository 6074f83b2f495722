import pytest

from tracegraph.intake import finishing


@pytest.fixture(autouse=True)
def _no_exposure(monkeypatch: pytest.MonkeyPatch) -> None:
    """Who was exposed to what has tests of its own; without it a case takes half the time."""
    monkeypatch.setattr(finishing, "build_exposure", lambda build, time_zone: None)
