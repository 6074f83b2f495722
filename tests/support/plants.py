"""A large plant made of random exposures, for benchmarks of the ranking."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracegraph.store import Build, in_memory_build


def random_plant(
    hulls: int, families: int, levels: int, cases: int, *, seed: int = 1, missing: float = 0.0
) -> Build:
    """A build in memory: each hull answers each family with one level.

    Half of the families are lots used one after another, half are drawn at random; the
    cases are drawn at random.
    """
    rng = np.random.default_rng(seed)
    per_family = max(2, levels // families)
    hull = np.tile(np.arange(1, hulls + 1, dtype=np.int64), families)
    family = np.repeat(np.arange(1, families + 1, dtype=np.int64), hulls)
    in_turn = (np.arange(hulls) * per_family) // hulls
    answers = [
        in_turn if number % 2 else rng.integers(0, per_family, hulls) for number in range(families)
    ]
    level = 1 + np.concatenate(answers) + (family - 1) * per_family
    known = rng.random(len(hull)) >= missing
    build = in_memory_build()
    rows = pd.DataFrame(
        {
            "family_id": family,
            "level_id": pd.array(np.where(known, level, 0), dtype="Int64"),
            "hull_id": hull,
        }
    )
    rows["level_id"] = rows["level_id"].mask(~known)
    build.register("given", rows)
    build.execute(
        "INSERT INTO exposure SELECT family_id, level_id, hull_id, level_id IS NOT NULL, true "
        "FROM given ORDER BY family_id, level_id, hull_id"
    )
    build.unregister("given")
    build.execute(
        "INSERT INTO families SELECT i, concat('family ', i), 'material lot', 'deck', 'step', 1, "
        "NULL "
        "FROM range(1, $n + 1) AS r(i)",
        {"n": families},
    )
    build.execute(
        "INSERT INTO levels SELECT i, 1 + (i - 1) // $per, concat('level ', i), NULL, NULL "
        "FROM range(1, $n + 1) AS r(i)",
        {"n": families * per_family, "per": per_family},
    )
    start = "DATE '2020-01-01'"
    build.execute(
        "INSERT INTO hull_index SELECT i, concat('H', i), NULL, NULL, NULL, 'S18', NULL, 'owner', "
        f"{start}, {start}, {start}, false, NULL, NULL FROM range(1, $n + 1) AS r(i)",
        {"n": hulls},
    )
    affected = rng.choice(hulls, cases, replace=False) + 1
    build.register("given", pd.DataFrame({"hull_id": affected}))
    build.execute(
        "INSERT INTO claim_index BY NAME SELECT row_number() OVER (ORDER BY hull_id) AS claim_id, "
        "concat('C', hull_id) AS claim_no, hull_id, 'blister' AS symptom, "
        "DATE '2021-01-01' AS opened_on, DATE '2021-01-01' AS failed_on, true AS failed_known, "
        "'confirmed' AS certainty, false AS solicited FROM given"
    )
    build.unregister("given")
    # A late claim of another sort, so that the data end long after the cases.
    build.execute(
        "INSERT INTO claim_index BY NAME SELECT 0 AS claim_id, 'C0' AS claim_no, "
        "'other' AS symptom, DATE '2024-01-01' AS opened_on, DATE '2024-01-01' AS failed_on, "
        "true AS failed_known, 'confirmed' AS certainty, false AS solicited"
    )
    return build
