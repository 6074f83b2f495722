"""Take a picture of every page at two widths, to be looked at.

    python -m tests.browser.screenshots OUT [STORE]

Without a store the sample is loaded first.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, expect, sync_playwright

from tests.browser.app_server import ROOT, browser_path, running_app
from tracegraph.intake.load import load_folder
from tracegraph.store import StoreDirectory

WIDTHS = (1280, 800)
PAGES = {
    "overview": "",
    "cluster-blister": "cluster?symptom=blister",
    "cluster-fuel": "cluster?symptom=fuel+smell",
    "cluster-nothing": "cluster?symptom=steering+stiffness",
    "cluster-unknown": "cluster?symptom=blistr",
    "history": "history?hull=S26-0095",
    "history-blank": "history",
    "history-unknown": "history?hull=S99-1",
    "containment": "containment?symptom=fuel+smell&factor=hull:+fuel+hose:+lot&level=FH-00342",
    "containment-blank": "containment",
    "cases": "cases?symptom=blister",
    "case": "cases?case=C-0001",
    "records": "records",
    "methods": "methods?section=the-order-of-evidence-the-usual-one",
}


def main() -> None:
    """Write the pictures."""
    out = Path(sys.argv[1])
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        store = Path(sys.argv[2]) if len(sys.argv) > 2 else Path(folder) / "store"
        if len(sys.argv) <= 2:
            load_folder(ROOT / "sample_builds", StoreDirectory(store), fresh=True)
        log = Path(folder) / "app.log"
        empty = Path(folder) / "empty"
        with running_app(store, log) as address:
            _take(address, PAGES, out)
        with running_app(empty, log) as address:
            _take(address, {"first-run": ""}, out)


def settled(page: Page) -> None:
    """Wait until the app has finished its run."""
    page.wait_for_selector(".st-key-headline, .st-key-alarm-error", timeout=90_000)
    expect(page.locator(".st-key-working")).to_have_count(0, timeout=240_000)
    expect(page.get_by_test_id("stApp")).to_have_attribute(
        "data-test-script-state", "notRunning", timeout=90_000
    )


def _take(address: str, pages: dict[str, str], out: Path) -> None:
    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=browser_path(), args=["--no-sandbox", "--disable-gpu"]
        )
        for width in WIDTHS:
            for name, path in pages.items():
                page = browser.new_page(viewport={"width": width, "height": 1000})
                page.goto(f"{address}/{path}")
                settled(page)
                page.wait_for_timeout(900)
                settled(page)
                tall = page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
                page.set_viewport_size({"width": width, "height": min(int(tall) + 40, 6000)})
                page.wait_for_timeout(700)
                page.screenshot(path=out / f"{name}_{width}.png")
                page.close()
        browser.close()


if __name__ == "__main__":
    main()
