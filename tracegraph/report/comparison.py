"""Hulls beside each other, question by question, in words and tables."""

from __future__ import annotations

from tracegraph.analysis.comparison import Comparison
from tracegraph.report.numbers import plural
from tracegraph.report.tables import COUNT, DisplayTable


def comparison_sentences(found: Comparison) -> tuple[str, ...]:
    """How much the hulls share and on how many questions they part.

    Parameters
    ----------
    found : Comparison
        Hulls compared.

    Returns
    -------
    tuple of str
        In that order; then how many questions a missing record leaves open.
    """
    verdicts = found.families["verdict"].value_counts()
    names = " and ".join(found.hulls)
    said = [
        f"{names} share {plural(len(found.shared), 'answer')} and part on "
        f"{plural(int(found.families['differ'].sum()), 'question')}."
    ]
    open_questions = int(verdicts.get("not known", 0))
    if open_questions:
        said.append(
            f"On {plural(open_questions, 'question')} a missing record leaves open whether they "
            "share an answer."
        )
    return tuple(said)


def shared_table(found: Comparison, *, top: int | None = None) -> DisplayTable:
    """What all of them carry, the rarest in the plant first."""
    rows = found.shared if top is None else found.shared.head(top)
    table = rows[["family", "level", "carry", "applies"]].astype("object")
    table.columns = ["family", "level", "hulls with it", "of"]
    return DisplayTable(
        table,
        {"hulls with it": COUNT, "of": COUNT},
        caption=f"{plural(len(found.shared), 'answer')} shared, the rarest first.",
    )


def apart_table(found: Comparison, *, top: int | None = None) -> DisplayTable:
    """The questions on which they part, with the answer of each."""
    apart = found.families[found.families["differ"]]
    rows = apart if top is None else apart.head(top)
    return DisplayTable(
        rows[["family", *found.hulls]].astype("object"),
        caption=f"They part on {plural(len(apart), 'question')}.",
    )
