"""The app's front door: the list of pages and the way between them."""

from tracegraph.pages.navigation import run

run()
