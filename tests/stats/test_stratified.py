import math
from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from statsmodels.stats.contingency_tables import StratifiedTable

from tracegraph.stats.exact import fisher_exact_many
from tracegraph.stats.odds_ratio import odds_ratios, sample_odds_ratio
from tracegraph.stats.stratified import common_odds_ratios, exact_common_odds_ratio, homogeneity

# S1 Berkeley admissions 1973 (Bickel, Hammel & O'Connell 1975, Science 187:398-404), rows
# admitted and rejected, columns male and female. S2 penicillin in rabbits (R, mantelhaen.test).
# S3 smoking and lung cancer in eight cities, S4 topical cream in eight centers, S5 sentence by
# race within victim's race: Agresti (tables from memory). All figures were recomputed with
# statsmodels StratifiedTable and R mantelhaen.test, which agree to 1e-12.
S1 = [(512, 89, 313, 19), (353, 17, 207, 8), (120, 202, 205, 391), (138, 131, 279, 244),
      (53, 94, 138, 299), (22, 24, 351, 317)]  # fmt: skip
S2 = [(0, 6, 0, 5), (3, 3, 0, 6), (6, 0, 2, 4), (5, 1, 6, 0), (2, 0, 5, 0)]
S3 = [(126, 100, 35, 61), (908, 688, 497, 807), (913, 747, 336, 598), (235, 172, 58, 121),
      (402, 308, 121, 215), (182, 156, 72, 98), (60, 99, 11, 43), (104, 89, 21, 36)]  # fmt: skip
S4 = [(11, 25, 10, 27), (16, 4, 22, 10), (14, 5, 7, 12), (2, 14, 1, 16), (6, 11, 0, 12),
      (1, 10, 0, 10), (1, 4, 1, 8), (4, 2, 6, 1)]  # fmt: skip
S5 = [(19, 132, 11, 52), (0, 9, 6, 97)]

# Odds ratio, limits, chi-square without and with continuity correction.
POOLED = [
    (S1, 0.904696828258623, 0.771907361759351, 1.060329764436656, 1.524606660443, 1.426946228587),
    (S2, 7.0, 1.026712688462, 47.725133380222, 5.657142857143, 55 / 14),
    (S3, 2.174481919979, 1.984001974285, 2.383249453178, 280.137537053255, 279.375740463853),
    (S4, 2.134549067196, 1.177589759646, 3.869174033612, 6.384113424999, 5.671646724608),
    (S5, 0.635296819382, 0.286413554713, 1.409158337922, 1.209706310530, None),
]
P_VALUES = [
    (S1, 0.216923697056, 0.232263462817),
    (S2, 0.017384420352, 0.047472255143),
    (S3, 7.00848999365e-63, 1.02715e-62),
    (S4, 0.011514626175, 0.017241263939),
    (S5, 0.271390294140, None),
]


@pytest.mark.parametrize(("strata", "ratio", "low", "high", "plain", "corrected"), POOLED)
def test_published_strata(strata, ratio, low, high, plain, corrected, tables):
    r = common_odds_ratios(tables(strata))
    assert r.odds_ratio[0] == pytest.approx(ratio, rel=1e-9)
    assert r.low[0] == pytest.approx(low, rel=1e-9)
    assert r.high[0] == pytest.approx(high, rel=1e-9)
    assert r.chi_square[0] == pytest.approx(plain, rel=1e-9)
    if corrected is not None:
        assert r.chi_square_corrected[0] == pytest.approx(corrected, rel=1e-9)


@pytest.mark.parametrize(("strata", "plain", "corrected"), P_VALUES)
def test_published_p_values(strata, plain, corrected, tables):
    r = common_odds_ratios(tables(strata))
    assert r.p_value[0] == pytest.approx(plain, rel=1e-9)
    if corrected is not None:
        assert r.p_value_corrected[0] == pytest.approx(corrected, rel=2e-6)


def test_berkeley_turns_round(tables):
    """Pooled over departments men do better; within departments they do not."""
    crude = sample_odds_ratio(tables([np.sum(S1, axis=0)]))
    assert crude[0] == pytest.approx(1.84108003718, rel=1e-9)
    r = common_odds_ratios(tables(S1))
    assert r.odds_ratio[0] < 1.0 < r.high[0]
    assert r.log_se[0] == pytest.approx(0.080988909656221, rel=1e-9)
    assert sample_odds_ratio(tables(S1)) == pytest.approx(
        [
            0.349212047241,
            0.802500710429,
            1.133059647428,
            0.921283756053,
            1.221631205674,
            0.827872744539,
        ]
    )
    assert fisher_exact_many(tables(S1)).two_sided == pytest.approx(
        [
            1.66918932839e-5,
            0.677089913723,
            0.386616575975,
            0.599496507961,
            0.360396431415,
            0.545840826901,
        ]
    )
    assert homogeneity(tables(S1)).breslow_day_p < 0.05


# Breslow-Day also from its definition; Woolf by R vcd::woolf_test.
@pytest.mark.parametrize(
    ("strata", "breslow_day", "tarone", "woolf"),
    [
        (
            S1,
            (18.825513705237, 0.002071390350),
            (18.825501252053, 0.002071401398),
            (17.901712469798, 0.003072142309),
        ),
        (S3, (5.199704846953, 0.635606821371), (5.199671172639, None), None),
        (S4, (7.995544177034, 0.332986977352), (7.991840244134, None), None),
        (S5, (0.380560774089, None), None, None),
    ],
)
def test_published_homogeneity(strata, breslow_day, tarone, woolf, tables):
    h = homogeneity(tables(strata))
    got = [(h.breslow_day, h.breslow_day_p), (h.tarone, h.tarone_p), (h.woolf, h.woolf_p)]
    for (statistic, p), expected in zip(got, (breslow_day, tarone, woolf), strict=True):
        if expected is not None:
            assert statistic == pytest.approx(expected[0], rel=1e-9)
            if expected[1] is not None:
                assert p == pytest.approx(expected[1], rel=1e-9)
    assert h.degrees_of_freedom == len(strata) - 1


# R mantelhaen.test(exact=TRUE); its estimates carry five digits and its limits three, for want
# of a tighter root finder. They are checked to the last digit by counting, further down.
def test_exact_conditional_as_published(tables):
    one = exact_common_odds_ratio(tables(S1))
    assert one.two_sided == pytest.approx(0.227762526800, rel=1e-9)
    assert one.odds_ratio == pytest.approx(0.905076193638, rel=1e-5)
    two = exact_common_odds_ratio(tables(S2))
    assert two.two_sided == pytest.approx(0.039944903581, rel=1e-9)
    assert min(two.greater, two.less) == pytest.approx(0.019972451791, rel=1e-9)
    assert two.odds_ratio == pytest.approx(10.361024081, rel=1e-5)
    assert (two.low, two.high) == pytest.approx((1.0774, 529.84), rel=5e-3)
    assert exact_common_odds_ratio(tables(S4)).two_sided == pytest.approx(0.013360165605, rel=1e-9)


def test_rabbits_without_information(tables):
    assert common_odds_ratios(tables(S2)).informative.tolist() == [3]
    informative = [S2[i] for i in (1, 2, 3)]
    assert homogeneity(tables(S2)).breslow_day == homogeneity(tables(informative)).breslow_day
    assert homogeneity(tables(S2)).degrees_of_freedom == 2
    assert math.isnan(homogeneity(tables(S2)).woolf)
    assert homogeneity(tables(S2)).woolf_p == 1.0


def test_nothing_to_compare(tables):
    for strata in ([], [(0, 5, 0, 7), (3, 7, 0, 0)]):
        r = common_odds_ratios(tables(strata))
        assert np.isnan([r.odds_ratio[0], r.low[0], r.chi_square[0]]).all()
        assert (r.p_value[0], r.p_value_corrected[0], r.informative[0]) == (1.0, 1.0, 0)
        exact = exact_common_odds_ratio(tables(strata))
        assert math.isnan(exact.odds_ratio)
        assert (exact.two_sided, exact.greater, exact.less) == (1.0, 1.0, 1.0)
        assert homogeneity(tables(strata)).breslow_day_p == 1.0


def test_zero_and_infinite_common_ratios(tables):
    r = common_odds_ratios(tables([(3, 0, 1, 4), (0, 4, 3, 2)]), [0, 1])
    assert r.odds_ratio.tolist() == [math.inf, 0.0]
    assert np.isnan(r.low).all()
    exact = exact_common_odds_ratio(tables([(3, 0, 1, 4), (2, 0, 2, 2)]))
    assert exact.odds_ratio == exact.high == math.inf
    assert 0.0 < exact.low < math.inf


def test_many_levels_at_once(tables):
    levels = [S1, S4, S2, S5]
    number = np.repeat(np.arange(4), [len(x) for x in levels])
    order = np.random.default_rng(3).permutation(len(number))
    every = tables(np.concatenate(levels)).take(order)
    together = common_odds_ratios(every, number[order])
    for i, strata in enumerate(levels):
        alone = common_odds_ratios(tables(strata))
        for name in ("odds_ratio", "low", "high", "chi_square", "p_value_corrected"):
            assert getattr(together, name)[i] == pytest.approx(getattr(alone, name)[0], rel=1e-12)


def test_a_single_stratum_is_the_plain_table(tables):
    table = tables([(43, 11, 3, 18)])
    exact, plain = exact_common_odds_ratio(table), odds_ratios(table)
    assert exact.odds_ratio == pytest.approx(plain.conditional[0], rel=1e-9)
    assert (exact.low, exact.high) == pytest.approx((plain.low[0], plain.high[0]), rel=1e-9)
    assert exact.two_sided == pytest.approx(2.59745069184e-7, rel=1e-9)
    assert common_odds_ratios(table).odds_ratio[0] == pytest.approx(23.4545454545)


positive = st.tuples(*[st.integers(1, 60)] * 4)


@settings(max_examples=40, deadline=None)
@given(st.lists(positive, min_size=2, max_size=6))
def test_against_statsmodels(tables, strata):
    expected = StratifiedTable([np.array(x, float).reshape(2, 2) for x in strata])
    r, h = common_odds_ratios(tables(strata)), homogeneity(tables(strata))
    assert r.odds_ratio[0] == pytest.approx(expected.oddsratio_pooled, rel=1e-9)
    assert (r.low[0], r.high[0]) == pytest.approx(expected.oddsratio_pooled_confint(), rel=1e-9)
    assert r.chi_square[0] == pytest.approx(expected.test_null_odds(False).statistic, abs=1e-9)
    # The formula of statsmodels divides by one less the odds ratio.
    assume(abs(r.odds_ratio[0] - 1.0) > 1e-3)
    for adjust, mine in ((False, h.breslow_day), (True, h.tarone)):
        assert mine == pytest.approx(expected.test_equal_odds(adjust).statistic, abs=1e-7)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(*[st.integers(0, 7)] * 4), min_size=1, max_size=3))
def test_exact_test_against_counting(tables, strata):
    """Every way to fill every stratum, by integer weights."""
    supports = []
    for a, b, c, d in strata:
        x = range(max(0, a - d), min(a + b, a + c) + 1)
        supports.append([(v, math.comb(a + b, v) * math.comb(c + d, a + c - v)) for v in x])
    weight = {}
    for combination in product(*supports):
        total = sum(v for v, _ in combination)
        weight[total] = weight.get(total, 0) + math.prod(w for _, w in combination)
    observed, whole = sum(s[0] for s in strata), sum(weight.values())
    r = exact_common_odds_ratio(tables(strata))
    own = weight[observed]
    two = sum(w for w in weight.values() if w <= own) / whole
    assert r.two_sided == pytest.approx(two, rel=1e-9)
    assert r.greater == pytest.approx(sum(w for t, w in weight.items() if t >= observed) / whole)
    assert r.less == pytest.approx(sum(w for t, w in weight.items() if t <= observed) / whole)

    def tail(ratio, keep):
        tilted = {t: w * ratio ** (t - observed) for t, w in weight.items()}
        return sum(w for t, w in tilted.items() if keep(t)) / sum(tilted.values())

    if len(weight) > 1 and observed > min(weight):
        assert tail(r.low, lambda t: t >= observed) == pytest.approx(0.025, rel=1e-7)
    if len(weight) > 1 and observed < max(weight):
        assert tail(r.high, lambda t: t <= observed) == pytest.approx(0.025, rel=1e-7)
    if min(weight) < observed < max(weight):
        tilted = {t: w * r.odds_ratio ** (t - observed) for t, w in weight.items()}
        mean = sum(t * w for t, w in tilted.items()) / sum(tilted.values())
        assert mean == pytest.approx(observed, rel=1e-8)


def test_a_far_tail_keeps_both_sides(tables):
    """The two-sided p of ten identical strata, symmetric: exactly twice the one-sided."""
    r = exact_common_odds_ratio(tables([(48, 2, 2, 48)] * 10))
    assert 0.0 < r.greater < 1e-190
    assert r.two_sided == pytest.approx(2 * r.greater, rel=1e-6)
