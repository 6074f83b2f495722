"""States of a hold are written down on the containment page, with who, when and why."""

from __future__ import annotations

import shutil
from pathlib import Path

from tests.pages.conftest import Open, unfold, words
from tracegraph.store.acts import read_hold_acts

HOSE = {"factor": "hull: fuel hose: lot", "level": "FH-00342"}


def test_a_state_is_written_down_and_the_states_still_add_up(
    sample_store: Path, tmp_path: Path, visit: Open
) -> None:
    store = Path(shutil.copytree(sample_store, tmp_path / "own"))
    at = visit(store, "containment", **HOSE)
    said = words(at)
    assert "States add up to 41 exposed hulls: 41 unknown" in said
    assert "No day of discovery is on record, so no reminder runs." in said
    assert at.button(key="hold now").disabled
    hulls = list(at.dataframe[1].value["hull"][:2])
    at.multiselect(key="field: hold hulls").set_value(hulls)
    at.text_input(key="field: hold who").set_value("QL-1")
    at.text_input(key="field: hold why").set_value("letter of 9 March")
    at.run()
    at.button(key="hold now").click().run()
    unfold(at, "hold-acts")
    assert "States add up to 41 exposed hulls: 39 unknown, 2 notified" in words(at)
    acts = read_hold_acts(store)
    assert [(act.hull, act.who, act.value) for act in acts] == [
        (hull, "QL-1", "notified") for hull in hulls
    ]
    written = next(f.value for f in at.dataframe if "written down" in f.value.columns)
    assert list(written["why"]) == ["letter of 9 March"] * 2
    shown = at.dataframe[1].value
    assert set(shown[shown["hull"].isin(hulls)]["state"]) == {"notified"}


def test_a_decision_is_a_persons_and_needs_a_reason(
    sample_store: Path, tmp_path: Path, visit: Open
) -> None:
    store = Path(shutil.copytree(sample_store, tmp_path / "own"))
    at = visit(store, "containment", **HOSE)
    at.selectbox(key="field: hold what").set_value("decided").run()
    at.text_input(key="field: hold who").set_value("QM-1").run()
    assert at.button(key="hold now").disabled
    at.text_input(key="field: hold why").set_value("fuel vapour below deck").run()
    at.button(key="hold now").click().run()
    assert "that notice is to be given: fuel vapour below deck" in words(at)
    assert [act.act for act in read_hold_acts(store)] == ["decided"]
