"""The Overview prints on one sheet."""

from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader

from tests.browser.acts import settled
from tests.browser.conftest import Open

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_overview_prints_on_one_sheet(sample_app: str, visit: Open, paper: str) -> None:
    page = visit(sample_app, height=900)
    page.get_by_text("No shared factor stands out in").wait_for(timeout=90_000)
    settled(page)
    sheets = PdfReader(BytesIO(page.pdf(format=paper))).pages
    assert len(sheets) == 1
    text = " ".join(sheets[0].extract_text().split())
    assert "678 of 1,200 hulls have a claim" in text
    assert "Blister: 22 of 55 hulls" in text
    assert "data version" in text
    assert "Download CSV" not in text
