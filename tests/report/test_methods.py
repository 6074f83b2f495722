"""Every way from a number to how it is made leads to a section that is there."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from tracegraph.report.explained import HEADINGS, SECTIONS
from tracegraph.report.methods import methods, sections_of

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("anchor", SECTIONS)
def test_a_section_that_pages_lead_to_says_something(anchor: str) -> None:
    found = sections_of(anchor)
    assert len("".join(section.text for section in found)) > 200


def test_sections_are_told_apart_and_hold_the_whole_text() -> None:
    anchors = [section.anchor for section in methods()]
    assert len(set(anchors)) == len(anchors)
    whole = (ROOT / "docs" / "methods.md").read_text(encoding="utf-8")
    for section in methods():
        assert section.text in whole
    assert sum(len(section.text) for section in methods()) > 0.9 * len(whole)
    assert sections_of("none such") == ()


def test_a_section_brings_those_below_it() -> None:
    found = sections_of("on-the-pages")
    assert found[0].depth == 2
    assert {section.depth for section in found[1:]} == {3}
    assert {"the-overview", "the-state-of-the-records"} <= {section.anchor for section in found}


def test_the_methods_ship_with_the_package() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    shipped = settings["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    assert shipped["docs/methods.md"] == "tracegraph/bundled/docs/methods.md"


def test_headings_are_explained_in_plain_words() -> None:
    for text in HEADINGS.values():
        assert text.endswith(".")
        assert not set("*_`$[<") & set(text)
