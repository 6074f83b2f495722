"""Find rows that speak of the same fact, and keep one of them.

What is kept depends on what the rows say, never on the order in which files or rows came,
so that loading twice, in another order, or in pieces gives the same records.
"""

from __future__ import annotations

from tracegraph.domain.records import TABLES, RecordTable
from tracegraph.intake.compose import compose
from tracegraph.intake.filled import filled_tables
from tracegraph.store import Build
from tracegraph.store.queries import sql_text

# When a hull was built, and what else tells that two rows with one serial are one hull.
_DAYS = {"hulls": "coalesce(t.completed_on, t.shipped_on, t.in_service_on)"}
_TIES = {"hulls": "coalesce(lower(t.hin), lower(t.job_no))"}


def resolve(build: Build) -> None:
    """Drop repeats, keep the newest state, set contradictions aside, correct the ledgers.

    Parameters
    ----------
    build : Build
        Record tables, ``sources``, ``stamps`` and the temporary table ``facts_told`` are
        filled.
    """
    build.run("intake/begin_resolving")
    filled = filled_tables(build)
    tables = [table for table in TABLES if table.name in filled]
    for table in tables:
        by = "identity" if table.identity else "content"
        slots = _slots(table)
        build.execute(compose(f"intake/doubles_by_{by}", **slots))
        if not build.scalar(sql_text("intake/any_doubles")):
            continue
        build.execute(compose(f"intake/rivals_by_{by}", **slots), {"table_name": table.name})
        build.execute(compose("intake/give_way", **slots), {"table_name": table.name})
        if not table.identity:
            build.execute(compose("intake/equal_lines", **slots), {"table_name": table.name})
    build.run("intake/settle_rows")
    for table in tables:
        build.execute(compose("intake/still_there", table=table.name))
    build.run("intake/close_ledger")


def _slots(table: RecordTable) -> dict[str, str]:
    quoted = {name: f'"{name}"' for name in table.field_names}
    content = [quoted[name] for name in table.field_names if name not in table.identity]
    return {
        "table": table.name,
        "identity": ", ".join(quoted[name] for name in table.identity),
        "content": ", ".join(content),
        "filled": " + ".join(f"CAST({name} IS NOT NULL AS INTEGER)" for name in content),
        "fields": ", ".join(quoted.values()),
        "day": _DAYS.get(table.name, "CAST(NULL AS DATE)"),
        "tie": _TIES.get(table.name, "CAST(NULL AS VARCHAR)"),
        "record": "{" + ", ".join(f"'{name}': {q}" for name, q in quoted.items()) + "}",
    }
