"""Whether a hull is counted does not depend on whether it failed."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.analysis.timing.followed import Followed

HULLS = Followed.of(np.array([10, 10, 5, 2]), np.array([4, -1, 5, -1]))


def test_expected_claims_by_hand() -> None:
    """Claim at month 4 among three hulls, claim at month 5 among the same three."""
    assert HULLS.expected(np.ones(4)).tolist() == pytest.approx([2 / 3, 2 / 3, 2 / 3, 0.0])


def test_weights_share_a_claim_out() -> None:
    expected = HULLS.expected(np.array([2.0, 1.0, 1.0, 1.0]))
    assert expected.tolist() == pytest.approx([2 * 2 / 4, 2 / 4, 2 / 4, 0.0])


def test_hulls_left_out_neither_fail_nor_share() -> None:
    part = HULLS.among(np.array([True, False, True, True]))
    assert part.expected(np.ones(4)).tolist() == pytest.approx([1.0, 0.0, 1.0, 0.0])
    assert part.cases.tolist() == [0, 2]


def test_drawn_hulls_were_followed_long_enough_and_come_once() -> None:
    rng = np.random.default_rng(3)
    follow = rng.integers(0, 30, 80)
    month = np.where(rng.random(80) < 0.3, rng.integers(0, follow + 1), -1)
    hulls = Followed.of(follow, month)
    drawn = hulls.draw(np.ones(80), 200, rng)
    ages = np.sort(month[hulls.cases])
    assert (follow[drawn] >= ages).all()
    assert all(len(set(row)) == len(row) for row in drawn.tolist())


def test_every_hull_followed_long_enough_is_drawn_by_its_weight() -> None:
    hulls = Followed.of(np.array([9, 9, 9, 3]), np.array([7, -1, -1, -1]))
    drawn = hulls.draw(np.array([1.0, 1.0, 2.0, 50.0]), 4000, np.random.default_rng(1))
    share = np.bincount(drawn[:, 0], minlength=4) / 4000
    assert share[:3] == pytest.approx([0.25, 0.25, 0.5], abs=0.03)
    assert share[3] == 0.0


@given(st.lists(st.tuples(st.integers(-1, 12), st.integers(-1, 12)), min_size=1, max_size=25))
def test_expected_claims_add_up_to_the_cases(rows: list[tuple[int, int]]) -> None:
    follow, month = (np.array(column) for column in zip(*rows, strict=True))
    hulls = Followed.of(follow, month)
    weight = 1.0 + np.arange(len(hulls)) % 3
    assert hulls.expected(weight).sum() == pytest.approx(len(hulls.cases))


def test_no_claim_no_expectation() -> None:
    hulls = Followed.of(np.array([3, 4]), np.array([-1, -1]), {"model": np.zeros(2, np.int64)})
    assert hulls.expected(hulls.weights(("model",))).tolist() == [0.0, 0.0]
