"""One reader's way through the app in a real browser, and nothing leaves the server."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.acts import PATIENCE, choose_row, says
from tests.browser.app_server import running_app
from tests.pages.test_pages import hostile_folder
from tracegraph.intake.load import load_folder
from tracegraph.store import StoreDirectory

pytestmark = pytest.mark.browser


def test_from_an_empty_store_to_a_hold_list(browser: Browser, tmp_path: Path) -> None:
    with running_app(tmp_path / "store", tmp_path / "app.log") as address:
        page = browser.new_page(viewport={"width": 1280, "height": 1000}, accept_downloads=True)
        foreign: list[str] = []
        page.on(
            "request",
            lambda request: (
                foreign.append(request.url)
                if not request.url.startswith(
                    (address, address.replace("http", "ws"), "data:", "blob:")
                )
                else None
            ),
        )
        alerts: list[str] = []
        page.on("dialog", lambda dialog: alerts.append(dialog.message))

        page.goto(address)
        says(page, "No records yet.")
        page.get_by_role("button", name="Load the sample").click()
        says(page, "of 1,200 hulls have a claim")

        page.get_by_role("link", name="Look at it").nth(1).click()
        says(page, "carry hull: gelcoat spray: gelcoat lot GW-2147")
        assert "symptom=blister" in page.url

        choose_row(page, 3)
        expect(
            page.get_by_text("hulls with hull: fuel tank: lot TK-00338 are affected")
        ).to_be_visible(timeout=PATIENCE)
        expect(page).to_have_url(re.compile("level=TK-00338"), timeout=PATIENCE)

        page.get_by_role("link", name="Build history").first.click()
        says(page, "Which hull?")
        box = page.get_by_label("Hull, claim, part, component, job or hull identification number")
        box.fill("s26 0095")
        box.press("Enter")
        says(page, "Hull S26-0095, S26")
        expect(page.get_by_text("gelcoat spray").first).to_be_visible()

        page.goto(
            f"{address}/containment?symptom=fuel+smell&factor=hull:+fuel+hose:+lot&level=FH-00342"
        )
        says(page, "39 hulls carry hull: fuel hose: lot FH-00342")
        with page.expect_download(timeout=PATIENCE) as waiting:
            page.get_by_role("button", name="Hold list as CSV").click()
        held = tmp_path / "hold-list.csv"
        waiting.value.save_as(held)
        lines = held.read_text(encoding="utf-8-sig").splitlines()
        assert lines[0].startswith('"hull_serial","hin"')
        assert sum('"recorded"' in line for line in lines) == 39

        assert foreign == []
        assert alerts == []
        page.close()


def test_hostile_records_run_nothing(browser: Browser, tmp_path: Path) -> None:
    store = tmp_path / "store"
    load_folder(hostile_folder(tmp_path), StoreDirectory(store), fresh=True)
    with running_app(store, tmp_path / "app.log") as address:
        page = browser.new_page(viewport={"width": 1280, "height": 1000})
        alerts: list[str] = []
        page.on("dialog", lambda dialog: alerts.append(dialog.message))
        for path, text in (
            ("cluster", "affected hulls carry deck: gelcoat spray: gelcoat lot <img src=x"),
            ("history?hull=H1", "Hull H1, <img src=x onerror=alert(1)> **b** $x$"),
        ):
            page.goto(f"{address}/{path}")
            says(page, text)
            expect(page.locator(".js-plotly-plot").first).to_be_visible(timeout=PATIENCE)
            expect(page.locator("img[src='x']")).to_have_count(0)
            expect(page.locator(".js-plotly-plot a")).to_have_count(0)
        figure = page.locator(".js-plotly-plot").first
        figure.hover()
        with page.expect_download(timeout=PATIENCE) as waiting:
            figure.get_by_role("button", name="Download plot").click()
        assert waiting.value.suggested_filename == "timeline.svg"
        waiting.value.save_as(tmp_path / "timeline.svg")
        drawn = (tmp_path / "timeline.svg").read_text(encoding="utf-8")
        assert "<img" not in drawn
        assert "<script" not in drawn
        assert alerts == []
        page.close()
