"""What a page says before its long work is done, here held at that point by a stop."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.pages.conftest import Open, words

HOSE = {"factor": "hull: fuel hose: lot", "level": "FH-00342"}


@pytest.mark.parametrize(
    ("page", "asked", "mark", "sentence"),
    [
        ("history", {"hull": "S26-0095"}, "S26-0095", "Hull S26-0095, S26: 5 claim lines."),
        (
            "containment",
            HOSE,
            repr((*HOSE.values(), None, True)),
            "39 hulls carry hull: fuel hose: lot FH-00342 on record.",
        ),
        ("records", {}, "records", "1,200 hulls and 1,334 claim lines are in the records."),
    ],
)
def test_it_is_said_at_once(
    sample_store: Path, visit: Open, page: str, asked: dict[str, str], mark: str, sentence: str
) -> None:
    at = visit(sample_store, "methods")
    at.session_state["stopped waiting for"] = mark
    for name, value in asked.items():
        at.query_params[name] = value
    at.switch_page(f"tracegraph/pages/{page}.py").run()
    said = words(at)
    assert sentence in said
    assert "is not waited for" in said
