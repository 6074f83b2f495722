from __future__ import annotations

import numpy as np

from tests.analysis.matched.hulls import exposure, population
from tracegraph.analysis.confounding.refuting import refutation
from tracegraph.analysis.matched.search import search


def searched(exposed_cases):
    """Forty hulls of 400 carry the lot; twelve claims on other hulls."""
    month = np.full(400, -1)
    month[:exposed_cases] = np.arange(exposed_cases) % 6 + 1
    month[100:112] = np.arange(12) % 6 + 1
    matrix = exposure([[range(40), range(40, 80)], [range(0, 400, 7)]], 400)
    return search(population(np.full(400, 12), month), matrix, margins=(), resamples=99, seed=2)


def test_a_stronger_suspect_takes_more_claims_to_refute():
    some, more = (refutation(searched(count)).claims_elsewhere for count in (8, 14))
    assert some is not None
    assert more is not None
    assert 0 < some < more


def test_what_chance_explains_already_has_nothing_to_lose():
    assert refutation(searched(3)).claims_elsewhere is None


def test_sound_hulls_needed_are_those_of_the_reverse_verdict():
    assert refutation(searched(8)).clean_inspections == 13
