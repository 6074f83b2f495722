"""Signing in at a provider, and what each role may do: a shared server as it is set up."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.acts import PATIENCE, fill, idle, says
from tests.browser.app_server import free_port, running, running_app
from tests.browser.test_every_page import faults
from tracegraph.store.audit import read_audit

pytestmark = pytest.mark.browser

PEOPLE = {
    "engineer": {"email": "engineer@yard.example", "email_verified": True, "teams": ["yard"]},
    "lead": {"email": "lead@yard.example", "email_verified": True, "teams": ["yard"]},
    "manager": {"email": "manager@yard.example", "email_verified": True},
    "stranger": {"email": "manager@yard.example", "email_verified": False},
}
ROLES = """
group_claim = "teams"

[[people]]
code = "QL-1"
email = "lead@yard.example"
role = "investigate"

[[people]]
code = "QM-1"
email = "manager@yard.example"
role = "administer"

[[groups]]
name = "yard"
role = "view"
"""


@pytest.fixture(scope="module")
def provider(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """An OpenID Connect provider on this machine that believes whoever names a person."""
    port = free_port()
    command = [sys.executable, "-m", "oidc_provider_mock", "--port", str(port)]
    for name, claims in PEOPLE.items():
        command += ["--user-claims", json.dumps({"sub": name} | claims)]
    address = f"http://localhost:{port}"
    log = tmp_path_factory.mktemp("provider") / "provider.log"
    with running(command, log, f"{address}/.well-known/openid-configuration", os.environ):
        yield address


@pytest.fixture(scope="module")
def shared(provider: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    """Address and folder of an app that several people share, its store still empty."""
    folder = tmp_path_factory.mktemp("shared")
    port = free_port()
    (folder / "access.toml").write_text(ROLES)
    (folder / "secrets.toml").write_text(
        f"""[auth]
redirect_uri = "http://localhost:{port}/oauth2callback"
cookie_secret = "only for this test, and made anew on each server"
client_id = "tracegraph"
client_secret = "only for this test"
server_metadata_url = "{provider}/.well-known/openid-configuration"
"""
    )
    records = folder / "records"
    records.mkdir()
    (records / "hulls.csv").write_text("hull_serial,model\nH1,S18\nH2,S18\n")
    with running_app(
        folder / "yard",
        folder / "app.log",
        port=port,
        settings=["--secrets.files", str(folder / "secrets.toml")],
        environment={"TRACEGRAPH_ACCESS": str(folder / "access.toml")},
    ) as address:
        yield address, folder


def sign_in(browser: Browser, address: str, name: str) -> Page:
    page = browser.new_context().new_page()
    page.goto(address)
    says(page, "Nobody has signed in.")
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("button", name=name, exact=True).click(timeout=PATIENCE)
    page.wait_for_url(f"{address}/**", timeout=PATIENCE)
    return page


def load(page: Page, records: Path) -> None:
    fill(page, "Folder on the app's machine", str(records))
    page.get_by_role("button", name="Load this folder").click()


def test_nobody_sees_records_or_other_pages_without_signing_in(
    browser: Browser, shared: tuple[str, Path]
) -> None:
    page = browser.new_page()
    for path in ("", "records", "cluster?symptom=blister"):
        page.goto(f"{shared[0]}/{path}")
        says(page, "Nobody has signed in. Sign in to see the records.")
        expect(page.get_by_role("link", name="Records")).to_have_count(0)
    assert faults(page) == []
    page.close()


def test_each_role_may_do_what_it_covers(browser: Browser, shared: tuple[str, Path]) -> None:
    address, folder = shared
    viewer = sign_in(browser, address, "engineer")
    says(viewer, "No records yet.")
    expect(viewer.get_by_text("Signed in as engineer@yard.example; role: view.")).to_be_visible()
    load(viewer, folder / "records")
    refusal = viewer.get_by_text("To load records, the role administer is needed")
    expect(refusal).to_be_visible(timeout=PATIENCE)
    assert not (folder / "yard" / "current").exists()

    manager = sign_in(browser, address, "manager")
    says(manager, "No records yet.")
    load(manager, folder / "records")
    says(manager, "No claims on 2 hulls.")

    viewer.goto(f"{address}/containment")
    says(viewer, "Which suspect?")
    show_people(viewer, "curious")
    expect(
        viewer.get_by_text("To show families of people, the role investigate is needed")
    ).to_be_visible(timeout=PATIENCE)

    lead = sign_in(browser, address, "lead")
    lead.goto(f"{address}/containment")
    says(lead, "Which suspect?")
    show_people(lead, "training records")
    expect(lead.get_by_role("button", name="People: shown")).to_be_visible(timeout=PATIENCE)

    answers = [(line.who, line.deed, line.allowed) for line in read_audit(folder / "yard")]
    assert answers == [
        ("engineer@yard.example", "load records", False),
        ("QM-1", "load records", True),
        ("engineer@yard.example", "show families of people", False),
        ("QL-1", "show families of people", True),
    ]

    lead.get_by_role("button", name="Sign out").click()
    lead.wait_for_url(lambda url: not url.startswith(address), timeout=PATIENCE)
    lead.goto(address)
    says(lead, "Nobody has signed in.")
    for page in (viewer, manager, lead):
        page.context.close()


def test_whoever_has_no_role_sees_nothing(browser: Browser, shared: tuple[str, Path]) -> None:
    page = sign_in(browser, shared[0], "stranger")
    expect(page.get_by_text("stranger has signed in but has no role here.")).to_be_visible(
        timeout=PATIENCE
    )
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    expect(page.get_by_role("link", name="Records")).to_have_count(0)
    page.context.close()


def show_people(page: Page, reason: str) -> None:
    page.get_by_role("button", name="People: hidden").click()
    page.get_by_text("Show them").click()
    idle(page)
    fill(page, "Reason", reason)
