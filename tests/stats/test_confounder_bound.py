"""The bound against its published example."""

from __future__ import annotations

import pytest

from tracegraph.stats.confounder_bound import e_value


@pytest.mark.parametrize(
    ("ratio", "bound"),
    # VanderWeele & Ding 2017 (from memory): smoking and lung cancer, 10.73 with lower
    # limit 8.02; breastfeeding and respiratory death, 3.9 with lower limit 1.8.
    [(10.73, 20.9), (8.02, 15.5), (3.9, 7.26), (1.8, 3.0), (1.0, 1.0)],
)
def test_published_bounds(ratio: float, bound: float) -> None:
    assert e_value(ratio) == pytest.approx(bound, abs=0.06)


def test_the_bound_solves_its_own_equation() -> None:
    # A common cause with ratio B to both can lift a ratio to at most B * B / (2 B - 1).
    for ratio in (1.2, 2.0, 7.5):
        bound = e_value(ratio)
        assert bound * bound / (2 * bound - 1) == pytest.approx(ratio)


def test_a_ratio_below_one_is_refused() -> None:
    with pytest.raises(ValueError, match="1 or more"):
        e_value(0.5)
