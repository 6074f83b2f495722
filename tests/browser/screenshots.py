"""Take pictures of every page, to be looked at, or those that stand in docs/.

    python -m tests.browser.screenshots OUT [STORE]     every page at two widths, whole
    python -m tests.browser.screenshots                 docs/images: one of each page

Without a store the sample is loaded first, and a case file opened.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.acts import settled
from tests.browser.addresses import ADDRESSES
from tests.browser.app_server import ROOT, browser_path, running_app
from tests.support.case_entries import opened
from tracegraph.cases import CaseStore, default_cases_url
from tracegraph.intake.load import load_folder
from tracegraph.store import StoreDirectory

WIDTHS = (1280, 800)
IMAGES = ROOT / "docs" / "images"
SHOWN = {
    "overview": "overview",
    "cluster": "cluster-blister",
    "build-history": "history",
    "containment": "containment",
    "case-file": "case",
    "records": "records",
}
"""Picture in docs/, and which page it shows."""

HEIGHT = 1500


def main() -> None:
    """Write the pictures."""
    with tempfile.TemporaryDirectory() as folder:
        store = Path(sys.argv[2]) if len(sys.argv) > 2 else sample(Path(folder) / "sample")
        with running_app(store, Path(folder) / "app.log") as address, chromium() as browser:
            if len(sys.argv) == 1:
                for name, page in SHOWN.items():
                    take(browser, f"{address}/{ADDRESSES[page]}", IMAGES / f"{name}.png", HEIGHT)
                return
            out = Path(sys.argv[1])
            out.mkdir(parents=True, exist_ok=True)
            take_all(browser, address, ADDRESSES, out)
            empty = Path(folder) / "empty"
            with running_app(empty, Path(folder) / "empty.log") as nothing:
                take_all(browser, nothing, {"first-run": ""}, out)


def sample(store: Path) -> Path:
    """Load the sample and open a case file beside it."""
    load_folder(ROOT / "sample_builds", StoreDirectory(store), fresh=True)
    CaseStore(default_cases_url(store)).open_case("QL-1", opened()[1])
    return store


@contextmanager
def chromium() -> Iterator[Browser]:
    """The system's browser."""
    with sync_playwright() as play:
        arguments = ["--no-sandbox", "--disable-gpu"]
        browser = play.chromium.launch(executable_path=browser_path(), args=arguments)
        yield browser
        browser.close()


def take_all(browser: Browser, address: str, pages: Mapping[str, str], out: Path) -> None:
    """Whole pages at each width."""
    for width in WIDTHS:
        for name, path in pages.items():
            take(browser, f"{address}/{path}", out / f"{name}_{width}.png", width=width)


def take(
    browser: Browser, address: str, out: Path, height: int | None = None, *, width: int = 1280
) -> None:
    """One page, whole or its upper part."""
    page = browser.new_page(viewport={"width": width, "height": height or 1000})
    page.goto(address)
    quiet(page)
    if height is None:
        tall = page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
        page.set_viewport_size({"width": width, "height": min(int(tall) + 40, 6000)})
        quiet(page)
    page.screenshot(path=out)
    page.close()


def quiet(page: Page) -> None:
    """Wait until the page stands still."""
    settled(page)
    page.wait_for_timeout(900)
    settled(page)


if __name__ == "__main__":
    main()
