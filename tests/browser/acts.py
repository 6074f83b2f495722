"""What a reader does with a page, and waiting until the page has answered."""

from __future__ import annotations

from playwright.sync_api import Page, expect

PATIENCE = 60_000
RANKING = 480_000
"""Milliseconds for one answer, and for ranking all clusters of the sample on a busy machine."""

ROW, HEAD = 35, 35


def idle(page: Page) -> None:
    """Wait until the app has finished its run, and what it works at in sight of the reader."""
    expect(page.locator(".st-key-working")).to_have_count(0, timeout=RANKING)
    expect(page.get_by_test_id("stApp")).to_have_attribute(
        "data-test-script-state", "notRunning", timeout=RANKING
    )
    # Tables, figures and controls that the browser has yet to draw.
    expect(page.get_by_test_id("stSkeleton")).to_have_count(0, timeout=PATIENCE)


def settled(page: Page) -> None:
    """Wait until the page says its one sentence, or what went wrong, and the run is over."""
    page.wait_for_selector(".st-key-headline, .st-key-alarm-error", timeout=PATIENCE)
    idle(page)


def says(page: Page, text: str) -> None:
    """See that the page's one sentence holds a text, once the run is over."""
    expect(page.locator(".st-key-headline")).to_contain_text(text, timeout=PATIENCE)
    idle(page)


def choose_row(page: Page, row: int) -> None:
    """Click the box of a row of the first table, which is a canvas."""
    table = page.get_by_test_id("stDataFrame").first
    table.scroll_into_view_if_needed()
    box = None
    while (now := table.bounding_box()) is None or now != box:  # what stands above still grows
        box = now
        page.wait_for_timeout(150)
    page.mouse.click(box["x"] + 18, box["y"] + HEAD + row * ROW + ROW / 2)


def fill(page: Page, label: str, text: str) -> None:
    """Type into a field and leave it."""
    box = page.get_by_label(label, exact=True)
    box.fill(text)
    box.press("Enter")
    idle(page)
