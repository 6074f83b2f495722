from __future__ import annotations

import numpy as np
import pandas as pd
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.synthetic import dirt


def test_spoilt_ids_can_be_told_apart_from_others_after_cleaning() -> None:
    ids = np.array([f"GW-{k}" for k in range(4000)], dtype=object)
    spoilt = dirt.spoil(np.random.default_rng(1), ids)
    changed = spoilt != ids
    assert 0.01 < changed.mean() < 0.03
    assert [s.strip().upper() for s in spoilt] == ids.tolist()


def test_lost_values_become_one_of_the_missing_words() -> None:
    ids = np.array([f"GW-{k}" for k in range(3000)], dtype=object)
    chance = np.where(np.arange(3000) < 1000, 0.4, 0.1)
    lost = dirt.lose(np.random.default_rng(2), ids, chance)
    gone = lost != ids
    assert set(lost[gone]) == set(dirt.MISSING_WORDS)
    assert 0.35 < gone[:1000].mean() < 0.45
    assert 0.08 < gone[1000:].mean() < 0.12


@given(size=st.integers(1, 500), seed=st.integers(0, 2**32), data=st.data())
def test_drawn_rows_are_distinct(size: int, seed: int, data: st.DataObject) -> None:
    count = data.draw(st.integers(0, size))
    rows = dirt.drawn(np.random.default_rng(seed), size, count)
    assert len(set(rows.tolist())) == count
    assert all(0 <= row < size for row in rows)


def test_each_word_overwrites_one_cell() -> None:
    table = pd.DataFrame({"a": ["1"] * 100})
    dirt.overwrite(np.random.default_rng(3), table, "a", ("x", "y"))
    assert sorted(table["a"])[-3:] == ["1", "x", "y"]


def test_a_short_table_is_left_whole() -> None:
    table = pd.DataFrame({"a": ["1"] * 9})
    dirt.overwrite(np.random.default_rng(3), table, "a", ("x", "y"))
    assert set(table["a"]) == {"1"}
