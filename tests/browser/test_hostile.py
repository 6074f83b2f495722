"""Whatever is written in records, names, holds, cases and reasons is a text and runs nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote_plus

import pytest
from playwright.sync_api import Page, expect

from tests.browser.acts import PATIENCE, fill, idle, settled
from tests.browser.app_server import running_app
from tests.browser.conftest import Open
from tests.browser.test_every_page import SPILLS, unfold
from tests.support.hostile import HOSTILE, LOT, hostile_store

pytestmark = pytest.mark.browser

MARKUP = """() => [...document.querySelectorAll(
    "img[src='x'], [onerror], a[href^='javascript'], .katex, [data-testid=stMain] i, "
    + "[data-testid=stMain] strong, [data-testid=stMain] b, svg foreignObject img"
)].map((e) => e.outerHTML.slice(0, 200))"""
"""Elements that only a text read as HTML, Markdown or a formula of TeX can have made."""

PAGES = {
    "": "",
    "cluster": f"cluster?symptom={quote_plus(HOSTILE.lower())}",
    "history": "history?hull=H1",
    "containment": f"containment?factor={quote_plus(LOT[0])}&level={quote_plus(LOT[1])}",
    "records": "records",
    "cases": "cases",
    "case": "cases?case=C-0001",
    "long": "cases?case=C-0005",
}


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder = tmp_path_factory.mktemp("hostile")
    with running_app(hostile_store(folder), folder / "app.log") as address:
        yield address


@pytest.mark.parametrize("name", PAGES)
def test_texts_are_texts(visit: Open, hostile: str, name: str) -> None:
    page = visit(hostile, PAGES[name])
    settled(page)
    unfold(page)
    assert page.evaluate(MARKUP) == []
    assert page.evaluate(SPILLS) == ""


def test_a_reason_is_a_text(visit: Open, hostile: str) -> None:
    page = visit(hostile, PAGES["cluster"])
    settled(page)
    people(page, HOSTILE)
    expect(page.get_by_text("Reason given: <img src=x onerror=alert(1)>").first).to_be_visible(
        timeout=PATIENCE
    )
    assert page.evaluate(MARKUP) == []


def test_a_saved_figure_holds_no_markup(visit: Open, hostile: str, tmp_path: Path) -> None:
    page = visit(hostile, PAGES["history"])
    settled(page)
    figure = page.locator(".js-plotly-plot").first
    expect(figure.locator("a")).to_have_count(0)
    figure.hover()
    with page.expect_download(timeout=PATIENCE) as waiting:
        figure.get_by_role("button", name="Download plot").click()
    assert waiting.value.suggested_filename == "timeline.svg"
    waiting.value.save_as(tmp_path / "timeline.svg")
    drawn = (tmp_path / "timeline.svg").read_text(encoding="utf-8")
    assert "<img" not in drawn
    assert "<script" not in drawn


def people(page: Page, reason: str) -> None:
    """Have families of people shown."""
    page.get_by_role("button", name="People: hidden").click()
    page.get_by_text("Show them").click()
    idle(page)
    fill(page, "Reason", reason)
