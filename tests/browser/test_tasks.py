"""Each of three people does the whole task; links, ways back, mistakes, two at once, keys alone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.acts import PATIENCE, RANKING, choose_row, fill, idle, says
from tests.browser.conftest import Open

pytestmark = pytest.mark.browser

WHICH = "Hull, claim, part, component, job or hull identification number"
HOSE = "containment?symptom=fuel+smell&factor=hull:+fuel+hose:+lot&level=FH-00342"


def choose(page: Page, label: str, option: str) -> None:
    """Choose from a list by its label, typing what is looked for."""
    box = page.get_by_role("combobox", name=label, exact=True)
    box.click()
    box.fill(option)
    page.get_by_role("option", name=option, exact=True).click(timeout=PATIENCE)
    idle(page)


def test_quality_lead_from_cluster_to_hold(visit: Open, sample_app: str, tmp_path: Path) -> None:
    page = visit(sample_app, "cluster")
    idle(page)
    choose(page, "Symptom", "fuel smell")
    says(page, "affected hulls carry hull: fuel hose: lot FH-00342")
    expect(page.get_by_text("refer to a person today").first).to_be_visible()
    expect(page).to_have_url(re.compile("level=FH-00342"))

    page.get_by_role("link", name="Containment").last.click()
    says(page, "39 hulls carry hull: fuel hose: lot FH-00342")
    with page.expect_download(timeout=PATIENCE) as waiting:
        page.get_by_role("button", name="Hold list as CSV").click()
    waiting.value.save_as(tmp_path / "hold-list.csv")
    lines = (tmp_path / "hold-list.csv").read_text(encoding="utf-8-sig").splitlines()
    assert lines[0].startswith('"hull_serial","hin"')
    assert sum('"recorded"' in line for line in lines) == 39

    expect(page.get_by_text("States add up to 41 exposed hulls: 41 unknown")).to_be_visible()
    expect(page.get_by_role("button", name="Write down")).to_be_disabled()
    choose(page, "Hulls", "S22-0361")
    page.keyboard.press("Escape")
    fill(page, "Who", "QL-1")
    fill(page, "Why", "letter of 9 March")
    page.get_by_role("button", name="Write down").click()
    expect(
        page.get_by_text("States add up to 41 exposed hulls: 40 unknown, 1 notified")
    ).to_be_visible(timeout=PATIENCE)


@pytest.mark.parametrize("typed", ["s26 0095", " w10657 "])
def test_engineer_from_one_claim_to_its_genealogy(visit: Open, sample_app: str, typed: str) -> None:
    page = visit(sample_app, "history")
    says(page, "Which hull?")
    fill(page, WHICH, typed)
    says(page, "Hull S26-0095, S26: 5 claim lines.")
    expect(page.locator(".js-plotly-plot").first).to_be_visible(timeout=PATIENCE)
    expect(page.get_by_text("Out of the ordinary")).to_be_visible()
    page.get_by_text("What went into it").click()
    expect(page.locator(".stCode")).to_contain_text("gelcoat GD-2137/D02", timeout=PATIENCE)
    expect(page.locator(".stCode")).not_to_contain_text("person")


def test_manager_reads_what_stands_behind(visit: Open, sample_app: str) -> None:
    page = visit(sample_app)
    says(page, "678 of 1,200 hulls have a claim: 1,334 claim lines")
    expect(
        page.get_by_text("Blister: 22 of 55 hulls with hull: gelcoat spray: gelcoat lot GW-2147")
    ).to_be_visible(timeout=RANKING)
    expect(page.get_by_text("May hurt someone: refer to a person today.").first).to_be_visible()
    idle(page)
    page.get_by_role("link", name="Look at it").nth(1).click()
    says(page, "carry hull: gelcoat spray: gelcoat lot GW-2147")


def test_a_pasted_link_opens_the_same_view_and_back_works(visit: Open, sample_app: str) -> None:
    page = visit(sample_app, "cluster?symptom=blister")
    says(page, "carry hull: gelcoat spray: gelcoat lot GW-2147")
    choose_row(page, 3)
    chosen = "hulls with hull: fuel tank: lot TK-00338 are affected"
    expect(page.get_by_text(chosen)).to_be_visible(timeout=PATIENCE)
    expect(page).to_have_url(re.compile("level=TK-00338"), timeout=PATIENCE)
    other = visit(sample_app, page.url.removeprefix(f"{sample_app}/"))
    expect(other.get_by_text(chosen)).to_be_visible(timeout=PATIENCE)

    idle(page)
    left = page.url
    page.get_by_role("link", name="Build history").first.click()
    says(page, "Which hull?")
    expect(page).to_have_url(re.compile("history.*level=TK-00338"), timeout=PATIENCE)
    page.go_back()
    expect(page).to_have_url(left, timeout=PATIENCE)
    says(page, "carry hull: gelcoat spray: gelcoat lot GW-2147")
    expect(page.get_by_text(chosen)).to_be_visible(timeout=PATIENCE)


def test_two_sessions_at_once_do_not_disturb_each_other(visit: Open, sample_app: str) -> None:
    one, two = visit(sample_app, "history?hull=S26-0095"), visit(sample_app, HOSE)
    says(two, "39 hulls carry hull: fuel hose: lot FH-00342")
    says(one, "Hull S26-0095")
    fill(one, WHICH, "S22-0361")
    says(one, "Hull S22-0361")
    one.get_by_role("button", name="People: hidden").click()
    one.get_by_text("Show them").click()
    idle(one)
    fill(one, "Reason", "training records")
    expect(one.get_by_role("button", name="People: shown")).to_be_visible(timeout=PATIENCE)
    two.reload()
    says(two, "39 hulls carry hull: fuel hose: lot FH-00342")
    expect(two.get_by_role("button", name="People: hidden")).to_be_visible()
    assert "S22-0361" not in two.url


@pytest.mark.parametrize(
    ("path", "sentence"),
    [
        ("cluster?symptom=blistr", "Near: blister."),
        ("cluster?from=soon", "from in the address must be a date like 2026-03-09"),
        ("history?hull=%3Cscript%3Ealert(1)%3C/script%3E", "There is no"),
        ("containment?factor=hull:+mold&level=NONE", "NONE"),
        ("records?store=../../etc", "store in the address must name a store beside"),
    ],
)
def test_mistakes_are_answered_in_words(
    visit: Open, sample_app: str, path: str, sentence: str
) -> None:
    page = visit(sample_app, path)
    expect(page.locator(".st-key-alarm-error")).to_contain_text(sentence, timeout=PATIENCE)
    expect(page.get_by_test_id("stException")).to_have_count(0)


def test_the_engineers_task_is_done_by_keys_alone(visit: Open, sample_app: str) -> None:
    page = visit(sample_app)
    says(page, "678 of 1,200 hulls have a claim")
    press_until(page, "Tab", lambda: focused(page, "Build history"))
    page.keyboard.press("Enter")
    says(page, "Which hull?")
    press_until(page, "Tab", lambda: focused(page, WHICH))
    page.keyboard.type("w10657")
    page.keyboard.press("Enter")
    says(page, "Hull S26-0095, S26: 5 claim lines.")
    press_until(page, "Tab", lambda: focused(page, "What went into it"), most=200)
    page.keyboard.press("Enter")
    expect(page.locator(".stCode")).to_contain_text("gelcoat GD-2137/D02", timeout=PATIENCE)


def focused(page: Page, words: str) -> bool:
    """Whether the focus is on what is called so, and can be seen to be."""
    return bool(
        page.evaluate(
            """(words) => {
                const at = document.activeElement;
                const named = (at.getAttribute('aria-label') || at.innerText || '').trim();
                return named.replace(/\\s+/g, ' ').endsWith(words)
                    && at.matches(':focus-visible');
            }""",
            words,
        )
    )


def press_until(page: Page, key: str, there: object, most: int = 40) -> None:
    """Press a key until something is so."""
    assert callable(there)
    for _ in range(most):
        if there():
            return
        page.keyboard.press(key)
    raise AssertionError(f"{most} times {key} did not lead there")
