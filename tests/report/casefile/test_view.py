from datetime import date

from tests.support.case_entries import SUSPECT, opened, ranked, sealed
from tracegraph.cases.changes import NOT_NOW, NOT_THEN, side_by_side
from tracegraph.report.casefile import case_list, case_view
from tracegraph.report.casefile.safety import REFER

TODAY = date(2026, 3, 31)
ACTED = ("acted", {"number": 1, "what": "mend it", "owner": "PE-1", "due": "2026-03-20"})
DONE = ("done", {"action": 1, "on": "2026-03-25", "first_built": None})


def test_a_case_says_where_it_stands() -> None:
    view = case_view(sealed(opened(), ranked(), ACTED), TODAY)
    assert (view.case_no, view.title, view.closed) == ("C-0001", "Voids", False)
    assert view.summary[0] == (
        "Open for 30 days. Next: Contain: lacks the list of hulls that carry the suspect."
    )
    assert view.summary[1] == "Overdue: 1 action."
    assert view.safety == ()
    assert view.actions.frame.loc[0, "stands"] == "overdue by 11 days"
    assert (view.held, view.effect) == (None, ())
    assert len(view.entries.frame) == 3


def test_a_safety_matter_stands_first_with_its_clock() -> None:
    found = ("discovered", {"on": "2026-03-11", "reason": "leak"})
    view = case_view(sealed(opened(safety_class=1), found), TODAY)
    assert view.safety[0].startswith(f"{REFER} Discovered on 2026-03-11. Nobody has decided")
    assert view.safety[1].startswith("20 days since discovery.")
    assert "2026-04-10, in 10 days" in view.safety[1]


def test_an_action_done_too_late_is_no_longer_overdue() -> None:
    view = case_view(sealed(opened(), ACTED, DONE), TODAY)
    assert view.overdue == 0
    assert view.actions.frame.loc[0, "stands"] == "done, 5 days late"


def test_suspects_stand_side_by_side() -> None:
    now = [{**SUSPECT, "rank": 2, "exposed": 24, "evidence": 1}, {**SUSPECT, "level": "M-9"}]
    rows = side_by_side([SUSPECT, {**SUSPECT, "level": "M-5"}], now)
    assert [(one["level"], one["reason"]) for one in rows] == [
        ("M-2", ""), ("M-9", NOT_THEN), ("M-5", NOT_NOW),
    ]  # fmt: skip
    assert (rows[0]["then"]["rank"], rows[0]["now"]["rank"]) == (1, 2)
    assert rows[2]["now"] is None
    counts = {"affected": 9, "claims": 10, "cost": None, "data_version": "bbb", "at_risk": 190}
    reran = (
        "reran",
        {"then": {**counts, "data_version": "aaa"}, "now": counts, "new_claims": [],
         "gone_claims": [], "new_hulls": [], "gone_hulls": [], "suspects": rows},
    )  # fmt: skip
    table = case_view(sealed(opened(), ranked(), reran), TODAY).suspects.frame
    assert table.loc[0, "affected of exposed then"] == "7 of 20"
    assert table.loc[0, "affected of exposed now"] == "7 of 24"
    assert table.loc[2, "rank now"] == "–"


def test_the_list_puts_safety_first_and_closed_cases_last() -> None:
    closed = sealed(opened(), ("closed", {"reason": "x", "lacks": []}), case_no="C-0001")
    mild = sealed(opened(), ACTED, case_no="C-0002")
    grave = sealed(opened(safety_class=1, cost=None), case_no="C-0003")
    table = case_list([closed, mild, grave], TODAY).frame
    assert table["case"].tolist() == ["C-0003", "C-0002", "C-0001"]
    assert table["safety"].str.startswith(REFER).tolist() == [True, False, False]
    assert table["overdue"].tolist() == [0, 1, 0]
    assert table["next"].tolist()[2] == "closed"
    assert table["days open"].isna().tolist() == [False, False, True]
    assert table["claims cost"].isna().tolist() == [True, False, False]


def test_an_empty_list_is_a_table_without_rows() -> None:
    assert case_list([], TODAY).texts().empty
