"""Who carries a suspect on record, beside the whole containment of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tracegraph.analysis.containment import contain
from tracegraph.analysis.on_record import on_record
from tracegraph.domain.errors import UnknownNameError
from tracegraph.report.containment import on_record_sentences
from tracegraph.store import open_store

HOSE = ("hull: fuel hose: lot", "FH-00342")


def test_it_counts_the_hulls_that_containment_finds_on_record(sample_store: Path) -> None:
    with open_store(sample_store) as store:
        told, whole = on_record(store, *HOSE), contain(store, *HOSE)
        with pytest.raises(UnknownNameError):
            on_record(store, HOSE[0], "FH-0034X")
    recorded = whole.counts.loc["recorded"]
    assert told.hulls == recorded["total"] == 39
    assert told.places == {place: n for place in told.places if (n := recorded[place])}
    said = on_record_sentences(told)
    assert said[0] == "39 hulls carry hull: fuel hose: lot FH-00342 on record."
