import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tracegraph.stats.contingency import ContingencyTable, TableArrays
from tracegraph.stats.exact import fisher_exact, fisher_exact_many, smallest_p

small_tables = st.tuples(*[st.integers(0, 12)] * 4)


def as_table(counts):
    a, b, c, d = counts
    return ContingencyTable(
        exposed_cases=a, exposed_controls=b, unexposed_cases=c, unexposed_controls=d
    )


def by_counting(counts):
    """(two-sided, greater, less, mid-p) by integer arithmetic."""
    a, b, c, d = counts
    exposed, cases, total = a + b, a + c, a + b + c + d
    weight = {
        x: math.comb(exposed, x) * math.comb(total - exposed, cases - x)
        for x in range(max(0, exposed + cases - total), min(exposed, cases) + 1)
    }
    whole, own = sum(weight.values()), weight[a]
    two = Fraction(sum(w for w in weight.values() if w <= own), whole)
    greater = Fraction(sum(w for x, w in weight.items() if x >= a), whole)
    less = Fraction(sum(w for x, w in weight.items() if x <= a), whole)
    half = Fraction(own, 2 * whole)
    return two, greater, less, min(Fraction(1), 2 * (min(greater, less) - half))


# Fractions by counting. F1, F2: Fisher 1935, The Design of Experiments, ch. II. F3: Fisher
# 1935, JRSS 98:39-82 (one-sided quoted there as about 1 in 2150, from memory). F8: Agresti,
# larynx cancer (0.3808 one-sided). F5: the example of scipy's manual.
FRACTIONS = {
    "F1": ((3, 1, 1, 3), "17/35", "17/70", "69/70"),
    "F2": ((4, 0, 0, 4), "1/35", "1/70", "1"),
    "F3": ((10, 2, 3, 15), "3571/6653325", "619/1330665", None),
    "F4": ((8, 2, 1, 5), "5/143", "7/286", "1143/1144"),
    "F5": ((6, 2, 1, 4), "4/39", "37/429", "427/429"),
    "F6": ((1, 9, 11, 3), "41/14858", "29715/29716", "41/29716"),
    "F7": ((0, 12, 5, 8), "9/230", "1", "39/1610"),
    "F8": ((21, 2, 15, 3), "478435/749398", "142698/374699", None),
}


@pytest.mark.parametrize("name", FRACTIONS)
def test_published_tables_as_exact_fractions(name):
    counts, *answers = FRACTIONS[name]
    for answer, alternative in zip(answers, ("two-sided", "greater", "less"), strict=True):
        if answer is not None:
            p = fisher_exact(as_table(counts), alternative=alternative).p_value
            assert p == pytest.approx(float(Fraction(answer)), rel=1e-12)


def test_every_known_answer(known, tables):
    answers = known("fisher.json")
    tests = fisher_exact_many(tables([x["table"] for x in answers.values()]))
    for i, (name, answer) in enumerate(answers.items()):
        for key in ("two_sided", "greater", "less", "mid_p"):
            expected, p = float(answer[key]), getattr(tests, key)[i]
            assert p == pytest.approx(expected, rel=1e-11, abs=1e-300), (name, key)
        for key in ("log10_two_sided", "log10_greater", "log10_less"):
            assert getattr(tests, key)[i] == pytest.approx(float(answer[key]), abs=1e-11), name


# Figures printed by R or scipy and quoted in public reports of wrong p-values (sums broken by
# an absolute tolerance, by a lost tie, or by underflow), so that the known answers themselves
# are checked from outside. The fifth row is the vanilla ice cream (Gross 1976).
@pytest.mark.parametrize(
    ("counts", "p"),
    [
        ((22, 0, 0, 102), 7.175067e-25),
        ((94, 48, 3577, 16988), 2.069356e-37),
        ((50, 1, 257, 375), 1.222047e-17),
        ((345, 455, 260, 345), 0.956677863992644),
        ((43, 11, 3, 18), 2.59745069184e-7),
        ((0, 9, 7, 14), 0.0709991158),
        ((5, 0, 3, 12), 0.003611971104),
        ((3, 0, 2, 25), 0.002463054187),
        ((8, 0, 0, 16), 1.35967e-6),
        ((6, 1, 2, 7), 0.04055944056),  # 0.02098 when the tie with the mirror table is lost
    ],
)
def test_figures_quoted_in_public(counts, p):
    assert fisher_exact(as_table(counts)).p_value == pytest.approx(p, rel=5e-6)


# Mid-p by integer arithmetic; R epitools::ormidp.test prints the same for the vanilla row.
@pytest.mark.parametrize(
    ("counts", "two_sided"),
    [
        ((3, 1, 1, 3), 0.257142857142857),
        ((10, 2, 3, 15), 4.80661924676759e-4),
        ((8, 2, 1, 5), 0.0253496503496503),
        ((1, 9, 11, 3), 1.41337999730785e-3),
        ((0, 12, 5, 8), 0.024223602484472),
        ((43, 11, 3, 18), 2.69821459814549e-7),
        ((45, 1955, 1455, 96545), 8.83328692414232e-3),
    ],
)
def test_mid_p(counts, two_sided):
    assert fisher_exact(as_table(counts)).mid_p == pytest.approx(two_sided, rel=1e-12)
    sides = [fisher_exact(as_table(counts), alternative=x).mid_p for x in ("greater", "less")]
    assert min(sides) == pytest.approx(two_sided / 2, rel=1e-12)
    assert sum(sides) == pytest.approx(1.0, rel=1e-12)


def test_tiny_values_keep_their_order():
    """J5-1, J7-1: p-values far below the smallest float (log10 by 40-digit arithmetic)."""
    counts = [(899, 1, 1, 2699), (900, 0, 0, 2700), (2500, 3100, 600000, 6200000)]
    logs = [fisher_exact(as_table(x)).log10_p_value for x in counts]
    assert logs == pytest.approx([-870.989, -877.375, -1088.795], abs=5e-4)
    assert fisher_exact(as_table(counts[0])).p_value == 0.0


@pytest.mark.parametrize("counts", [(0, 5, 0, 7), (0, 0, 3, 7), (3, 7, 0, 0), (0, 0, 0, 0)])
def test_an_empty_margin_gives_one(counts):
    result = fisher_exact(as_table(counts))
    assert (result.p_value, result.log10_p_value, result.mid_p) == (1.0, 0.0, 1.0)
    assert not result.testable


def test_no_tables(tables):
    assert fisher_exact_many(tables([])).two_sided.tolist() == []


def test_an_unknown_alternative_is_refused():
    with pytest.raises(ValueError, match=r"alternative must be.*got 'both'"):
        fisher_exact(as_table((3, 1, 1, 3)), alternative="both")


@given(st.lists(small_tables, min_size=1, max_size=20))
def test_agrees_with_counting(tables, rows):
    rows = [r for r in rows if sum(r)]
    tests = fisher_exact_many(tables(rows))
    for i, row in enumerate(rows):
        two, greater, less, mid = by_counting(row)
        assert tests.two_sided[i] == pytest.approx(float(two), rel=1e-12)
        assert tests.greater[i] == pytest.approx(float(greater), rel=1e-12)
        assert tests.less[i] == pytest.approx(float(less), rel=1e-12)
        if tests.testable[i]:
            assert tests.mid_p[i] == pytest.approx(float(mid), rel=1e-12)


def test_agrees_with_counting_where_ties_abound(tables):
    """Equal margins make every table tie with its mirror."""
    rows = [(a, n - a, n - a, a) for n in range(2, 60) for a in range(n + 1)]
    got = fisher_exact_many(tables(rows)).two_sided
    assert got == pytest.approx([float(by_counting(r)[0]) for r in rows], rel=1e-12)


@settings(max_examples=40, deadline=None)
@given(
    st.tuples(
        st.integers(0, 300), st.integers(0, 3000), st.integers(0, 3000), st.integers(1, 90_000)
    )
)
def test_agrees_with_scipy(counts):
    a, b, c, d = counts
    for alternative in ("two-sided", "greater", "less"):
        expected = stats.fisher_exact([[a, b], [c, d]], alternative=alternative).pvalue
        if expected > 1e-250:
            result = fisher_exact(as_table(counts), alternative=alternative)
            assert result.p_value == pytest.approx(expected, rel=1e-9)


@given(small_tables)
def test_rows_columns_and_roles_can_be_exchanged(counts):
    a, b, c, d = counts
    p = fisher_exact(as_table(counts))
    mirrored = [(c, d, a, b), (b, a, d, c), (a, c, b, d), (d, c, b, a)]
    for other in mirrored:
        assert fisher_exact(as_table(other)).p_value == pytest.approx(p.p_value, rel=1e-12)
    greater = fisher_exact(as_table(counts), alternative="greater").p_value
    less_of_the_rest = fisher_exact(as_table((c, d, a, b)), alternative="less").p_value
    assert less_of_the_rest == pytest.approx(greater, rel=1e-12)


@given(st.integers(2, 200), st.data())
def test_more_exposed_cases_never_raise_the_upper_tail(total, data):
    exposed = data.draw(st.integers(1, total - 1))
    cases = data.draw(st.integers(1, total - 1))
    low, high = max(0, exposed + cases - total), min(exposed, cases)
    tests = fisher_exact_many(
        TableArrays.from_margins(
            exposed_cases=np.arange(low, high + 1), exposed=exposed, cases=cases, total=total
        )
    )
    assert (np.diff(tests.log10_greater) <= 1e-12).all()
    assert (np.diff(tests.log10_less) >= -1e-12).all()
    assert (tests.two_sided <= 1.0).all()
    assert (tests.mid_p_greater <= tests.greater).all()


@given(st.lists(small_tables, min_size=2, max_size=15), st.randoms(use_true_random=False))
def test_order_and_repetition_do_not_matter(tables, rows, random):
    """J10-1: equal tables get equal p-values, whatever surrounds them."""
    order = list(range(len(rows)))
    random.shuffle(order)
    once = fisher_exact_many(tables(rows))
    shuffled = fisher_exact_many(tables([rows[i] for i in order] * 2))
    expected = np.tile(once.log10_two_sided[order], 2)
    assert (shuffled.log10_two_sided == expected).all()


# Smallest one-sided p of lots of 1, 2, ... 20 hulls among 40 with 5 claims, by counting.
def test_smallest_attainable_p():
    lots = TableArrays.from_margins(
        exposed_cases=0, exposed=[1, 2, 3, 4, 5, 8, 10, 20], cases=5, total=40
    )
    by_hand = ["1/8", "1/78", "1/988", "1/18278", "1/658008", "7/82251", "7/18278", "34/1443"]
    expected = [float(Fraction(x)) for x in by_hand]
    assert smallest_p(lots) == pytest.approx(expected, rel=1e-12)


@given(small_tables.filter(sum))
def test_smallest_p_is_the_smallest_over_all_tables(tables, counts):
    a, b, c, _ = counts
    exposed, cases, total = a + b, a + c, sum(counts)
    possible = range(max(0, exposed + cases - total), min(exposed, cases) + 1)
    everything = [
        by_counting((x, exposed - x, cases - x, total - exposed - cases + x)) for x in possible
    ]
    for position, alternative in enumerate(("two-sided", "greater", "less")):
        expected = float(min(x[position] for x in everything))
        got = smallest_p(tables([counts]), alternative=alternative)
        assert got[0] == pytest.approx(expected, rel=1e-12)
