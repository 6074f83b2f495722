"""Keep the rows of a page that cannot be read as records, each with its reason."""

from __future__ import annotations

from typing import Any

import pyarrow as pa

from tracegraph.intake.compose import compose
from tracegraph.intake.pagework import PageWork


def set_aside_rows(work: PageWork) -> None:
    """Keep rows that cannot become a record of the first table, whole and with a reason.

    Parameters
    ----------
    work : PageWork
        The page and its plans.
    """
    plan = work.plans[0]
    if work.page.broken:
        _set_aside_broken(work)
    lacks = work.lacking(plan)
    if not lacks:
        return
    parameters: dict[str, Any] = {}
    cases = []
    for number, (name, blame, lack) in enumerate(lacks):
        need = plan.needs[name]
        lookup = work.reader.outcomes[need].lookup
        problem = f"{lookup}.problem" if lookup else "NULL"
        parameters[f"header{number}"] = blame
        cases.append(
            f"WHEN {lack} THEN {{'column_name': $header{number}, "
            f"'value': p.c{need.column}, 'problem': CAST({problem} AS VARCHAR)}}"
        )
    work.build.execute(
        compose(
            "intake/set_aside",
            row=work.page.row_sql,
            reason=f"CASE {' '.join(cases)} END",
            texts=", ".join(f"p.{column}" for column in work.page.columns),
            joins=work.joins(plan),
            whole=" AND ".join(f"NOT ({lack})" for _, _, lack in lacks),
        ),
        {
            **work.reader.parameters,
            **parameters,
            "source_id": work.source_id,
            "table_name": plan.rule.table,
            "headers": [*work.page.headers.names],
        },
    )


def _set_aside_broken(work: PageWork) -> None:
    """Keep lines that could not be cut into columns."""
    broken = work.page.broken
    table = pa.table(
        {
            "source_row": pa.array([row.row for row in broken], pa.int64()),
            "text": pa.array([row.text for row in broken], pa.string()),
            "reason": pa.array([row.reason for row in broken], pa.string()),
        }
    )
    work.build.register("broken", table)
    work.build.run("intake/broken_rows", {"source_id": work.source_id})
    work.build.unregister("broken")
