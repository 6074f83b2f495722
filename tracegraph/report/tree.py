"""A genealogy as an indented tree of lines, and what came of a thing as counts."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import networkx as nx

from tracegraph.analysis.tracing import Trace
from tracegraph.genealogy import NODE_KINDS

DEEPEST_INDENT = 20
"""Levels beyond this one are numbered instead of indented further."""

NEW, SEEN, LOOP = "", "see above", "leads back to itself"
_PLACE = {kind: place for place, kind in enumerate(NODE_KINDS)}
_WORDS = {
    "claim": ("claim line", "claim lines"),
    "component": ("component", "components"),
    "condition": ("reading", "readings"),
    "equipment": ("piece of equipment", "pieces of equipment"),
    "operator": ("person", "people"),
    "inspection": ("check", "checks"),
}


@dataclass(frozen=True)
class TreeLine:
    """One line of a tree.

    Attributes
    ----------
    node : str
        Name in the graph.
    kind : str
        Kind of node.
    level : int
        Steps from the start on this way.
    label : str
        What a reader sees.
    mark : str
        Empty; ``see above`` when its own lines stand further up; ``leads back to itself``
        when the line is an ancestor of itself on this way.
    share : float or None
        Share of the line above, within a blend.
    whole : float or None
        Shares multiplied along this way, from the lot that was used; None where the line
        above is that lot.
    service : str
        How long a mold had run since it was waxed and repaired; else empty.
    """

    node: str
    kind: str
    level: int
    label: str
    mark: str = NEW
    share: float | None = None
    whole: float | None = None
    service: str = ""

    @property
    def text(self) -> str:
        """The line, indented by two spaces for each level."""
        indent = "  " * min(self.level, DEEPEST_INDENT)
        deep = f"[{self.level}] " if self.level > DEEPEST_INDENT else ""
        share = "" if self.share is None else f", {100 * self.share:.3g} %"
        whole = "" if self.whole is None else f" ({100 * self.whole:.3g} % of what was used)"
        mark = f" ({self.mark})" if self.mark else ""
        return f"{indent}{deep}{_one_line(self.label)}{self.service}{share}{whole}{mark}"


def tree(found: Trace) -> list[TreeLine]:
    """What went into a thing, as an indented tree.

    Parameters
    ----------
    found : Trace
        A genealogy walked up.

    Returns
    -------
    list of TreeLine
        The start first. A thing that several others share is followed further once, and
        referred to from then on; where a loop closes, the line says so and ends.
    """
    lines: list[TreeLine] = []
    printed: set[str] = set()
    for start in found.starts:
        _grow(found.graph, start, lines, printed)
    return lines


def tree_text(found: Trace) -> str:
    """The whole answer of a trace as plain text.

    Parameters
    ----------
    found : Trace
        A genealogy.

    Returns
    -------
    str
        The tree of what went in, the counts of what came of it, and remarks on loops and
        on a depth that kept something out.
    """
    pieces = []
    if found.direction != "down":
        pieces += [line.text for line in tree(found)]
    else:
        pieces += [_one_line(found.graph.nodes[start]["label"]) for start in found.starts]
    if found.direction != "up":
        pieces.append(downstream_sentence(found))
    pieces += [
        "Leads back to itself: " + " -> ".join(found.graph.nodes[n]["label"] for n in loop.walk)
        for loop in found.loops
    ]
    if found.cut_short:
        steps = "1 step" if found.depth == 1 else f"{found.depth} steps"
        pieces.append(f"Cut off after {steps}; there is more.")
    return "\n".join(pieces)


def downstream_sentence(found: Trace) -> str:
    """What came of a thing, as counts by kind.

    Parameters
    ----------
    found : Trace
        A genealogy walked down.

    Returns
    -------
    str
        One sentence.
    """
    counts = found.counts[found.counts["downstream"] > 0]
    if counts.empty:
        return "Nothing in the records came of it."
    pieces = [
        f"{count} {_noun(kind, int(count))}"
        for kind, count in zip(counts["kind"], counts["downstream"], strict=True)
    ]
    return "Came of it: " + ", ".join(pieces) + "."


def _grow(graph: nx.DiGraph[str], start: str, lines: list[TreeLine], printed: set[str]) -> None:
    # A stack of our own: the chain may be longer than Python lets a function call itself.
    # An entry is (node, level, node it hangs on, share of that node in what was used) to be
    # printed, or (node, None, None, None) once all above it are printed.
    above: set[str] = set()
    waiting: list[tuple[str, int | None, str | None, float | None]] = [(start, 0, None, None)]
    while waiting:
        node, level, below, of_used = waiting.pop()
        if level is None:
            above.discard(node)
            continue
        further = _in_order(graph, node)
        mark = LOOP if node in above else SEEN if node in printed and further else NEW
        data = graph.nodes[node]
        edge = graph.edges[below, node] if below is not None else {}
        share = edge.get("share")
        if share is not None and not math.isfinite(share):
            share = None
        whole = None
        if share is not None and of_used is not None and mark != LOOP:
            whole = share * of_used
        lines.append(
            TreeLine(node, data["kind"], level, data["label"], mark, share, whole, _service(edge))
        )
        if mark == NEW and node not in printed:
            printed.add(node)
            above.add(node)
            waiting.append((node, None, None, None))
            used = share if whole is None else whole
            waiting += [(next_one, level + 1, node, used) for next_one in reversed(further)]


def _service(edge: Mapping[str, Any]) -> str:
    told = [
        f"{edge[name]} since {word}"
        for word, name in (("waxed", "pulls_since_waxed"), ("repaired", "pulls_since_repaired"))
        if name in edge
    ]
    return f", pulls: {', '.join(told)}" if told else ""


def _in_order(graph: nx.DiGraph[str], node: str) -> list[str]:
    def place(name: str) -> tuple[int, str, str, str]:
        data = graph.nodes[name]
        when = data.get("started_at") or data.get("at") or ""
        return (_PLACE.get(data["kind"], len(_PLACE)), data["kind"], str(when), name)

    return sorted(graph.succ[node], key=place)


def _noun(kind: str, count: int) -> str:
    one, many = _WORDS.get(kind, (kind, f"{kind}s"))
    return one if count == 1 else many


def _one_line(text: str) -> str:
    return "".join(" " if ord(c) < 32 or c in "\x7f\x85\u2028\u2029" else c for c in text)
