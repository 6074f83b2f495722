"""Time the pages of a large plant in the browser: opening each, each act on it, ten at once.

Run: python -m tests.benchmarks.bench_pages CACHE [--hulls 50000] [--records 15e6]
     [--part open,acts,many]

The plant is made by the generator and loaded once into CACHE, then topped up with further
readings until it holds so many records, and used again by later runs. The app runs in a
process of its own. "First word" is the time until the page says its one sentence; "whole"
until nothing is redrawn any more. Of an act it is the time until what was asked for is seen,
the middle of five. With many at once, each reader acts, then rests; all share one browser on
the same cores as the server, so that the figures hold for both together.
"""

from __future__ import annotations

import argparse
import asyncio
import math
import random
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlencode

import duckdb
from playwright.async_api import BrowserContext, async_playwright
from playwright.async_api import Error as PlaywrightError
from playwright.sync_api import Browser, Page, expect, sync_playwright
from playwright.sync_api import BrowserContext as BrowserTab

from tests.browser.app_server import browser_path, running_app
from tracegraph.intake import load_folder
from tracegraph.store import StoreDirectory, open_store
from tracegraph.synthetic import make_builds

TABLES = (
    "hulls", "parts", "operations", "usages", "ambient", "readings", "inspections", "components",
    "lots", "blends", "mold_events", "claims",
)  # fmt: skip
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
PATIENCE = 300_000
HULL = "Hull, claim, part, component, job or hull identification number"
FIRST_WORD = ".st-key-first-word, .st-key-headline, [data-testid=stMain] h2"
LONG = {"Containment", "Cluster", "Overview"}
"""Pages that go on working in sight, for longer than is waited for here; opened last."""

HEADLINE = ".st-key-first-word, .st-key-headline"
TOKEN = """(selector) => {
    const all = [...document.querySelectorAll(selector)];
    const said = (e) => [...e.querySelectorAll('[aria-label]')].map((x) => x.ariaLabel);
    return all.map((e) => e.innerText + said(e)).join('|') || null;
}"""
"""What is to be read in a part of the page, to see when it changes."""

CHANGED = f"([s, t]) => {{ const now = ({TOKEN})(s); return now && now !== t; }}"
REST = 4.0
"""Seconds that each of many readers looks at a page before the next act."""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("cache", type=Path)
    parser.add_argument("--hulls", type=int, default=50_000)
    parser.add_argument("--records", type=float, default=15e6)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--sessions", type=int, default=10)
    parser.add_argument("--minutes", type=float, default=1.0)
    parser.add_argument("--part", default="open,acts,many")
    parser.add_argument("--only", default="", help="Acts whose name holds this.")
    given = parser.parse_args()
    place = plant(given.cache, given.hulls, int(given.records))
    asked = Questions(place)
    parts = given.part.split(",")
    with tempfile.TemporaryDirectory() as scratch:
        log = Path(scratch) / "app.log"
        with running_app(place, log) as address:
            if {"open", "acts"} & set(parts):
                with a_browser() as browser:
                    if "open" in parts:
                        opening(browser, address, asked, given.runs)
                    if "acts" in parts:
                        acts(browser, address, asked, given.runs, given.only)
            if "many" in parts:
                asyncio.run(many(address, asked, given.sessions, given.minutes))
        wrong = [line for line in log.read_text(encoding="utf-8").splitlines() if "rror" in line]
        print(f"lines of the server's log that tell of an error: {len(wrong)}")
        print("\n".join(wrong[:5]))


def plant(cache: Path, hulls: int, records: int) -> Path:
    """The store of the plant, made if it is not there."""
    place = cache / "store"
    directory = StoreDirectory(place)
    if directory.current() is None:
        begin = time.perf_counter()
        make_builds(cache / "made", hulls=hulls, seed=3, scenario="sample")
        load_folder(cache / "made", directory)
        print(f"made and loaded in {time.perf_counter() - begin:.0f} s")
    build = directory.require_current()
    with duckdb.connect(str(build)) as writing:
        lacking = records - counted(writing)
        if lacking > 0:
            # Further gauges on the same work: rows to read past, no new question.
            writing.execute(
                "INSERT INTO readings SELECT r.* REPLACE (printf('gauge %d', n) AS quantity) "
                "FROM readings AS r, range(1, 20) AS g(n) ORDER BY n, r.source_row LIMIT $lacking",
                {"lacking": lacking},
            )
        print(f"{counted(writing):,} records of {hulls:,} hulls")
    return place


def counted(line: duckdb.DuckDBPyConnection) -> int:
    union = " UNION ALL ".join(f"SELECT count(*) AS n FROM {table}" for table in TABLES)
    [(found,)] = line.execute(f"SELECT sum(n) FROM ({union})").fetchall()
    return int(found)


class Questions:
    """What is asked of the plant: two symptoms, some suspects, some hulls."""

    def __init__(self, place: Path) -> None:
        with open_store(place) as store:
            self.symptoms = [
                str(word)
                for (word,) in store.rows(
                    "SELECT symptom FROM claim_index WHERE hull_id IS NOT NULL GROUP BY symptom "
                    "HAVING count(DISTINCT hull_id) <= 1500 "
                    "ORDER BY count(DISTINCT hull_id) DESC"
                )
            ]
            self.hulls = [
                str(serial)
                for (serial,) in store.rows(
                    "SELECT hull_serial FROM hull_index WHERE hull_serial IS NOT NULL "
                    "ORDER BY hash(hull_serial) LIMIT 60"
                )
            ]
            self.lots = [
                (str(family), str(level))
                for family, level in store.rows(
                    "SELECT f.family, l.level FROM exposure AS e JOIN levels AS l USING (level_id) "
                    "JOIN families AS f ON f.family_id = l.family_id "
                    "WHERE f.family = 'hull: gelcoat spray: gelcoat lot' "
                    "GROUP BY f.family, l.level HAVING count(*) BETWEEN 20 AND 400 "
                    "ORDER BY hash(l.level) LIMIT 20"
                )
            ]

    def pages(self, turn: int) -> dict[str, str]:
        """An address of each page; another one each turn, so that no answer is kept."""
        family, level = self.lots[turn % len(self.lots)]
        symptom = self.symptoms[turn % len(self.symptoms)]
        return {
            "How the numbers are made": "methods",
            "Case files": "cases",
            "Records": "records",
            "Build history": "history?" + urlencode({"hull": self.hulls[turn]}),
            "Containment": "containment?"
            + urlencode({"symptom": symptom, "factor": family, "level": level}),
            "Cluster": "cluster?" + urlencode({"symptom": symptom}),
            "Overview": "",
        }


@contextmanager
def a_browser() -> Iterator[Browser]:
    with sync_playwright() as play:
        running = play.chromium.launch(executable_path=browser_path(), args=ARGUMENTS)
        yield running
        running.close()


def idle(page: Page) -> None:
    expect(page.locator(".st-key-working")).to_have_count(0, timeout=PATIENCE)
    expect(page.get_by_test_id("stApp")).to_have_attribute(
        "data-test-script-state", "notRunning", timeout=PATIENCE
    )


def opening(browser: Browser, address: str, asked: Questions, runs: int) -> None:
    """Time to the first word and to the end of drawing, for each page."""
    context = browser.new_context(viewport={"width": 1280, "height": 1000})
    first = context.new_page()
    begin = time.perf_counter()
    first.goto(address)
    first.wait_for_selector(FIRST_WORD, timeout=PATIENCE)
    print(f"\nfirst page of a server and a browser just started: {since(begin):.2f} s")
    first.close()
    print(f"\n{'page opened':<28} {'first':>22} {'again, the middle':>22}")
    print(f"{'':<28} {'first word':>12} {'whole':>9} {'first word':>12} {'whole':>9}")
    for name, path in asked.pages(1).items():
        times = [opened(context, f"{address}/{path}", name) for _ in range(runs + 1)]
        word, whole = (statistics.median(some) for some in zip(*times[1:], strict=True))
        print(
            f"{name:<28} {times[0][0]:>12.2f} {times[0][1]:>9.2f} {word:>12.2f} {whole:>9.2f}",
            flush=True,
        )
    context.close()


def opened(context: BrowserTab, address: str, name: str) -> tuple[float, float]:
    """Seconds to the first word and to the end of drawing."""
    page = context.new_page()
    begin = time.perf_counter()
    page.goto(address)
    page.wait_for_selector(FIRST_WORD, timeout=PATIENCE)
    word = since(begin)
    if name not in LONG:
        idle(page)
    whole = math.nan if name in LONG else since(begin)
    page.close()
    return word, whole


def acts(browser: Browser, address: str, asked: Questions, runs: int, only: str) -> None:
    """Time from each act until what it asked for is seen, and until nothing is redrawn."""
    page = browser.new_context(viewport={"width": 1280, "height": 1000}).new_page()
    print(f"\n{'act':<52} {'seen, s':>8} {'most':>6} {'whole, s':>9}")
    for name, path, watched, act in all_acts(asked):
        if only not in name:
            continue
        page.goto(f"{address}/{path}")
        page.wait_for_selector(FIRST_WORD, timeout=PATIENCE)
        idle(page)
        seen, whole = [], []
        for turn in range(runs):
            finish = act(page, turn)
            before = page.evaluate(TOKEN, watched)
            begin = time.perf_counter()
            finish()
            page.wait_for_function(CHANGED, arg=[watched, before], timeout=PATIENCE)
            seen.append(since(begin))
            idle(page)
            whole.append(since(begin))
        print(
            f"{name:<52} {statistics.median(seen):>8.2f} {max(seen):>6.2f} "
            f"{statistics.median(whole):>9.2f}",
            flush=True,
        )


Act = Callable[[Page, int], Callable[[], object]]
"""Makes ready, and gives what is then timed."""


def all_acts(asked: Questions) -> Iterator[tuple[str, str, str, Act]]:
    """What a reader does: a name, where, what changes by it, and what is done."""
    cluster = "cluster?" + urlencode({"symptom": asked.symptoms[0]})
    strip, headline = ".st-key-strip", HEADLINE
    yield (
        "Cluster: look at another suspect, not seen before", cluster, strip,
        lambda page, n: option(page, "Look at", f"{n + 2}."),
    )  # fmt: skip
    yield (
        "Cluster: look again at one seen before", cluster, strip,
        lambda page, n: option(page, "Look at", ("2.", "1.")[n % 2]),
    )  # fmt: skip
    yield (
        "Cluster: sort by Fisher's test, and back", cluster, ".st-key-suspects-figure",
        lambda page, n: option(page, "Sorted by", ("Fisher", "evidence")[n % 2]),
    )  # fmt: skip
    yield (
        "Cluster: choose a mark of the graph", cluster, ".st-key-convergence",
        lambda page, n: nth_option(page, "Mark", n + 1),
    )  # fmt: skip
    yield (
        "Cluster: another symptom, not asked before", cluster, headline,
        lambda page, n: option(page, "Symptom", asked.symptoms[2 + n % 4]),
    )  # fmt: skip
    yield (
        "Cluster: a symptom ranked before", cluster, headline,
        lambda page, n: option(page, "Symptom", asked.symptoms[(n + 1) % 2]),
    )  # fmt: skip
    yield (
        "Cluster: unfold who is left out", cluster, ".st-key-folded-left-out",
        lambda page, _: unfold(page, "Who is left out"),
    )  # fmt: skip
    history = "history?" + urlencode({"hull": asked.hulls[20]})
    yield (
        "Build history: type another hull", history, headline,
        lambda page, n: typed(page, HULL, asked.hulls[30 + n]),
    )  # fmt: skip
    yield (
        "Build history: readings of one part", history, ".st-key-readings",
        lambda page, n: nth_option(page, "Readings of", 1 + n % 2),
    )  # fmt: skip
    yield (
        "Build history: unfold the genealogy", history, ".st-key-folded-genealogy",
        lambda page, _: unfold(page, "What went into it"),
    )  # fmt: skip
    family, level = asked.lots[10]
    contain = "containment?" + urlencode(
        {"symptom": asked.symptoms[0], "factor": family, "level": level}
    )
    yield (
        "Cluster: open Containment for the suspect", cluster, headline,
        lambda page, _: way_to_containment(page),
    )  # fmt: skip
    yield (
        "Containment: another level", contain, headline,
        lambda page, n: option(page, "Level", asked.lots[11 + n][1]),
    )  # fmt: skip
    yield (
        "Containment: one grade of hulls only", contain, ".st-key-grade",
        lambda page, n: nth_option(page, "Grade", (1, 0)[n % 2]),
    )  # fmt: skip
    yield (
        "Records: unfold the columns", "records", ".st-key-folded-columns",
        lambda page, _: unfold(page, "Columns and how many"),
    )  # fmt: skip


def option(page: Page, label: str, text: str) -> Callable[[], object]:
    """Type into a list, and give the click that takes its first answer."""
    box = page.get_by_role("combobox", name=label, exact=True)
    box.click()
    box.fill(text)
    found = page.get_by_role("option").first
    expect(found).to_contain_text(text)
    return found.click


def nth_option(page: Page, label: str, number: int) -> Callable[[], object]:
    """Open a list, and give the click that takes one of its entries."""
    page.get_by_role("combobox", name=label, exact=True).click()
    return page.get_by_role("option").nth(number).click


def typed(page: Page, label: str, text: str) -> Callable[[], object]:
    """Type into a field, and give the key that ends it."""
    box = page.get_by_label(label, exact=True)
    box.fill(text)
    return lambda: box.press("Enter")


def way_to_containment(page: Page) -> Callable[[], object]:
    """The link from the suspect to its containment; back first where it was taken before."""
    if "/containment" in page.url:
        page.go_back()
        expect(page.get_by_role("link", name="Contain it")).to_be_visible(timeout=PATIENCE)
        idle(page)
    return page.get_by_role("link", name="Contain it").click


def unfold(page: Page, label: str) -> Callable[[], object]:
    """A click that opens a fold; it is closed first where it is open."""
    words = page.locator("summary").filter(has_text=label).first
    words.scroll_into_view_if_needed()
    if page.locator("details[open] > summary").filter(has_text=label).count():
        words.click()
        idle(page)
        page.wait_for_timeout(300)
    return words.click


async def many(address: str, asked: Questions, sessions: int, minutes: float) -> None:
    """Many readers at once, each in a session of its own; how long each act took."""
    took: list[tuple[str, float]] = []
    failed: list[str] = []
    async with async_playwright() as play:
        running = await play.chromium.launch(executable_path=browser_path(), args=ARGUMENTS)
        end = time.perf_counter() + 60 * minutes + 30
        readers = [
            one_of_many(await running.new_context(), address, asked, place, end, took, failed)
            for place in range(sessions)
        ]
        await asyncio.gather(*readers)
        await running.close()
    every = sorted(seconds for _, seconds in took)
    print(f"\n{sessions} readers, each rests {REST:.0f} s between acts: {len(every)} acts")
    if every:
        print(
            f"  middle {statistics.median(every):.2f} s, p95 {of(every, 0.95):.2f} s, "
            f"most {every[-1]:.2f} s, failed {len(failed)}"
        )
    for name in sorted({name for name, _ in took}):
        some = sorted(seconds for kind, seconds in took if kind == name)
        print(
            f"  {name:<40} {len(some):>4} acts, middle {statistics.median(some):.2f} s, "
            f"p95 {of(some, 0.95):.2f} s"
        )
    print("\n".join(failed[:5]))


async def one_of_many(
    context: BrowserContext,
    address: str,
    asked: Questions,
    place: int,
    end: float,
    took: list[tuple[str, float]],
    failed: list[str],
) -> None:
    """One reader: opens pages and types hulls, at random, until time is over."""
    chance = random.Random(place)
    page = await context.new_page()
    await asyncio.sleep(place * 2.0)
    await page.goto(f"{address}/history")
    await page.wait_for_selector(FIRST_WORD, timeout=PATIENCE)
    while time.perf_counter() < end:
        await asyncio.sleep(REST * (0.5 + chance.random()))
        pages = asked.pages(chance.randrange(20))
        name = chance.choice(["Overview", "Cluster", "Containment", "Build history", "hull"])
        begin = time.perf_counter()
        try:
            if name == "hull" and "/history" in page.url:
                before = await page.evaluate(TOKEN, HEADLINE)
                box = page.get_by_label(HULL, exact=True)
                await box.fill(chance.choice(asked.hulls[20:]))
                await box.press("Enter")
                await page.wait_for_function(CHANGED, arg=[HEADLINE, before], timeout=60_000)
            else:
                name = "Build history" if name == "hull" else name
                await page.goto(f"{address}/{pages[name]}")
                await page.wait_for_selector(FIRST_WORD, timeout=60_000)
            took.append((name, since(begin)))
            if await page.locator(".st-key-alarm-error, [data-testid=stException]").count():
                failed.append(f"{name}: {await page.locator('.st-key-alarm-error').inner_text()}")
        except PlaywrightError as error:
            failed.append(f"{name}: {str(error).splitlines()[0]}")
    await context.close()


def of(ascending: list[float], share: float) -> float:
    return ascending[min(int(share * len(ascending)), len(ascending) - 1)]


def since(begin: float) -> float:
    return time.perf_counter() - begin


if __name__ == "__main__":
    main()
