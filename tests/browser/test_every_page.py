"""What holds of every page: readable by everybody, at any width, asking nobody else."""

from __future__ import annotations

import re
from contextlib import suppress

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Error, Page, Route, expect

from tests.browser.acts import idle, settled
from tests.browser.addresses import ADDRESSES
from tests.browser.app_server import ROOT
from tests.browser.conftest import Open
from tracegraph.pages.navigation import PAGES

pytestmark = pytest.mark.browser

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
"""Tags of the axe rules for WCAG 2.2, levels A and AA."""

OPTIONS = {"runOnly": {"type": "tag", "values": RULES}, "resultTypes": ["violations"]}

SIZES = {"desk": (1280, 800), "tablet upright": (800, 1280), "desk at 200 %": (640, 400)}
"""Pixels of the reader's window; twice as large letters halve it."""

CLOSED = "[data-testid=stExpander] details:not([open]) > summary"
POLICY = re.search(
    r'Content-Security-Policy +"([^"]+)"', (ROOT / "docs" / "server.md").read_text(encoding="utf-8")
)
CRAWLERS = "sha256-THxz9J9+wf7rhwR2YkXJoSZ13UCmYyC+3lNDv2+8ugA="
"""Streamlit's own inline line that sets a variable for crawlers; see docs/server.md."""

SPILLS = """() => {
    const wide = document.documentElement.clientWidth;
    const scrolls = (e) => e.closest('[data-testid=stDataFrame], pre, .stCode, [role=tablist]');
    const out = [...document.querySelectorAll('[data-testid=stMain] *')].filter((e) => {
        const box = e.getBoundingClientRect();
        return box.width && box.right > wide + 1 && !scrolls(e);
    });
    const main = document.querySelector('[data-testid=stMain]');
    const more = document.documentElement.scrollWidth - wide + main.scrollWidth - main.clientWidth;
    return more || out.length ? `${more} pixels: ${out.slice(0, 5).map((e) => e.outerHTML)}` : '';
}"""


def unfold(page: Page) -> None:
    """Open all that is folded away, also inside what was."""
    for _ in range(4):
        closed = page.locator(CLOSED)
        many = closed.count()
        if not many:
            return
        for _ in range(many):
            page.locator(CLOSED).first.click()
        idle(page)
    expect(page.locator(CLOSED)).to_have_count(0)


def faults(page: Page, tries: int = 3) -> list[str]:
    """What axe finds on the page, also when looked at again: a page may still be moving."""
    found = Axe().run(page, options=OPTIONS)
    if found.response["violations"] and tries > 1:
        page.wait_for_timeout(1000)
        idle(page)
        return faults(page, tries - 1)
    return [
        f"{fault['id']}: {node['target']} {node['failureSummary']}"
        for fault in found.response["violations"]
        for node in fault["nodes"]
    ]


def with_policy(route: Route) -> None:
    """Hand out the page with the policy of docs/server.md."""
    assert POLICY is not None
    if not route.request.is_navigation_request():
        route.continue_()
        return
    answer = route.fetch()
    headers = {
        k: v for k, v in answer.headers.items() if k not in ("content-encoding", "content-length")
    }
    route.fulfill(response=answer, headers=headers | {"content-security-policy": POLICY[1]})


def test_each_page_of_the_menu_has_an_address() -> None:
    assert {path.split("?")[0] or "overview" for path in ADDRESSES.values()} == set(PAGES)


@pytest.mark.parametrize("name", sorted(set(ADDRESSES) - {"cluster-fuel", "history-unknown"}))
def test_page_is_for_everybody(visit: Open, sample_app: str, name: str) -> None:
    page = visit(sample_app, None)
    refused: list[str] = []
    page.on(
        "console",
        lambda said: (
            refused.append(said.text)
            if "Content Security Policy" in said.text and CRAWLERS not in said.text
            else None
        ),
    )
    page.route("**/*", with_policy)
    page.goto(f"{sample_app}/{ADDRESSES[name]}")
    settled(page)
    unfold(page)
    assert faults(page) == []
    for chart in page.get_by_test_id("stPlotlyChart").all():
        expect(chart).to_have_attribute("aria-label", re.compile(".{30}"))
    for size, (width, height) in SIZES.items():
        page.set_viewport_size({"width": width, "height": height})
        with suppress(Error):
            page.wait_for_function(f"() => ({SPILLS})() === ''", timeout=5000)
        assert page.evaluate(SPILLS) == "", size
    assert refused == []


def test_what_pops_up_is_for_everybody(visit: Open, sample_app: str) -> None:
    page = visit(sample_app, "cluster?symptom=blister")
    settled(page)
    page.get_by_role("button", name="People: hidden").click()
    expect(page.get_by_role("dialog")).to_be_visible()
    assert faults(page) == []
