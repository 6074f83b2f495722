"""Plants on the pages: a control where there are several, and nothing where there is one."""

from __future__ import annotations

from pathlib import Path

from tests.pages.conftest import Open, words


def test_plants_can_be_chosen_where_there_are_several(two_plants: Path, visit: Open) -> None:
    at = visit(two_plants / "joined", "cluster", symptom="porosity")
    assert "GN-2129" in words(at)
    assert at.multiselect(key="field: plant").options == ["north", "south"]
    at.multiselect(key="field: plant").set_value(["south"]).run()
    assert at.query_params["plant"] in ("south", ["south"])
    said = words(at)
    assert "440 built, 220 in the definition" in said
    again = visit(two_plants / "joined", "cluster", symptom="porosity", plant="south")
    assert again.multiselect(key="field: plant").value == ["south"]


def test_one_plant_is_nothing_to_choose(two_plants: Path, visit: Open) -> None:
    at = visit(two_plants / "alone", "cluster", symptom="porosity")
    assert not at.exception
    assert [box.label for box in at.multiselect if box.label == "Plants"] == []
