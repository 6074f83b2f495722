"""A review of one hull in words and tables."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.analysis.test_peers import records
from tests.support.records import build_of
from tracegraph.analysis.peers import KINDS, PeerReview, review
from tracegraph.linkage import link_records
from tracegraph.report.peers import MARKS, findings_table, readings_table, review_sentences
from tracegraph.store.reader import as_store


@pytest.fixture(scope="module")
def found() -> Iterator[PeerReview]:
    build = build_of(**records())
    link_records(build)
    with as_store(build) as store:
        yield review(store, "BT-1002")


def test_findings_are_counted_by_sort_and_prove_no_fault(found: PeerReview) -> None:
    said = review_sentences(found)
    assert said[0].startswith(f"{len(found.findings)} findings: ")
    counted = [int(piece.split()[0]) for piece in said[0].split(": ")[1].split(", ")]
    assert sum(counted) == len(found.findings)
    assert "proves no fault" in said[-1]


def test_each_sort_has_a_mark_and_always_its_word(found: PeerReview) -> None:
    assert set(KINDS) <= set(MARKS)
    table = findings_table(found).frame
    assert table[""].notna().all()
    assert set(table["finding"]) <= set(KINDS)
    assert table["what"].str.endswith(".").all()


def test_readings_stand_with_their_limits(found: PeerReview) -> None:
    table = readings_table(found)
    (row,) = table.frame[table.frame["reading"] == "wet_film"].to_dict("records")
    assert (row["value"], row["unit"]) == (280.0, "µm")
    assert row["limits"] == "▲ out of 305 to 610 µm"
    assert row["9 in 10 peers"] == ""  # too few peers for a place
    assert row["place among peers, %"] != row["place among peers, %"]


def test_a_hull_without_findings_is_told_in_one_sentence(found: PeerReview) -> None:
    quiet = PeerReview(found.history, found.findings.head(0), found.limits)
    assert review_sentences(quiet) == ("Nothing is out of the ordinary among its records.",)
