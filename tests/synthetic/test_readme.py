from __future__ import annotations

import pytest

from tracegraph.synthetic.causes import KeyEntry
from tracegraph.synthetic.readme import readme
from tracegraph.synthetic.scenarios import SCENARIO_OF

KEY = [KeyEntry("void", "planted", (("hull: mold", "S22-H2"),), "Bad mold.")]


@pytest.mark.parametrize(
    ("scenario", "said"),
    [("no-cause", "the same rates for every hull"), ("one-lot", "rates differ by model")],
)
def test_the_page_says_how_background_rates_differ(scenario: str, said: str) -> None:
    text = readme(SCENARIO_OF[scenario], 90, 4, {"hulls.csv": 90}, KEY)
    assert said in text
    assert "- **void** (planted): `hull: mold` = `S22-H2`. Bad mold." in text
    assert f"make-builds OUT --hulls 90 --seed 4 --scenario {scenario}" in text


def test_only_dirty_scenarios_speak_of_dirt() -> None:
    rows = {"hulls.csv": 90}
    assert "## Dirt" in readme(SCENARIO_OF["sample"], 90, 4, rows, KEY)
    assert "## Dirt" not in readme(SCENARIO_OF["one-lot"], 90, 4, rows, KEY)
