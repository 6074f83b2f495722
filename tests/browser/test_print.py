"""The Overview prints on one sheet."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.browser.acts import settled
from tests.browser.app_server import running_app
from tests.browser.conftest import Open
from tracegraph.analysis.first_suspects import first_suspects
from tracegraph.store import open_store

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def ranked_app(sample_store: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """An app on the sample, all of whose clusters are ranked."""
    folder = tmp_path_factory.mktemp("print")
    store = Path(shutil.copytree(sample_store, folder / "yard"))
    with open_store(store) as records:
        list(first_suspects(records))
    with running_app(store, folder / "app.log") as address:
        yield address


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_overview_prints_on_one_sheet(ranked_app: str, visit: Open, paper: str) -> None:
    page = visit(ranked_app, height=900)
    page.get_by_text("No shared factor stands out in").wait_for(timeout=90_000)
    settled(page)
    sheets = PdfReader(BytesIO(page.pdf(format=paper))).pages
    assert len(sheets) == 1
    text = " ".join(sheets[0].extract_text().split())
    assert "678 of 1,200 hulls have a claim" in text
    assert "Blister: 22 of 55 hulls" in text
    assert "data version" in text
    assert "Download CSV" not in text
