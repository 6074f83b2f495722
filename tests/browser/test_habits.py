"""Habits of all pages: the address says what is shown, back goes back, figures can be saved."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.acts import settled
from tests.browser.conftest import Open

pytestmark = pytest.mark.browser

PATIENCE = 60_000
LOT = "Suspects: gelcoat lot GW-2147."


def test_a_mark_is_chosen_by_keyboard_and_by_click_and_back_goes_back(
    sample_app: str, visit: Open
) -> None:
    page = visit(sample_app, "cluster?symptom=blister", height=3000)
    settled(page)
    box = page.get_by_role("combobox", name="Mark", exact=True)
    box.focus()
    page.keyboard.type("GW-2147")
    page.keyboard.press("Enter")
    expect(page.get_by_text(LOT)).to_be_visible(timeout=PATIENCE)
    expect(page).to_have_url(re.compile("mark=suspects"), timeout=PATIENCE)
    marked = page.url
    page.go_back()
    expect(page.get_by_text(LOT)).to_have_count(0, timeout=PATIENCE)
    assert "symptom=blister" in page.url
    settled(page)
    # The figure's last trace of marks holds the suspects; its points answer clicks.
    points = _figure(page, "convergence").locator(".scatterlayer .point")
    points.last.click(force=True)
    expect(page).to_have_url(re.compile("mark=suspects"), timeout=PATIENCE)
    mailed = visit(sample_app, marked.removeprefix(f"{sample_app}/"))
    expect(mailed.get_by_text(LOT)).to_be_visible(timeout=PATIENCE)


@pytest.mark.parametrize("kind", ["svg", "png"])
def test_a_figure_is_saved_as_the_reader_wants_it(
    sample_app: str, visit: Open, tmp_path: Path, kind: str
) -> None:
    page = visit(sample_app, "cluster?symptom=blister&figures=" + kind)
    settled(page)
    figure = _figure(page, "ladder")
    figure.hover()
    with page.expect_download(timeout=PATIENCE) as waiting:
        figure.get_by_role("button", name="Download plot").click()
    assert waiting.value.suggested_filename == f"ladder.{kind}"
    waiting.value.save_as(tmp_path / "figure")
    begins = (tmp_path / "figure").read_bytes()[:200]
    assert begins.startswith(b"\x89PNG\r\n") if kind == "png" else b"<svg" in begins


def test_headings_say_what_they_mean_and_lead_to_how_numbers_are_made(
    sample_app: str, visit: Open
) -> None:
    page = visit(sample_app, "cluster?symptom=blister")
    settled(page)
    page.get_by_role("link", name="How it is made").nth(1).click()
    expect(page.get_by_role("heading", name="The order of evidence")).to_be_visible(
        timeout=PATIENCE
    )
    page.get_by_role("link", name="Cluster", exact=True).first.click()
    expect(page.locator(".st-key-headline")).to_contain_text("GW-2147", timeout=PATIENCE)


def _figure(page: Page, key: str) -> Locator:
    return page.locator(f".st-key-{key} .js-plotly-plot")
