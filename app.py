"""The app's front door: the list of pages and the way between them."""

from pathlib import Path

from tracegraph.pages.navigation import run

run(sample=Path(__file__).with_name("sample_builds"))
