"""Every numbered kind of broken input has a test that bears its number."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

CASES = Path(__file__).parent / "cases"
NUMBERS = {
    "a": (3, 2, 2, 3, 1),
    "b": (3, 2, 2, 3, 3, 2, 2, 2, 1, 2),
    "c": (2, 1, 2, 3, 2, 2, 3, 3, 2, 2, 2, 1, 1, 2, 1, 2, 1),
    "d": (2, 1, 2, 2, 2),
    "e": (3, 2, 3, 1, 1),
    "f": (3, 2, 2),
    "g": (3, 3, 1, 1, 2, 1, 1, 1, 1),
    "h": (2, 1, 2, 1, 2, 1),
    "i": (2, 1, 2, 1, 1),
}
"""Letter of the kind; for each of its numbers, how many cases it holds."""


def cases() -> list[str]:
    return [
        f"{letter}{number}_{case}"
        for letter, counts in NUMBERS.items()
        for number, count in enumerate(counts, start=1)
        for case in range(1, count + 1)
    ]


def numbered() -> dict[str, list[str]]:
    """Names of tests by the case that they bear."""
    found: dict[str, list[str]] = {}
    for path in sorted(CASES.glob("test_*.py")):
        for name in re.findall(r"^def (test_\w+)\(", path.read_text("utf-8"), re.MULTILINE):
            for case in re.findall(r"(?<![a-z0-9])([a-i]\d+_\d+)(?=_)", name.replace("test_", "_")):
                found.setdefault(case, []).append(f"{path.name}::{name}")
    return found


@pytest.mark.parametrize("case", cases())
def test_a_test_bears_the_number(case: str) -> None:
    assert numbered().get(case), f"no test in {CASES.name}/ is named test_{case}_..."


def test_no_test_bears_a_number_that_is_not_listed() -> None:
    assert set(numbered()) <= set(cases())


# Kinds of trouble that the statistics meet; their tests stand beside the numbers and name the
# case, as the module that makes the known answers does.
OF_NUMBERS = (
    "J1-1",
    "J2-1",
    "J2-2",
    "J3-1",
    "J4-1",
    "J5-1",
    "J6-1",
    "J7-1",
    "J8-1",
    "J9-1",
    "J10-1",
)


@pytest.mark.parametrize("case", OF_NUMBERS)
def test_a_case_of_numbers_is_named_beside_its_test(case: str) -> None:
    tests = CASES.parents[1]
    found = [*tests.glob("stats/test_*.py"), tests / "reference" / "make_fisher.py"]
    assert any(re.search(rf"\b{case}\b", path.read_text("utf-8")) for path in found)


# Kinds of graphs (K) and screens (L): the test that holds each. A result of 500,000 rows (L3-1) is
# not held by a test yet.
ELSEWHERE = {
    "K1-1": ("genealogy/test_graph.py", "test_a_rework_chain_of_8000_is_walked_at_once"),
    "K2-1": ("genealogy/test_graph.py", "test_forty_diamonds_multiply_at_once"),
    "L1-1": ("pages/test_pages.py", "test_the_definition_survives_a_change_of_page"),
    "L2-1": ("pages/test_pages.py", "test_two_sessions_keep_to_themselves"),
    "L4-1": ("intake/test_uploads.py", "test_limits_are_stated_and_the_folder_is_offered"),
    "L5-1": ("pages/test_pages.py", "test_two_loads_at_once_are_refused_in_words"),
    "L5-1, a stale tab": ("pages/test_pages.py", "test_a_new_load_is_seen_by_an_open_session"),
    "L6-1": ("report/charts/test_charts.py", "test_levels_that_look_like_numbers_stay_names"),
    "L7-1": ("report/charts/test_charts.py", "test_lines_over_a_missing_record_are_dotted"),
    "L7-2": ("report/charts/test_charts.py", "test_an_empty_ranking_still_draws"),
    "L8-1": ("report/charts/test_charts.py", "test_levels_that_look_like_numbers_stay_names"),
    "L9-1": (
        "report/charts/test_charts.py",
        "test_names_that_shorten_alike_keep_rows_of_their_own",
    ),
}


@pytest.mark.parametrize("case", ELSEWHERE)
def test_a_case_of_graphs_or_screens_has_its_test(case: str) -> None:
    file, name = ELSEWHERE[case]
    assert f"def {name}(" in (CASES.parents[1] / file).read_text("utf-8")
