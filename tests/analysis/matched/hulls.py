"""Small populations made by hand or by chance."""

from __future__ import annotations

import numpy as np

from tracegraph.analysis.matched.groups import RiskGroups
from tracegraph.analysis.matched.offsets import fit_offsets
from tracegraph.analysis.matched.population import (
    COMPLETE,
    DOES_NOT_APPLY,
    INCOMPLETE,
    ExposureMatrix,
    Population,
)
from tracegraph.analysis.matched.risk import RiskSets
from tracegraph.analysis.matched.scores import Baseline


def population(follow, month, **margins) -> Population:
    """Follow-up and months of claims by hull; margins as lists of codes."""
    coded = {name.replace("_", " "): np.asarray(codes) for name, codes in margins.items()}
    return Population.from_follow_up(follow, month, coded, np.arange(float(len(follow))))


def exposure(families, hulls, record=None) -> ExposureMatrix:
    """From lists: families of levels of hulls."""
    level, hull, family = [], [], []
    for number, levels in enumerate(families):
        for carried in levels:
            level += [len(family)] * len(carried)
            hull += list(carried)
            family.append(number)
    if record is None:
        record = np.full((len(families), hulls), COMPLETE)
    return ExposureMatrix.from_rows(np.array(level, int), np.array(hull, int), family, record)


def chance_hulls(seed, hulls=60, families=3, levels=5, missing=0.2, models=3):
    """A random population with many levels per hull, missing and inapplicable records."""
    rng = np.random.default_rng(seed)
    follow = rng.integers(-1, 12, hulls)
    month = np.where(rng.random(hulls) < 0.4, rng.integers(0, 12, hulls), -1)
    people = population(
        follow,
        month,
        model=rng.integers(0, models, hulls),
        build_period=np.sort(rng.integers(0, 4, hulls)),
    )
    record = rng.choice(
        [DOES_NOT_APPLY, INCOMPLETE, COMPLETE],
        (families, hulls),
        p=[0.1, missing, 0.9 - missing],
    )
    rows = [
        (family * levels + level, hull)
        for family in range(families)
        for hull in np.flatnonzero(record[family] == COMPLETE)
        for level in set(rng.integers(0, levels, rng.integers(0, 3)))
    ]
    rows += [
        (family * levels + rng.integers(0, levels), hull)
        for family in range(families)
        for hull in np.flatnonzero(record[family] == INCOMPLETE)
        if rng.random() < 0.5
    ]
    level, hull = np.array(rows, int).reshape(-1, 2).T
    family = np.repeat(np.arange(families), levels)
    return people, ExposureMatrix.from_rows(level, hull, family, record)


def baseline(people, margins=("model", "build period")) -> Baseline:
    groups = RiskGroups.of(people, margins)
    return Baseline.of(groups, fit_offsets(groups))


def risk_sets(people, matrix, margins=("model", "build period")) -> RiskSets:
    return RiskSets(people, matrix, RiskGroups.of(people, margins))
