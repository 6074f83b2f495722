"""Early, late or throughout: the split of exposed cases against enumeration."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.analysis.timing.halves import MEANINGS, compare_halves


def plant(ages_exposed, ages_others, hulls: int = 40):
    """Half of the hulls are exposed; those without a claim are followed for 30 months."""
    age = np.full(2 * hulls, 30)
    case = np.zeros(2 * hulls, np.bool_)
    for start, ages in ((0, ages_exposed), (hulls, ages_others)):
        age[start : start + len(ages)] = ages
        case[start : start + len(ages)] = True
    return age, case, np.arange(2 * hulls) < hulls


@pytest.mark.parametrize(
    ("exposed", "others", "reading"),
    [
        ([1, 1, 2, 2, 2, 3, 3], [20, 20, 21, 22, 23, 24], "early"),
        ([20, 20, 21, 21, 22, 23, 24, 24], [1, 1, 2, 2, 2, 3, 3], "late"),
        ([1, 2, 3, 3, 18, 20, 21, 22, 23], [2, 20], "throughout"),
        ([2, 20], [1, 2, 3, 3, 18, 20, 21, 22, 23], "fewer"),
        ([1, 2, 20, 21], [1, 3, 19, 23], "no difference"),
        ([1, 20], [3], "few"),
        ([], [], "few"),
    ],
)
def test_readings(exposed: list[int], others: list[int], reading: str) -> None:
    found = compare_halves(*plant(exposed, others))
    assert found.reading == reading
    assert found.reading in MEANINGS


def test_counts_and_expectations_by_hand() -> None:
    """Cases at 2 (exposed), 3 (other), 10 (exposed) and 12 (exposed) of 4 hulls and 4."""
    age = np.array([2, 10, 12, 30, 3, 30, 30, 30])
    case = np.array([True, True, True, False, True, False, False, False])
    found = compare_halves(age, case, np.arange(8) < 4)
    assert (found.split, found.last) == (3, 12)
    assert found.cases.tolist() == [2, 2]
    assert found.observed.tolist() == [1, 2]
    assert found.expected == pytest.approx([4 / 8 + 3 / 7, 3 / 6 + 2 / 5])
    assert found.ratio[1] == np.inf
    assert found.low[1] > 0.0


@given(
    st.lists(st.tuples(st.integers(1, 6), st.booleans(), st.booleans()), min_size=4, max_size=11)
)
def test_uneven_split_against_enumeration(rows: list[tuple[int, bool, bool]]) -> None:
    """All ways in which the cases may be exposed, weighed by their chances at one total."""
    age, case, exposed = (np.array(column) for column in zip(*rows, strict=True))
    found = compare_halves(age, case, exposed)
    ages = np.sort(age[case])
    total = int(exposed[case].sum())
    chance = [(exposed & (age >= a)).sum() / (age >= a).sum() for a in ages]
    law: dict[int, float] = {}
    for way in product((0, 1), repeat=len(ages)):
        if sum(way) == total:
            p = np.prod([c if w else 1 - c for c, w in zip(chance, way, strict=True)])
            early = sum(w for w, a in zip(way, ages, strict=True) if a <= found.split)
            law[early] = law.get(early, 0.0) + float(p)
    own = law.get(int(found.observed[0]), 0.0)
    everything = sum(law.values())
    if not everything:
        return
    expected = sum(p for p in law.values() if p <= own * (1 + 1e-9)) / everything
    assert found.p_value == pytest.approx(min(1.0, expected), rel=1e-9)
