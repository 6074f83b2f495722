"""Records loaded from the browser: sent, watched, opened anew in the middle, stopped."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.acts import PATIENCE, fill, says
from tests.browser.app_server import running_app
from tests.browser.conftest import Open
from tests.browser.test_every_page import faults
from tracegraph.store import StoreDirectory

pytestmark = pytest.mark.browser

HULLS = (
    "hull_serial,model,completed_on,shipped_on,in_service_on\n"
    "BT-1,S22,2025-01-05,2025-01-06,2025-02-01\nBT-2,S22,2025-01-05,2025-01-06,2025-02-01\n"
)
CLAIMS = "claim_no,hull_serial,opened_on,symptom\n1,BT-1,2025-06-01,leak\n2,,2025-06-01,leak\n"


def shows(page: Page, text: str) -> None:
    expect(page.get_by_text(text).first).to_be_visible(timeout=PATIENCE)


def send(page: Page, *files: Path) -> None:
    page.locator("input[type=file]").set_input_files([*files])
    button = page.get_by_role("button", name="Load these files")
    expect(button).to_be_enabled(timeout=PATIENCE)
    button.click()


def endless(folder: Path) -> Path:
    """A folder whose query gives rows until it is stopped."""
    folder.mkdir()
    sqlite3.connect(folder / "desk.db").close()
    (folder / "intake.toml").write_text(
        '[[queries]]\nname = "endless"\nurl = "sqlite:///desk.db"\n'
        'sql = "WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM n) SELECT x FROM n"\n'
        '[[queries.tables]]\ntable = "lots"\ncolumns = { material = "x", lot_no = "x" }\n'
    )
    return folder


def test_stop_open_anew_and_send_files(visit: Open, tmp_path: Path) -> None:
    store = tmp_path / "store"
    with running_app(store, tmp_path / "app.log") as address:
        page, other = visit(address), visit(address, "records")
        says(page, "No records yet.")
        assert faults(page) == []
        fill(page, "Folder on the app's machine", str(endless(tmp_path / "endless")))
        page.get_by_role("button", name="Load this folder").click()
        shows(page, "rows so far")
        assert faults(page) == []
        for session in (page, other):  # opened anew it goes on, and nobody begins a second one
            session.reload(timeout=PATIENCE)
            shows(session, "the folder endless, begun by owner")
            expect(session.get_by_role("button", name="Load this folder")).to_have_count(0)
        other.get_by_role("button", name="Stop the load").click()
        shows(page, "The load was stopped; the records before it stay in force.")
        assert StoreDirectory(store).current() is None
        assert not list(store.glob("*.unfinished"))

        (tmp_path / "hulls.csv").write_text(HULLS)
        (tmp_path / "claims.csv").write_text(CLAIMS)
        (tmp_path / "lots.csv").write_text("material,lot_no\nresin,R-1\n")
        send(page, tmp_path / "hulls.csv", tmp_path / "claims.csv")
        says(page, "1 of 2 hulls")

        page.goto(f"{address}/records")
        shows(page, "4 rows of 2 files seen, 3 loaded, 1 set aside with their reason.")
        page.get_by_text("What became of each file").click()
        shows(page, "2 files.")
        page.get_by_role("button", name="Put this away").click()
        page.get_by_text("Load more records").click()
        shows(page, "Up to 100 files of 50 MB each")
        send(page, tmp_path / "lots.csv")
        shows(page, "1 row of 1 file seen, 1 loaded, 0 set aside with their reason.")
        page.close()
