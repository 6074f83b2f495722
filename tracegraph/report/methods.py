"""The methods, section by section, so that each number on screen can lead to how it is made."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from tracegraph.report.bundle import bundled

_HEADING = re.compile(r"^(#{2,3}) (?:\d+\. )?(.+)$", re.MULTILINE)


@dataclass(frozen=True)
class Section:
    """A section of the methods.

    Attributes
    ----------
    anchor : str
        Its name in an address.
    title : str
        Its heading without number.
    depth : int
        2, or 3 below another.
    text : str
        Markdown of our own, without the heading and without deeper sections.
    """

    anchor: str
    title: str
    depth: int
    text: str


@cache
def methods() -> tuple[Section, ...]:
    """All sections in their order.

    Raises
    ------
    TraceGraphError
        If the methods are missing from this installation.
    """
    whole = bundled("docs/methods.md").read_text(encoding="utf-8")
    found = list(_HEADING.finditer(whole))
    ends = [match.start() for match in found[1:]] + [len(whole)]
    return tuple(
        Section(
            anchor=anchor_of(match[2]),
            title=match[2],
            depth=len(match[1]),
            text=whole[match.end() : end].strip(),
        )
        for match, end in zip(found, ends, strict=True)
    )


def sections_of(anchor: str) -> tuple[Section, ...]:
    """A section and those below it; empty when there is no such section."""
    found: list[Section] = []
    for section in methods():
        if section.anchor == anchor or (found and section.depth > found[0].depth):
            found.append(section)
        elif found:
            break
    return tuple(found)


def anchor_of(title: str) -> str:
    """Name of a heading in an address.

    Examples
    --------
    >>> anchor_of("The order of evidence (the usual one)")
    'the-order-of-evidence-the-usual-one'
    """
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")
