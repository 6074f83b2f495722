from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tracegraph.analysis.containing.streams import Streams, option_columns, sort_into_streams


def sorted_by(lots: list[int], **attributes: list[str | None]) -> Streams:
    columns = {"material": ["gelcoat"] * len(lots), **attributes}
    return sort_into_streams(
        np.arange(len(lots), dtype=np.float64),
        np.array(lots, np.int64)[:, None],
        pd.DataFrame(columns, dtype="object"),
    )


def two_colours(count: int = 200) -> tuple[list[int], list[str]]:
    """White and navy hulls in random order, each colour on lots of its own."""
    rng = np.random.default_rng(4)
    colour = rng.choice(["white", "navy"], count)
    used = {"white": 0, "navy": 0}
    lots = []
    for name in colour:
        lots.append(used[name] // 25 + (100 if name == "navy" else 0))
        used[name] += 1
    return lots, colour.tolist()


def test_the_attribute_that_orders_the_lots_splits_them() -> None:
    lots, colour = two_colours()
    weekday = [str(n % 5) for n in range(len(lots))]
    found = sorted_by(lots, weekday=weekday, colour=colour)
    assert found.names == ("material", "colour")
    assert found.memory.keep == 0.0
    assert found.cells["colour"].tolist() == ["navy", "white"]
    assert (found.code == np.array([n == "white" for n in colour])).all()


def test_one_stream_stays_whole() -> None:
    found = sorted_by([n // 20 for n in range(200)], station=[str(n % 2) for n in range(200)])
    assert found.names == ("material",)
    assert set(found.code) == {0}


def test_a_use_without_the_attribute_has_no_stream() -> None:
    lots, colour = two_colours()
    told: list[str | None] = [None if n == 7 else name for n, name in enumerate(colour)]
    found = sorted_by(lots, colour=told)
    assert np.flatnonzero(found.code < 0).tolist() == [7]
    assert 7 not in found.order


def test_two_materials_never_mix() -> None:
    found = sort_into_streams(
        np.arange(4.0),
        np.array([0, 1, 0, 1], np.int64)[:, None],
        pd.DataFrame({"material": ["a", "b", "a", "b"]}),
    )
    assert found.code.tolist() == [0, 1, 0, 1]


def test_options_become_columns_unless_all_or_none_have_them() -> None:
    options = pd.Series(["navy;  t-top", "navy", None, "white; t-top", "white"])
    found = option_columns(options)
    assert list(found) == ["option: navy", "option: t-top", "option: white"]
    assert found["option: t-top"].tolist() == ["yes", "no", "no", "yes", "no"]
    assert list(option_columns(pd.Series(["navy", "navy"]))) == []
    named = option_columns(options, ["part", "option: sand", "option: navy"])
    assert named["option: sand"].tolist() == ["no"] * 5
    assert named["option: navy"].tolist() == ["yes", "yes", "no", "no", "no"]


@pytest.mark.parametrize("count", [0, 1, 2])
def test_few_uses_make_one_stream(count: int) -> None:
    found = sorted_by([0] * count)
    assert found.names == ("material",)
    assert len(found.order) == count


def test_stores_of_several_plants_are_never_one_stream() -> None:
    """Even where lots follow one another alike over both."""
    lots = [n // 20 for n in range(200)]
    plants = ["north" if n % 2 else "south" for n in range(200)]
    found = sorted_by(lots, station=[str(n % 3) for n in range(200)], plant=plants)
    assert found.names == ("material", "plant")
    assert (found.code == np.array([name == "south" for name in plants])).all()
