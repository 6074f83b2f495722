"""Two versions of the records side by side; every count can be made by hand."""

from __future__ import annotations

from tests.analysis.test_overview import CLAIMS, HULLS, _claim, _hull, _store
from tracegraph.analysis.changes import changes
from tracegraph.report.changes import changes_sentences, changes_table


def test_what_came_and_what_went_is_told_by_the_records_own_numbers() -> None:
    earlier = _store(HULLS[:-1], CLAIMS)
    now = _store(
        [*HULLS, _hull("B3", "2026-02-01", "2026-03-01")],
        [
            *CLAIMS[1:],
            _claim("C7", "A3", "2026-06-01"),
            _claim("C8", "B3", "2026-06-02"),
            _claim("C9", "U1", "2026-06-02", symptom="crack"),
        ],
    )
    found = changes(earlier, now)
    assert (found.new_claims, found.gone_claims) == (3, 1)
    assert (found.new_hulls, found.gone_hulls) == (2, 0)
    assert found.set_aside == (0, 0)
    clusters = found.clusters.set_index("symptom")
    # Blister: A1 and A2 then; A1 (by C2), A2, A3 and B3 now.
    assert clusters.loc["blister", ["hulls_then", "hulls_now", "new_claims"]].tolist() == [2, 4, 2]
    assert clusters.loc["crack", ["hulls_then", "hulls_now", "rise"]].tolist() == [0, 1, 1]
    assert clusters.loc["fuel smell", "rise"] == 0
    assert clusters["evidence_then"].isna().all()
    assert changes_sentences(found) == (
        "Against the records before: 3 new claim lines (8 now), 2 new hulls (8 now); rows set "
        "aside 0 then, 0 now.",
        "No longer there: 1 claim line, 0 hulls.",
        "Rose: blister 2 to 4 hulls, crack 0 to 1 hulls.",
    )
    assert changes_table(found).frame["symptom"].tolist() == ["blister", "crack", "fuel smell"]


def test_the_same_records_have_not_changed() -> None:
    found = changes(_store(HULLS, CLAIMS), _store(HULLS, CLAIMS))
    assert changes_sentences(found) == (
        "Against the records before: no new claim lines (6 now), no new hulls (7 now); rows set "
        "aside 0 then, 0 now.",
        "No cluster has more affected hulls than then.",
    )


def test_a_change_of_evidence_is_told_where_both_versions_were_ranked() -> None:
    found = changes(_store(HULLS, CLAIMS), _store(HULLS, CLAIMS))
    ranked = found.clusters.assign(evidence_then=[1, 2], evidence_now=[2, 2])
    said = changes_sentences(type(found)(**(vars(found) | {"clusters": ranked})))
    assert said[-1] == (
        "Evidence on blister: association, may be chance or timing then, association specific to "
        "it now."
    )
