"""Synthetic yards: build records and claims whose causes are known, for demos and checks."""

from tracegraph.synthetic.causes import KeyEntry
from tracegraph.synthetic.make import MadeBuilds, make_builds
from tracegraph.synthetic.scenarios import SCENARIO_LINES, SCENARIOS

__all__ = ["SCENARIOS", "SCENARIO_LINES", "KeyEntry", "MadeBuilds", "make_builds"]
