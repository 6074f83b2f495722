"""On a shared server a bare text is no reason for showing families of people."""

from __future__ import annotations

from pathlib import Path

import pytest

from tracegraph.analysis.ranking import rank
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError, NotAllowedError
from tracegraph.domain.permission import PeopleReason
from tracegraph.store import open_store


def test_the_reason_must_stand_in_the_audit(
    sample_store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    definition = CaseDefinition(symptoms=("void",))
    monkeypatch.setenv("TRACEGRAPH_ACCESS", "access.toml")
    with open_store(sample_store) as store:
        with pytest.raises(NotAllowedError, match="stands in no audit"):
            rank(store, definition, order="fisher", people_reason="training records")
        with pytest.raises(DefinitionError, match="only with a reason"):
            rank(store, definition, order="fisher", people_reason=" ")
        shown = rank(
            store, definition, order="fisher", people_reason=PeopleReason("training records")
        )
    assert shown.frame["kind"].eq("people").any()
