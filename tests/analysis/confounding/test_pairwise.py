from __future__ import annotations

import numpy as np
import pytest

from tests.analysis.matched.hulls import exposure, population
from tracegraph.analysis.confounding.pairwise import side_by_side
from tracegraph.analysis.confounding.stages import Place
from tracegraph.analysis.matched.search import search

HULLS = 900
LOT = (np.arange(HULLS) >= 300) & (np.arange(HULLS) < 390)
MOLD = (np.arange(HULLS) % 3 == 0) | (LOT & (np.arange(HULLS) % 2 == 0))


@pytest.fixture(scope="module")
def found():
    """The lot is the cause; the mold made much of it and is blamed with it."""
    rng = np.random.default_rng(5)
    month = np.where(rng.random(HULLS) < np.where(LOT, 0.4, 0.03), rng.integers(1, 9, HULLS), -1)
    matrix = exposure([[np.flatnonzero(LOT)], [np.flatnonzero(MOLD)]], HULLS)
    return search(population(np.full(HULLS, 12), month), matrix, margins=(), resamples=19)


def test_the_cause_still_matters_given_the_bystander_and_not_the_other_way(found):
    pair = side_by_side(found, (), 0, 1, 12)
    assert pair.first_given_second.p_value[0] < 1e-6
    assert pair.second_given_first.p_value[0] > 0.05
    assert pair.common.odds_ratio[0] > 5.0
    assert pair.same.tarone_p > 0.05


def test_likeness_by_hand(found):
    pair = side_by_side(found, (), 0, 1, 12)
    both, one, two, none = (
        int((a & b).sum()) for a, b in ((LOT, MOLD), (LOT, ~MOLD), (~LOT, MOLD), (~LOT, ~MOLD))
    )
    assert pair.cells.hulls.tolist() == [both, one, two, none]
    assert pair.jaccard == pytest.approx(both / (both + one + two))
    assert pair.phi == pytest.approx(np.corrcoef(LOT, MOLD)[0, 1])
    assert len(pair.apart.hull) == one + two


def test_a_later_reading_is_not_allowed_for(found):
    lot, reading = Place("lot", 2, "material lot"), Place("barcol", 5, "process reading")
    pair = side_by_side(found, (), 0, 1, 12, (lot, reading))
    assert pair.first_given_second is None
    assert pair.second_given_first is not None
