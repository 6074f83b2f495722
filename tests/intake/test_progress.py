"""What a load tells whoever watches it."""

from __future__ import annotations

import threading

import pytest

from tests.intake.yard import Yard
from tracegraph.domain.errors import IntakeError, LoadStoppedError
from tracegraph.intake import load_folder
from tracegraph.intake.folder import FoundFile, find_file
from tracegraph.intake.progress import Meter
from tracegraph.intake.workbook import Workbook
from tracegraph.store.writer import new_build


class Watcher:
    """Keeps what it is told."""

    def __init__(self) -> None:
        self.totals: list[int] = []
        self.steps: list[tuple[str, int]] = []
        self.ends = 0
        self.beyond = threading.Event()

    def start(self, total: int) -> None:
        self.totals.append(total)

    def step(self, text: str, done: int) -> None:
        self.steps.append((text, done))
        if done == 250:
            self.beyond.set()

    def end(self) -> None:
        self.ends += 1

    def assert_rising(self) -> None:
        done = [done for _, done in self.steps]
        assert done == sorted(done)
        assert done[0] >= 0
        assert done[-1] <= self.totals[0]


def test_a_running_step_is_asked_how_far_it_is() -> None:
    watcher = Watcher()
    with Meter(watcher, 1000) as meter:
        meter.part(0.0, 0.5)
        meter.step("reading", 0.0, 0.8)
        with meter.asking(lambda: 0.625):
            assert watcher.beyond.wait(10)
        meter.part(0.5, 1.0)
        meter.step("storing")
    assert watcher.steps[0] == ("reading", 0)
    assert ("reading", 250) in watcher.steps
    assert watcher.steps[-1] == ("storing", 500)
    watcher.assert_rising()
    assert (watcher.totals, watcher.ends) == ([1000], 1)


def test_done_never_falls() -> None:
    watcher = Watcher()
    with Meter(watcher, 100) as meter:
        meter.part(0.4, 0.6)
        meter.step("second sheet", 1.0)
        meter.step("third sheet", 0.0, 0.3)
    assert watcher.steps == [("second sheet", 60), ("third sheet", 60)]


def test_one_large_file_moves_in_steps(yard: Yard) -> None:
    lines = "".join(f"OP-{n},gelcoat,G-1\n" for n in range(50_000))
    path = yard.write("usages.csv", "operation_id,material,lot_no\n" + lines)
    watcher = Watcher()
    load_folder(yard.folder, yard.directory, progress=watcher)
    watcher.assert_rising()
    assert watcher.totals == [path.stat().st_size]
    assert len({done for _, done in watcher.steps}) > 6
    said = [text.removeprefix("usages.csv: ") for text, _ in watcher.steps]
    for text in ("looked through its bytes", "reading its text", "checking", "storing"):
        assert text in said
    assert said[-1] == "working out who was exposed to what"
    assert watcher.ends == 1


def test_a_load_that_fails_ends_what_it_began(yard: Yard) -> None:
    watcher = Watcher()
    yard.write("unknown.csv", "a,b\n1,2\n")
    with pytest.raises(IntakeError, match="not understood"):
        load_folder(yard.folder, yard.directory, progress=watcher)
    assert (len(watcher.totals), watcher.ends) == (1, 1)


def test_a_stop_ends_a_long_step_of_the_database(yard: Yard) -> None:
    """The step would take minutes, and nothing asks it whether to end."""
    stop = threading.Event()
    stop.set()
    with (
        pytest.raises(LoadStoppedError),
        Meter(Watcher(), 100, stop.is_set) as meter,
        yard.directory.loading(),
        new_build(yard.directory) as build,
        meter.breaking(build.interrupt),
    ):
        build.scalar("SELECT count(*) FROM range(300000) AS a, range(300000) AS b WHERE a > b")
    assert not [*yard.directory.path.glob("builds-*")]


def test_progress_moves_within_a_sheet(yard: Yard) -> None:
    yard.workbook("hulls.xlsx", [["hull_serial", "model"], *[[f"BT-{n}", "S"] for n in range(9)]])
    found = find_file(yard.folder / "hulls.xlsx")
    assert isinstance(found, FoundFile)
    [sheet] = Workbook(found, None).sheets()
    sheet.sample(3)
    assert sheet.share_read == pytest.approx(3 / 9)
