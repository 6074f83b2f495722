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
# case, as the module that makes the known answers does. Kinds of graphs (K) and screens (L)
# are not tied to a test by number yet.
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
