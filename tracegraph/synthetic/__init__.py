"""Synthetic yards: build records and claims whose causes are known, for demos and checks."""

from tracegraph.synthetic.make import MadeBuilds, MakeBuildsError, make_builds
from tracegraph.synthetic.scenarios import SCENARIOS

__all__ = ["SCENARIOS", "MadeBuilds", "MakeBuildsError", "make_builds"]
