"""A random plant of any size in a store on disk, written by the database alone."""

from __future__ import annotations

from tracegraph.store import Build

SYMPTOMS = ("blister", "crack", "leak", "stain", "delamination", "soft deck")
"""Each has as many cases, drawn at random."""


def fill_random_plant(build: Build, hulls: int, families: int, levels: int, cases: int) -> None:
    """Each hull answers each family with one level, half of the families lots used in turn.

    Five models built over three years, claims at all ages up to three years.
    """
    per_family = max(2, levels // families)
    sizes = {"hulls": hulls, "families": families, "per": per_family, "cases": cases}
    build.execute(
        "INSERT INTO families SELECT i, concat('family ', i), 'material lot', 'deck', 'step', 1, "
        "NULL FROM range(1, $families + 1) AS r(i)",
        sizes,
    )
    build.execute(
        "INSERT INTO levels SELECT i, 1 + (i - 1) // $per, concat('level ', i), NULL, NULL "
        "FROM range(1, $families * $per + 1) AS r(i)",
        sizes,
    )
    build.execute(
        "INSERT INTO hull_index BY NAME SELECT i AS hull_id, concat('H', i) AS hull_serial, "
        "concat('S', 18 + hash(i) % 5) AS model, 'owner' AS place, "
        "DATE '2018-01-01' + CAST(i * 1095 // $hulls AS INTEGER) AS built_on, "
        "DATE '2018-02-01' + CAST(i * 1095 // $hulls AS INTEGER) AS shipped_on, "
        "DATE '2018-02-01' + CAST(i * 1095 // $hulls AS INTEGER) AS delivered_on, "
        "false AS delivered_imputed FROM range(1, $hulls + 1) AS r(i)",
        sizes,
    )
    for number, symptom in enumerate(SYMPTOMS):
        build.execute(
            "INSERT INTO claim_index BY NAME SELECT $number * $cases + row_number() OVER () AS "
            "claim_id, concat($symptom, hull_id) AS claim_no, hull_id, $symptom AS symptom, "
            "delivered_on + CAST(hash(hull_id, $number) % 1095 AS INTEGER) AS failed_on, "
            "delivered_on + CAST(hash(hull_id, $number) % 1095 AS INTEGER) AS opened_on, "
            "true AS failed_known, 'confirmed' AS certainty, false AS solicited FROM "
            "(SELECT * FROM hull_index ORDER BY hash(hull_id, $symptom) LIMIT $cases)",
            {**sizes, "number": number, "symptom": symptom},
        )
    # A late claim of another sort, so that the data end long after the cases.
    build.execute(
        "INSERT INTO claim_index BY NAME SELECT 0 AS claim_id, 'C0' AS claim_no, "
        "'other' AS symptom, DATE '2024-01-01' AS opened_on, DATE '2024-01-01' AS failed_on, "
        "true AS failed_known, 'confirmed' AS certainty, false AS solicited"
    )
    for family in range(1, families + 1):
        answer = "(i - 1) * $per // $hulls" if family % 2 else "hash(i, $family) % $per"
        build.execute(
            f"INSERT INTO exposure SELECT $family, 1 + ($family - 1) * $per + {answer} AS level, "
            "i, true, true FROM range(1, $hulls + 1) AS r(i) ORDER BY level, i",
            {**sizes, "family": family},
        )
