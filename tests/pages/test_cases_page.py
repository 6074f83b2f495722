"""A case from cluster to closing, written on the Case files page."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.pages.conftest import Open, words
from tracegraph.cases import CaseStore
from tracegraph.cases.engine import default_cases_url


@pytest.fixture
def store(sample_store: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(sample_store, tmp_path / "own" / "store"))


def entries(store: Path, case: str = "C-0001") -> list[str]:
    return [entry.kind for entry in CaseStore(default_cases_url(store)).entries(case)]


def opened(visit: Open, store: Path) -> AppTest:
    at = visit(store, "cases", symptom="blister")
    assert "No case file yet." in words(at)
    assert at.button(key="case open").disabled
    at.text_input(key="field: case title").set_value("Blisters on the deck")
    at.text_input(key="field: case who").set_value("QL-1").run()
    at.button(key="case open").click().run()
    assert at.query_params["case"] in ("C-0001", ["C-0001"])
    return at


def write(at: AppTest, what: str, **fields: object) -> AppTest:
    at.selectbox(key="field: case what").set_value(what).run()
    for name, value in fields.items():
        key = f"field: case {name.replace('_', ' ')}"
        found = next(
            one
            for kind in ("text_input", "text_area", "selectbox", "number_input", "date_input")
            for one in getattr(at, kind)
            if one.key == key
        )
        found.set_value(value)
    at.text_input(key="field: case who").set_value("QL-1")
    at.run()
    assert not at.button(key="case write").disabled, what
    at.button(key="case write").click().run()
    return at


def test_a_case_goes_from_cluster_to_closing(visit: Open, store: Path) -> None:
    at = opened(visit, store)
    assert "C-0001: Blisters on the deck" in words(at)
    write(at, "Suspects as ranked today")
    assert "Entry 2 (ranked) of C-0001 was written by QL-1." in words(at)
    suspects = next(f.value for f in at.dataframe if "rank then" in f.value.columns)
    assert suspects["suspect"].iloc[0].startswith("GW-2147 ")
    write(at, "A hull looked at", hull="S26-0095", looked_for="soft gelcoat", seen="soft")
    write(at, "Hulls that carry a suspect")
    write(at, "A decision", decided="hold the lot", why="22 of 55 hulls")
    write(at, "An action", to_do="return the lot", owner="PUR-2")
    write(at, "An action that took effect", action=1)
    write(at, "What it costs")
    write(at, "Whether it worked")
    write(at, "A note", form="five whys", lines="blisters [2]\nsoft gelcoat [3]")
    write(at, "Closing", why="lot returned")
    assert entries(store) == [
        "opened", "ranked", "inspected", "contained", "decided", "acted", "done", "costed",
        "effect", "noted", "closed",
    ]  # fmt: skip
    said = words(at)
    assert "Closed, though it lacked something." in said
    assert "All 11 are as they were written." in said


def test_wrong_input_is_one_sentence_and_nothing_is_written(visit: Open, store: Path) -> None:
    at = opened(visit, store)
    write(at, "A hull looked at", hull="S99-1", looked_for="voids", seen="none")
    assert "S99-1" in words(at)
    assert entries(store) == ["opened"]
    write(at, "What it costs")
    assert "List the hulls first" in words(at)
    assert entries(store) == ["opened"]


def test_a_case_that_is_not_there_is_said(visit: Open, store: Path) -> None:
    at = visit(store, "cases", case="C-0042")
    assert "There is no case C-0042 here." in words(at)


def test_safety_stands_above_the_list_and_the_case(visit: Open, store: Path) -> None:
    at = visit(store, "cases", symptom="fuel smell")
    at.text_input(key="field: case title").set_value("Fuel smell")
    at.text_input(key="field: case who").set_value("QL-1").run()
    at.button(key="case open").click().run()
    assert at.text[0].value.startswith("Refer to a person today")
    listed = visit(store, "cases")
    before = [element.value for element in listed.text]
    place = next(i for i, text in enumerate(before) if "Refer to a person today" in text)
    assert place <= 1


def test_hostile_words_in_a_case_are_shown_as_they_are(visit: Open, store: Path) -> None:
    hostile = "<img src=x onerror=alert(1)> **b** :blue[y] =1+1 \u202eabc 🛶"
    at = visit(store, "cases", symptom="blister")
    at.text_input(key="field: case title").set_value(hostile)
    at.text_input(key="field: case who").set_value("QL-1").run()
    at.button(key="case open").click().run()
    write(at, "A note", lines=hostile * 100)
    assert hostile in words(at)
    assert not any(hostile in element.value for element in at.markdown)
