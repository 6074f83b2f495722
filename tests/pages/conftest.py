from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tracegraph.intake.running import load_of
from tracegraph.store import StoreDirectory

ROOT = Path(__file__).parents[2]
APP = str(ROOT / "app.py")

Open = Callable[..., AppTest]


@pytest.fixture(scope="session")
def sample_store(ranked_sample: Path) -> Path:
    """The sample with its clusters ranked, so that pages need not rank them again."""
    return ranked_sample


@pytest.fixture
def visit(monkeypatch: pytest.MonkeyPatch) -> Open:
    """Open a page of a store as a fresh session: ``visit(store, "cluster", symptom="blister")``."""

    def open_page(folder: Path, page: str = "overview", /, **address: str | list[str]) -> AppTest:
        monkeypatch.setenv("TRACEGRAPH_STORE", str(folder))
        at = AppTest.from_file(APP, default_timeout=60)
        for name, value in address.items():
            at.query_params[name] = value
        if page != "overview":
            at.switch_page(f"tracegraph/pages/{page}.py")
        return at.run()

    return open_page


def words(at: AppTest) -> str:
    """All plain sentences of a page."""
    assert not at.exception, at.exception
    return "\n".join(element.value for element in at.text)


def unfold(at: AppTest, *names: str) -> AppTest:
    """Open parts of a page that are folded away."""
    for name in names:
        at.session_state[f"field: folded {name}"] = True
    return at.run()


def ranked(at: AppTest) -> AppTest:
    """The Overview once all clusters are ranked."""
    end = time.monotonic() + 240
    while any(button.label == "Stop" for button in at.button) and time.monotonic() < end:
        time.sleep(0.2)
        at.run()
    return at


def press(at: AppTest, label: str) -> AppTest:
    """Click a button and run."""
    return next(button for button in at.button if button.label == label).click().run()


def loaded(at: AppTest, store: Path) -> AppTest:
    """The page after the load that it began has ended."""
    load = load_of(StoreDirectory(store))
    assert load is not None
    assert load.wait(60)
    return at.run()
