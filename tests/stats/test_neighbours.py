from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracegraph.stats.neighbours import MEMORIES, Memory, Uses, chances, chances_at, learn_memory


def in_order(lots: list[int], stream: list[int] | None = None) -> Uses:
    """Uses at different times; -1 stands for a lot that was not written down."""
    return Uses(
        np.array(stream or [0] * len(lots), np.int64),
        np.arange(len(lots), dtype=np.float64),
        np.array(lots, np.int64)[:, None],
    )


@pytest.mark.parametrize("missing", [1, 2, 5, 30])
def test_between_two_lots_the_chance_falls_evenly(missing: int) -> None:
    # First in, first out, the change-over equally likely in each of the g + 1 places:
    # P(k-th of g on the first lot) = 1 - k / (g + 1).
    uses = in_order([0, *[-1] * missing, 1])
    found = chances(uses, uses.values[:, 0] == 0, keep=0.0)[1:-1]
    assert found == pytest.approx([1 - k / (missing + 1) for k in range(1, missing + 1)])


def test_between_two_uses_of_one_lot_it_is_certain() -> None:
    uses = in_order([0, -1, -1, 0, 1])
    assert chances(uses, uses.values[:, 0] == 0, keep=0.0)[1:3].tolist() == [1.0, 1.0]


def test_beyond_the_last_record_the_last_record_speaks() -> None:
    uses = in_order([-1, 0, 1, -1])
    found = chances(uses, uses.values[:, 0] == 0, keep=0.0)
    assert found[[0, 3]].tolist() == [1.0, 0.0]


def test_a_hull_on_two_lots_speaks_for_both() -> None:
    uses = Uses(
        np.zeros(3, np.int64), np.arange(3.0), np.array([[0, -1], [-1, -1], [0, 1]], np.int64)
    )
    for lot, expected in ((0, 1.0), (1, 0.5)):
        carries = (uses.values == lot).any(axis=1)
        assert chances(uses, carries, keep=0.0)[1] == expected


def test_streams_do_not_speak_for_each_other() -> None:
    uses = in_order([0, -1, 0, 1, -1, 1, -1], stream=[0, 0, 0, 1, 1, 1, 2])
    found = chances(uses, uses.values[:, 0] == 0, keep=0.5)
    assert found[[1, 4]].tolist() == [1.0, 0.0]
    assert np.isnan(found[6])


DAY = st.lists(st.sampled_from([0, 1, -1]), min_size=1, max_size=5)


@given(DAY.filter(lambda day: -1 in day))
@settings(max_examples=60, deadline=None)
def test_with_dates_alone_all_orders_of_the_day_are_averaged(day: list[int]) -> None:
    time = np.array([0.0, *[1.0] * len(day), 2.0])
    lots = np.array([0, *day, 1], np.int64)[:, None]
    uses = Uses(np.zeros(len(lots), np.int64), time, lots)
    found = chances(uses, lots[:, 0] == 0, keep=0.0)[1:-1]
    totals = np.zeros(len(day))
    orders = list(itertools.permutations(range(len(day))))
    for order in orders:
        laid_out = in_order([0, *(day[n] for n in order), 1])
        values = chances(laid_out, laid_out.values[:, 0] == 0, keep=0.0)[1:-1]
        totals[list(order)] += values
    unknown = [n for n, lot in enumerate(day) if lot == -1]
    assert found[unknown] == pytest.approx(totals[unknown] / len(orders))


LOTS = st.lists(st.integers(-1, 3), min_size=2, max_size=25)


@given(LOTS, st.sampled_from(MEMORIES), st.lists(st.integers(0, 8), min_size=25, max_size=25))
@settings(max_examples=80, deadline=None)
def test_chances_of_all_lots_add_up_to_one(lots: list[int], keep: float, days: list[int]) -> None:
    time = np.sort(np.array(days[: len(lots)], np.float64))
    uses = Uses(np.zeros(len(lots), np.int64), time, np.array(lots, np.int64)[:, None])
    table = np.stack([chances(uses, uses.values[:, 0] == lot, keep) for lot in range(4)])
    asked = np.isfinite(table[0])
    assert np.isfinite(table[:, asked]).all()
    assert table[:, asked].sum(axis=0) == pytest.approx(np.ones(asked.sum()))
    assert ((table[:, asked] >= 0) & (table[:, asked] <= 1 + 1e-12)).all()
    others = np.count_nonzero(np.array(lots) >= 0) - (np.array(lots) >= 0)
    assert (asked == (others > 0)).all()


@given(LOTS, st.sampled_from(MEMORIES), st.data())
@settings(max_examples=60, deadline=None)
def test_a_use_does_not_speak_for_itself(lots: list[int], keep: float, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(lots) - 1))
    hidden = [*lots[:place], -1, *lots[place + 1 :]]
    with_it, without = (
        chances(in_order(seen), np.array(seen) == 1, keep)[place] for seen in (lots, hidden)
    )
    assert with_it == pytest.approx(without, nan_ok=True)


@given(LOTS, st.sampled_from(MEMORIES))
@settings(max_examples=60, deadline=None)
def test_a_time_between_uses_is_asked_like_a_use(lots: list[int], keep: float) -> None:
    uses = in_order(lots)
    at = len(lots) // 2
    more = in_order([*lots[:at], -1, *lots[at:]])
    expected = chances(more, more.values[:, 0] == 1, keep)[at]
    found = chances_at(uses, uses.values[:, 0] == 1, keep, 0, np.array([at - 0.5]))
    assert found[0] == pytest.approx(expected, nan_ok=True)


def test_memory_is_short_in_perfect_order_and_longer_when_drums_are_open_together() -> None:
    rng = np.random.default_rng(5)
    order = np.arange(900)
    assert learn_memory(in_order((order // 30).tolist())).keep == 0.0
    mixed = np.clip(order + rng.normal(0, 6, 900), 0, 899) // 30
    learned = learn_memory(in_order(mixed.astype(int).tolist()))
    assert learned.keep >= 0.5
    assert learned.reach > 4


def test_uses_out_of_order_are_counted_where_the_records_are_complete() -> None:
    # Between recorded neighbours stand 0 0 5 0 and 1 (next to the missing one they do not count).
    lots = [0, 0, 0, 5, 0, 0, -1, 1, 1, 1]
    learned = Memory(0.0, *_counted(lots), 0.0)
    assert (learned.out, learned.in_order) == (1, 4)
    assert learned.stray == pytest.approx((1 + 1) / (10 + 5))  # Beta(1 + out, 9 + in)


def _counted(lots: list[int]) -> tuple[int, int]:
    learned = learn_memory(in_order(lots))
    assert learned.keep == 0.0
    return learned.out, learned.in_order


def test_nothing_seen_leaves_the_prior() -> None:
    assert learn_memory(in_order([-1, -1])).stray == pytest.approx(0.1)


def test_uses_out_of_time_are_refused() -> None:
    with pytest.raises(ValueError, match="in the order of time"):
        Uses(np.zeros(2, np.int64), np.array([1.0, 0.0]), np.zeros((2, 1), np.int64))


@pytest.mark.parametrize("missing", [0.15, 0.4])
def test_chances_come_true(missing: float) -> None:
    """On made-up stretches with drums open side by side, p of the missing were on the lot."""
    rng = np.random.default_rng(11)
    told, true = [], []
    for _ in range(12):
        order = np.arange(500)
        lot = (np.clip(order + rng.normal(0, 3, 500), 0, 499) // 35).astype(np.int64)
        uses = in_order(np.where(rng.random(500) < missing, -1, lot).tolist())
        learned = learn_memory(uses)
        for code in range(15):
            chance = chances(uses, uses.values[:, 0] == code, learned.keep)
            told.append(chance[~uses.recorded])
            true.append((lot == code)[~uses.recorded])
    chance, came = np.concatenate(told), np.concatenate(true)
    for low, high in ((0.05, 0.3), (0.3, 0.7), (0.7, 0.95), (0.95, 1.01)):
        inside = (chance >= low) & (chance < high)
        assert inside.sum() > 50
        assert came[inside].mean() == pytest.approx(chance[inside].mean(), abs=0.08)
