"""Fill families, levels, exposure and measured values of a build from its linked records."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from tracegraph.domain.kinds import KINDS
from tracegraph.domain.practice import AMBIENT_QUANTITIES, CURE_HOURS
from tracegraph.exposure.bands import FEW_VALUES, Band, bands, single_values
from tracegraph.exposure.conditions import work_out_conditions
from tracegraph.exposure.fuel_tests import add_fuel_verdicts
from tracegraph.store import Build
from tracegraph.store.queries import sql_names


def build_exposure(
    build: Build, *, time_zone: str = "UTC", cure_hours: Mapping[str, float] = CURE_HOURS
) -> None:
    """Derive who was exposed to what.

    Parameters
    ----------
    build : Build
        Record and index tables are filled; ``families``, ``levels``, ``exposure`` and
        ``measured_values`` empty.
    time_zone : str, default "UTC"
        The site's zone, for weekday and week.
    cure_hours : mapping of str to float
        Hours after a step's end over which conditions count, by step.
    """
    build.execute("CREATE TEMP TABLE hulls_in_question AS SELECT hull_id FROM hull_index")
    build.run_folder("exposure/gather", {"time_zone": time_zone})
    add_fuel_verdicts(build)
    work_out_conditions(build, cure_hours=cure_hours)
    build.run("exposure/conditions/04_usual_quantities")
    build.run("exposure/conditions/05_measured", {"ambient_quantities": list(AMBIENT_QUANTITIES)})
    build.run("exposure/settle/00_questions")
    work_out_bands(build)
    for name in sql_names("exposure/settle")[1:]:
        build.run(name)
    build.execute(NO_ROWS_KEPT)
    number(build)
    build.run("exposure/raw_values")


NO_ROWS_KEPT = (
    "CREATE TEMP VIEW kept_rows AS SELECT CAST(NULL AS INTEGER) AS family_id, "
    "CAST(NULL AS INTEGER) AS level_id, CAST(NULL AS INTEGER) AS hull_id, "
    "CAST(NULL AS BOOLEAN) AS complete, CAST(NULL AS BOOLEAN) AS first_row WHERE false"
)
"""Makes the view of rows that :func:`number` takes as they are, empty."""


def number(build: Build) -> None:
    """Give families and levels their numbers and write the exposure rows.

    Parameters
    ----------
    build : Build
        Holds the temporary tables ``named_questions``, ``replies`` and ``bands`` and the
        view ``kept_rows``, which are used up.
    """
    number_families(build)
    build.run("exposure/number/02_exposure")


def number_families(build: Build) -> None:
    """Give families and levels their numbers.

    Parameters
    ----------
    build : Build
        Holds the temporary tables ``named_questions``, ``replies`` and ``bands``.
        Receives ``numbered``.
    """
    order = pd.DataFrame({"kind": KINDS, "place": range(1, len(KINDS) + 1)})
    build.register("kind_order", order)
    build.run("exposure/number/01_families")
    build.unregister("kind_order")


def work_out_bands(build: Build) -> None:
    """Fill the temporary table ``bands`` from all of ``values_measured``."""
    build.register("band_rows", _all_bands(build))
    build.execute("CREATE TEMP TABLE bands AS SELECT * FROM band_rows")
    build.unregister("band_rows")


def _all_bands(build: Build) -> pd.DataFrame:
    rows: list[tuple[int, str | None, Band]] = []
    for question, unit, distinct, whole, *quintiles in build.named_rows("exposure/quantiles"):
        if distinct <= FEW_VALUES:
            found = build.rows(
                "SELECT DISTINCT value FROM values_measured "
                "WHERE value IS NOT NULL AND question_id = $question",
                {"question": question},
            )
            levels = single_values([value for (value,) in found], unit)
        else:
            levels = bands(quintiles, unit, whole=whole)
        rows += [(question, unit, band) for band in levels]
    return pd.DataFrame(
        {
            "question_id": pd.Series([row[0] for row in rows], dtype="int32"),
            "unit": pd.Series([row[1] for row in rows], dtype="str"),
            "level": pd.Series([row[2].level for row in rows], dtype="str"),
            "low": pd.Series([row[2].low for row in rows], dtype="float64"),
            "high": pd.Series([row[2].high for row in rows], dtype="float64"),
        }
    )
