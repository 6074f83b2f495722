"""Work exposure out anew for the hulls that a load reaches, and take over the rest.

The result is that of working everything out. What rests on the whole plant is looked at
again: bands whose edges moved are laid over all values, and all numbers are given anew.
Where another rule of the whole plant changed (a question that was never asked before, a
usual step, a model that a question now applies to), nothing is taken over.
"""

from __future__ import annotations

from collections.abc import Mapping

from tracegraph.domain.fuel_rule import FUEL_TEST
from tracegraph.domain.practice import AMBIENT_QUANTITIES, CURE_HOURS, FRESH_MINUTES
from tracegraph.exposure.build import number_families, work_out_bands
from tracegraph.exposure.conditions import cure_windows, work_out_conditions
from tracegraph.exposure.fuel_tests import BY_THE_RULE, add_fuel_verdicts
from tracegraph.linkage import Changes
from tracegraph.store import Build
from tracegraph.store.queries import sql_text

READ = {
    "usages": "operation_id, material, lot_no, drum_no",
    "readings": "operation_id, quantity, value, unit",
    "ambient": 'station, "at", quantity, value, unit',
    "lots": "material, lot_no, supplier, made_on",
    "blends": "material, lot_no, parent_material, parent_lot_no",
    "mold_events": 'mold_no, "at", event, pull_no',
}
"""Columns of the records that exposure is worked out of, besides those that links keep."""

_ONLY_ADDED = ("blends", "mold_events")
_MOST = 0.5
"""Share of hulls from which on working everything out is less work."""


def renew_exposure(
    build: Build,
    changes: Changes,
    *,
    time_zone: str = "UTC",
    cure_hours: Mapping[str, float] = CURE_HOURS,
) -> bool:
    """Derive who was exposed to what, going on from the build before.

    Parameters
    ----------
    build : Build
        As for :func:`~tracegraph.exposure.build_exposure`.
    changes : Changes
        What is new in its records. The build before was made by the same rules.
    time_zone, cure_hours
        As for :func:`~tracegraph.exposure.build_exposure`.

    Returns
    -------
    bool
        False, with nothing done, where everything must be worked out.
    """
    if changes.mended.intersection(_ONLY_ADDED):
        return False
    with build.beside(changes.earlier), build.tidied():
        return _renewed(build, changes, time_zone, cure_hours)


def _renewed(
    build: Build, changes: Changes, time_zone: str, cure_hours: Mapping[str, float]
) -> bool:
    if not _reached(build, changes, cure_hours) or not _gathered(build, time_zone, cure_hours):
        return False
    build.run("exposure/renew/all_values")
    work_out_bands(build)
    build.run("exposure/renew/answers")
    if _differ(build, "models"):
        return False
    build.run("exposure/renew/settled")
    if _differ(build, "families"):
        return False
    build.run("exposure/settle/02_stages")
    build.run("exposure/settle/02_stages_of_checks")
    build.run("exposure/settle/05_named_questions")
    number_families(build)
    build.run("exposure/renew/kept_rows")
    build.run("exposure/number/02_exposure")
    build.run("exposure/renew/measured")
    return True


def _reached(build: Build, changes: Changes, cure_hours: Mapping[str, float]) -> bool:
    """Find the hulls that the changes reach; False where they are most of them."""
    for table, columns in READ.items():
        how = "any" if table in changes.mended else "added"
        text = sql_text(f"exposure/renew/changed_{how}")
        text = text.replace("{{table}}", table).replace("{{columns}}", columns)
        build.execute(text, {"last_source": changes.last_source})
    build.run("exposure/renew/hulls")
    if _differ(build, "molds") or _differ(build, "lots"):
        return False
    build.register("cure_windows", cure_windows(cure_hours))
    build.run("exposure/renew/reached", {"fresh_minutes": FRESH_MINUTES})
    build.unregister("cure_windows")
    [(reached, hulls)] = build.rows(
        "SELECT (SELECT count(*) FROM hulls_in_question), (SELECT count(*) FROM hull_index)"
    )
    return bool(reached <= _MOST * hulls)


def _gathered(build: Build, time_zone: str, cure_hours: Mapping[str, float]) -> bool:
    """Gather the answers of those hulls; False where a rule of the whole plant changed."""
    build.run_folder("exposure/gather", {"time_zone": time_zone})
    if _differ(build, "rules"):
        return False
    by_the_rule = {"family": f"hull: {FUEL_TEST}: {BY_THE_RULE}"}
    asked_before = "SELECT EXISTS (SELECT 1 FROM earlier.families WHERE family = $family)"
    if add_fuel_verdicts(build) != build.scalar(asked_before, by_the_rule):
        return False
    work_out_conditions(build, cure_hours=cure_hours)
    build.run("exposure/renew/values")
    if _differ(build, "quantities"):
        return False
    build.run("exposure/conditions/05_measured", {"ambient_quantities": list(AMBIENT_QUANTITIES)})
    build.run("exposure/settle/00_questions")
    build.run("exposure/renew/questions")
    return not _differ(build, "questions")


def _differ(build: Build, what: str) -> bool:
    return bool(build.scalar(sql_text(f"exposure/renew/{what}_differ")))
