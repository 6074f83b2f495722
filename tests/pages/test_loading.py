"""Loading from the pages: a folder, a sent file, a stop, and what is said of them."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from tests.pages.conftest import Open, loaded, press, unfold, words
from tracegraph.domain.permission import OWNER
from tracegraph.intake import running
from tracegraph.intake.load import load_folder
from tracegraph.pages import loading
from tracegraph.store import StoreDirectory


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    """A store with one hull and one claim."""
    folder = tmp_path / "first"
    folder.mkdir()
    (folder / "hulls.csv").write_text(
        "hull_serial,model,completed_on,shipped_on,in_service_on\n"
        "BT-1,S22,2025-01-05,2025-01-06,2025-02-01\n"
    )
    (folder / "claims.csv").write_text(
        "claim_no,hull_serial,opened_on,symptom\n1,BT-1,2025-06-01,leak\n"
    )
    load_folder(folder, StoreDirectory(tmp_path / "store"))
    return tmp_path / "store"


def test_a_folder_is_loaded_and_its_result_shown(yard: Path, tmp_path: Path, visit: Open) -> None:
    more = tmp_path / "more"
    more.mkdir()
    (more / "lots.csv").write_text("material,lot_no\nresin,R-1\nresin,\n")
    at = unfold(visit(yard, "records"), "load")
    at.text_input(key="field: load folder").set_value(str(more)).run()
    press(at, "Load this folder")
    at = loaded(at, yard)
    assert "2 rows of 1 file seen, 1 loaded, 1 set aside with their reason." in words(at)
    assert "The records were loaded anew" in words(at)
    at = unfold(at, "load-files")
    shown = next(f.value for f in at.dataframe if "titles, blanks" in f.value and "file" in f.value)
    assert list(shown["file"]) == ["lots.csv"]
    press(at, "Put this away")
    assert "set aside with their reason" not in words(at)


def test_a_folder_that_is_not_there_is_told(yard: Path, visit: Open) -> None:
    at = unfold(visit(yard, "records"), "load")
    at.text_input(key="field: load folder").set_value("/nowhere/at/all").run()
    press(at, "Load this folder")
    assert "there is none at /nowhere/at/all" in words(at)


def test_a_running_load_is_seen_by_every_session_and_stopped(
    yard: Path, tmp_path: Path, visit: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    load_folder_now = running.load_folder
    seen = []

    def slow(*args: object, **more: object) -> object:
        seen.append(True)
        load = running.load_of(StoreDirectory(yard))
        end = time.monotonic() + 60
        while load is not None and not load.stopping and time.monotonic() < end:
            time.sleep(0.05)
        return load_folder_now(*args, **more)  # type: ignore[arg-type]  # passed on as they come

    monkeypatch.setattr(running, "load_folder", slow)
    before = StoreDirectory(yard).current()
    running.begin_load(tmp_path / "first", StoreDirectory(yard), OWNER, "the folder first")
    at = visit(yard, "records")
    assert "the folder first, begun by owner: beginning" in words(at)
    assert not [b for b in at.button if b.label == "Load this folder"]
    other = visit(yard, "records")
    other.button(key="stop load").click().run()
    at = loaded(at, yard)
    assert "The load was stopped; the records before it stay in force." in words(at)
    assert StoreDirectory(yard).current() == before
    assert seen == [True]


def test_a_load_that_ends_while_the_page_is_drawn_is_shown(
    tmp_path: Path, visit: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "hulls.csv").write_text("hull_serial,model\nBT-1,S22\nBT-2,S22\n")
    store = tmp_path / "store"
    at = visit(store)
    at.text_input(key="field: load folder").set_value(str(folder)).run()
    looking = loading.watch

    def late(where: Path) -> bool:
        load = running.load_of(StoreDirectory(where))
        assert load is None or load.wait(60)
        return looking(where)

    monkeypatch.setattr(loading, "watch", late)
    assert "No claims on 2 hulls." in words(press(at, "Load this folder"))
