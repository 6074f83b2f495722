from __future__ import annotations

from dataclasses import replace

import pytest

from tracegraph.analysis.matched.evidence import Facts, judge

STRONG = Facts(p_family=0.01, cases=9, window_margin=3.0, not_separable=())


def test_all_checks_passed_is_level_two_and_says_why():
    full = replace(STRONG, controls_clean=True, stable_if_confirmed=True, stable_if_missing=True)
    verdict = judge(full)
    assert verdict.level == 2
    assert verdict.held_back_by == ()
    assert verdict.rests_on == (
        "beyond-chance",
        "beyond-window",
        "separable",
        "controls-clean",
        "stable-confirmed",
        "stable-missing",
    )


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"p_family": 0.05}, "could-be-chance"),
        ({"window_margin": 1.25}, "not-separable-from-window"),
        ({"stretch_margin": -0.3}, "not-separable-from-own-days"),
        ({"window_margin": -1.0}, "not-separable-from-window"),
        ({"window_margin": -1.5}, "window-explains-better"),
        ({"not_separable": (7,)}, "not-separable"),
        ({"controls_clean": False}, "controls-raised"),
        ({"stable_if_confirmed": False}, "unstable-confirmed"),
        ({"stable_if_missing": False}, "unstable-missing"),
        ({"refines_earlier": True}, "refines-earlier"),
        ({"cases": 3}, "few-cases"),
        ({"people": True}, "people"),
    ],
)
def test_each_failed_check_holds_a_suspect_at_level_one(change, code):
    verdict = judge(replace(STRONG, **change))
    assert verdict.level == 1
    assert code in verdict.held_back_by


def test_a_suspect_that_is_exactly_its_days_need_not_beat_them():
    assert judge(replace(STRONG, stretch_margin=0.0)).level == 2


def test_chance_or_a_long_shortlist_is_level_nothing():
    assert judge(replace(STRONG, p_family=0.21)).level == 0
    long = judge(replace(STRONG, shortlist=51))
    assert long.level == 0
    assert "long-shortlist" in long.held_back_by


def test_recorded_facts_raise_level_two_only():
    seen = frozenset({"inspection"})
    shown = frozenset({"inspection", "removal effective"})
    assert judge(replace(STRONG, recorded=seen)).level == 3
    assert judge(replace(STRONG, recorded=shown)).level == 4
    assert judge(replace(STRONG, recorded=frozenset({"removal effective"}))).level == 2
    assert judge(replace(STRONG, recorded=shown, people=True)).level == 1
    assert judge(replace(STRONG, recorded=shown, cases=2)).level == 1


def test_what_was_not_asked_neither_helps_nor_hurts():
    verdict = judge(STRONG)
    assert verdict.level == 2
    assert "controls-clean" not in verdict.rests_on
