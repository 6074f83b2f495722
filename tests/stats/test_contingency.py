import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from tracegraph.domain.errors import InvalidTableError
from tracegraph.stats.contingency import (
    LARGEST_TOTAL,
    ContingencyTable,
    TableArrays,
    distinct_rows,
)


def table(a, b, c, d):
    return ContingencyTable(
        exposed_cases=a, exposed_controls=b, unexposed_cases=c, unexposed_controls=d
    )


def test_margins_of_one_table():
    t = table(43, 11, 3, 18)
    assert (t.exposed, t.unexposed, t.cases, t.controls, t.total) == (54, 21, 46, 29, 75)
    assert t.testable


@pytest.mark.parametrize("bad", [-1, 1.0, 2.5, True, "3", None])
def test_a_count_is_a_whole_number_not_negative(bad):
    with pytest.raises(InvalidTableError, match=r"exposed_cases must be a count.*got"):
        table(bad, 1, 1, 1)


def test_numpy_integers_are_counts():
    t = table(np.int32(3), 1, np.int64(1), 3)
    assert type(t.exposed_cases) is int
    assert t == table(3, 1, 1, 3)


def test_positions_are_refused():
    with pytest.raises(TypeError):
        ContingencyTable(3, 1, 1, 3)


# J4-1: one level only, a level never seen, nobody affected, everybody affected.
@pytest.mark.parametrize(
    "counts", [(3, 7, 0, 0), (0, 0, 3, 7), (0, 5, 0, 7), (5, 0, 7, 0), (0,) * 4]
)
def test_an_empty_margin_is_not_testable(counts, tables):
    assert not table(*counts).testable
    assert not tables([counts]).testable[0]


def test_arrays_and_margins_agree(tables):
    t = tables([(43, 11, 3, 18), (0, 9, 7, 14)])
    again = TableArrays.from_margins(
        exposed_cases=t.exposed_cases, exposed=t.exposed, cases=t.cases, total=t.total
    )
    assert all((x == y).all() for x, y in zip(t.counts, again.counts, strict=True))
    assert t.unexposed.tolist() == [21, 21]
    assert t.controls.tolist() == [29, 23]
    assert len(t) == 2


def test_margins_broadcast():
    t = TableArrays.from_margins(exposed_cases=[0, 1, 2], exposed=[2, 2, 2], cases=5, total=40)
    assert t.unexposed_controls.tolist() == [33, 34, 35]


def test_more_cases_than_exposed_is_refused():
    with pytest.raises(InvalidTableError, match=r"exposed_controls must be 0 or more; got -1"):
        TableArrays.from_margins(exposed_cases=3, exposed=2, cases=5, total=40)


@pytest.mark.parametrize(
    ("bad", "message"),
    [
        ([1.5], "whole numbers"),
        ([[1]], "one-dimensional"),
        ([-2], r"got -2 at position 0"),
        ([1, 2], "one length"),
        ([LARGEST_TOTAL], "at most"),
    ],
)
def test_arrays_are_checked(bad, message):
    with pytest.raises(InvalidTableError, match=message):
        TableArrays(
            exposed_cases=bad, exposed_controls=[1], unexposed_cases=[1], unexposed_controls=[1]
        )


def test_no_tables_at_all():
    t = TableArrays(
        exposed_cases=[], exposed_controls=[], unexposed_cases=[], unexposed_controls=[]
    )
    assert len(t) == 0
    assert t.testable.tolist() == []
    assert [x.tolist() for x in t.distinct()] == [[], []]


@given(arrays(np.int64, (3, 20), elements=st.integers(0, 4)))
def test_distinct_rows_rebuild_every_row(columns):
    first, inverse = distinct_rows(*columns)
    assert (columns[:, first][:, inverse] == columns).all()
    assert len(first) == len(set(zip(*columns.tolist(), strict=True)))


def test_distinct_rows_with_counts_too_wide_for_one_key():
    wide = np.array([0, 2**40, 2**40, 5])
    first, inverse = distinct_rows(wide, wide, np.array([1, 1, 1, 1]))
    assert len(first) == 3
    assert inverse[1] == inverse[2]


def test_a_table_as_arrays_keeps_its_counts():
    assert [int(x[0]) for x in table(1, 2, 3, 4).as_arrays().counts] == [1, 2, 3, 4]
