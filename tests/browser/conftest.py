"""One browser for all browser tests, and one app on the sample for those that change nothing."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from filelock import FileLock
from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.app_server import browser_path, running_app
from tests.support.case_entries import opened
from tracegraph.cases import CaseStore, default_cases_url

Open = Callable[..., Page]

OTHERS_SECONDS = 600
"""How long the worker that started the app waits for the others to be done with it."""


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = browser_path()
    if path is None:
        reason = "no Chromium found: install it, or name it in CHROMIUM"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as play:
        running = play.chromium.launch(
            executable_path=path,
            args=[
                "--no-sandbox",
                "--disable-gpu",
                "--disable-dev-shm-usage",
                # A page handed out with a changed header no longer counts as this machine's.
                "--disable-features=LocalNetworkAccessChecks",
            ],
        )
        yield running
        running.close()


@pytest.fixture(scope="session")
def sample_app(ranked_sample: Path) -> Iterator[str]:
    """Address of an app on a copy of the sample with one case file, for all browser tests.

    The workers of a run share it, so that what takes long is worked out once.
    """
    folder = ranked_sample.with_name("browser")
    guard = FileLock(folder.with_suffix(".lock"))
    users, address = folder / "users", folder / "address"
    with ExitStack() as mine:
        with guard:
            first = not folder.exists()
            if first:
                store = Path(shutil.copytree(ranked_sample, folder / "yard"))
                CaseStore(default_cases_url(store)).open_case("QL-1", opened()[1])
                address.write_text(mine.enter_context(running_app(store, folder / "app.log")))
                users.write_text("0")
            users.write_text(str(int(users.read_text()) + 1))
        yield address.read_text()
        with guard:
            users.write_text(str(int(users.read_text()) - 1))
        end = time.monotonic() + OTHERS_SECONDS
        while first and int(users.read_text()) and time.monotonic() < end:
            time.sleep(0.2)


@pytest.fixture
def visit(browser: Browser) -> Iterator[Open]:
    """Open an address in a session of its own, and see that nothing leaves its server.

    No page may ask another server for anything, open a dialog, or fail in its script.
    """
    contexts = []
    foreign: list[str] = []
    wrong: list[str] = []

    def open_page(
        address: str, path: str | None = "", *, width: int = 1280, height: int = 1000
    ) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": height},
            accept_downloads=True,
            reduced_motion="reduce",  # nothing turns round while a page is waited for
        )
        contexts.append(context)
        page = context.new_page()
        own = (address, address.replace("http", "ws"), "data:", "blob:")
        page.on(
            "request",
            lambda asked: None if asked.url.startswith(own) else foreign.append(asked.url),
        )
        page.on("websocket", lambda socket: own_only(socket.url, own))
        page.on("dialog", lambda dialog: (wrong.append(dialog.message), dialog.dismiss()))
        if path is not None:
            page.goto(f"{address}/{path}")
        return page

    def own_only(url: str, own: tuple[str, ...]) -> None:
        if not url.startswith(own):
            foreign.append(url)

    yield open_page
    for context in contexts:
        context.close()
    assert foreign == []
    assert wrong == []
