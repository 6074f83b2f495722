"""Take a picture of every page at two widths, to be looked at.

    python -m tests.browser.screenshots OUT [STORE]

Without a store the sample is loaded first, and a case file opened.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser.acts import settled
from tests.browser.addresses import ADDRESSES
from tests.browser.app_server import ROOT, browser_path, running_app
from tests.support.case_entries import opened
from tracegraph.cases import CaseStore, default_cases_url
from tracegraph.intake.load import load_folder
from tracegraph.store import StoreDirectory

WIDTHS = (1280, 800)


def main() -> None:
    """Write the pictures."""
    out = Path(sys.argv[1])
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        store = Path(sys.argv[2]) if len(sys.argv) > 2 else Path(folder) / "store"
        if len(sys.argv) <= 2:
            load_folder(ROOT / "sample_builds", StoreDirectory(store), fresh=True)
            CaseStore(default_cases_url(store)).open_case("QL-1", opened()[1])
        log = Path(folder) / "app.log"
        empty = Path(folder) / "empty"
        with running_app(store, log) as address:
            _take(address, ADDRESSES, out)
        with running_app(empty, log) as address:
            _take(address, {"first-run": ""}, out)


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
