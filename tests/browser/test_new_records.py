"""Records that are loaded while somebody looks are told, and shown from then on."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.acts import PATIENCE, fill, says
from tests.browser.app_server import running_app
from tests.browser.conftest import Open
from tests.pages.test_pages import hostile_folder
from tracegraph.intake.load import load_folder
from tracegraph.store import StoreDirectory

pytestmark = pytest.mark.browser


def test_records_that_come_while_a_page_is_open_are_told(visit: Open, tmp_path: Path) -> None:
    store = tmp_path / "store"
    load_folder(hostile_folder(tmp_path), StoreDirectory(store), fresh=True)
    more = tmp_path / "more"
    more.mkdir()
    (more / "claims.csv").write_text(
        "claim_no,hull_serial,opened_on,symptom\nN1,H7,2026-01-05,leak\n"
    )
    with running_app(store, tmp_path / "app.log") as address:
        page = visit(address, "history?hull=H1")
        says(page, "Hull H1")
        load_folder(more, StoreDirectory(store))
        fill(page, "Hull, claim, part, component, job or hull identification number", "H7")
        says(page, "Hull H7")
        expect(page.get_by_text("The records were loaded anew")).to_be_visible(timeout=PATIENCE)
        expect(page.get_by_text("1 claim line").first).to_be_visible(timeout=PATIENCE)
        page.close()
