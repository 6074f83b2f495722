"""The Overview prints on one sheet."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from pypdf import PdfReader

from tests.browser.app_server import ROOT, running_app
from tests.browser.screenshots import settled
from tests.browser.test_browser import browser  # noqa: F401  a fixture
from tracegraph.intake.load import load_folder
from tracegraph.store import StoreDirectory

pytestmark = pytest.mark.browser


def test_the_overview_prints_on_one_sheet(browser: Browser, tmp_path: Path) -> None:  # noqa: F811
    store = tmp_path / "store"
    load_folder(ROOT / "sample_builds", StoreDirectory(store), fresh=True)
    with running_app(store, tmp_path / "app.log") as address:
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.goto(address)
        page.get_by_text("No shared factor stands out in 12 of 17").wait_for(timeout=90_000)
        settled(page)
        for paper in ("A4", "Letter"):
            sheets = PdfReader(BytesIO(page.pdf(format=paper))).pages
            assert len(sheets) == 1, paper
            text = " ".join(sheets[0].extract_text().split())
            assert "678 of 1,200 hulls have a claim" in text
            assert "Blister: 22 of 55 hulls" in text
            assert "data version" in text
            assert "Download CSV" not in text
        page.close()
