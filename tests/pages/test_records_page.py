"""The records page: what is missing, near matches, and rows to mend."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.pages.conftest import Open, unfold, words
from tracegraph.store.acts import read_acts


@pytest.fixture
def own_store(sample_store: Path, tmp_path: Path) -> Path:
    """A copy of the sample that a test may change."""
    return Path(shutil.copytree(sample_store, tmp_path / "own"))


def test_missing_records_have_a_figure_and_its_table(sample_store: Path, visit: Open) -> None:
    at = unfold(visit(sample_store, "records"), "missing-by-month")
    words(at)
    shown = next(f.value for f in at.dataframe if "question" in f.value and "built in" in f.value)
    assert (shown["missing"] == shown["records expected"] - shown["there"]).all()
    assert (shown["missing"] > 0).all()


def test_a_near_match_is_accepted_and_taken_back_with_who_and_why(
    own_store: Path, visit: Open
) -> None:
    at = visit(own_store, "records")
    assert "Nothing is taken for another until a person says so" in words(at)
    offered = next(f.value for f in at.dataframe if "may stand for" in f.value)
    assert "S20-0004" in set(offered["written"])
    assert at.button(key="accept now").disabled

    at.selectbox(key="field: accept which").set_value(("claim to hull", "S20-0004", "S22-0004"))
    at.text_input(key="field: accept who").set_value("QL-1")
    at.text_input(key="field: accept why").set_value("photo of the plate")
    at.run()
    at.button(key="accept now").click().run()
    assert "The records were loaded anew" in words(at)
    offered = next(f.value for f in at.dataframe if "may stand for" in f.value)
    assert "S20-0004" not in set(offered["written"])
    assert [(act.act, act.who, act.reason) for act in read_acts(own_store)] == [
        ("accept", "QL-1", "photo of the plate")
    ]

    at.text_input(key="field: undo who").set_value("QL-2")
    at.text_input(key="field: undo why").set_value("another boat")
    at.run()
    at.button(key="undo now").click().run()
    unfold(at, "acts")
    words(at)
    offered = next(f.value for f in at.dataframe if "may stand for" in f.value)
    assert "S20-0004" in set(offered["written"])
    said = next(f.value for f in at.dataframe if "stands for" in f.value)
    assert list(said["who"]) == ["QL-1", "QL-2"]


def test_a_refused_act_is_a_sentence(own_store: Path, visit: Open) -> None:
    from tracegraph.store import StoreDirectory

    at = visit(own_store, "records")
    at.text_input(key="field: accept who").set_value("QL-1")
    at.text_input(key="field: accept why").set_value("plate")
    at.run()
    with StoreDirectory(own_store).loading():
        at.button(key="accept now").click().run()
    assert "Another load is writing to" in words(at)
    assert read_acts(own_store) == ()


def test_rows_to_mend_are_offered_as_files(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "records")
    words(at)
    assert "Files to mend" in [button.label for button in at.get("download_button")]


def test_every_table_can_be_taken_along_in_two_forms(sample_store: Path, visit: Open) -> None:
    at = visit(sample_store, "records")
    words(at)
    labels = [button.label for button in at.get("download_button")]
    assert labels.count("Download CSV") == labels.count("Excel") == len(at.dataframe)
