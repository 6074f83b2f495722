"""Keep the text as written beside each value that is stored otherwise."""

from __future__ import annotations

import pyarrow as pa

from tracegraph.domain.records import Role
from tracegraph.intake.compose import compose
from tracegraph.intake.mapping import TableRule
from tracegraph.intake.pagework import PageWork
from tracegraph.intake.plain import Need
from tracegraph.intake.planning import PlannedTable
from tracegraph.intake.rules import DOUBTFUL_WORDS
from tracegraph.intake.units import find_unit

_SUMMED_FROM = 1000  # rows that share one spelling


def note_values(work: PageWork, plan: PlannedTable) -> None:
    """Keep the text of values that are stored otherwise than written.

    Parameters
    ----------
    work : PageWork
        The page and its plans.
    plan : PlannedTable
        The table whose fields are looked at.
    """
    constant = plan.rule.constants.get("unit")
    unit = find_unit(constant) if constant is not None else None
    if unit is not None and unit.name != constant:
        work.build.execute(
            compose("intake/note_constant_unit", table=plan.rule.table),
            {
                "source_id": work.source_id,
                "table_name": plan.rule.table,
                "raw": constant,
                "value": unit.name,
                "rule": f"unit of {_what(plan.rule)}",
            },
        )
    for name, need in plan.needs.items():
        outcome = work.reader.outcomes[need]
        if outcome.lookup is None or not outcome.noted:
            continue
        work.build.execute(
            compose(
                "intake/cleaned_values",
                row=work.page.row_sql,
                lookup=outcome.lookup,
                column=f"c{need.column}",
            ),
            {
                "source_id": work.source_id,
                "table_name": plan.rule.table,
                "column_name": name,
                "summed": _summed(work, need, outcome.lookup),
            },
        )


def _summed(work: PageWork, need: Need, lookup: str) -> list[str]:
    """Spellings that are kept once for all their rows.

    One per value at most: a spelling that many rows share, when no row is written
    as the value itwork.
    """
    if need.kind.role is Role.TEXT:
        return []
    text = compose("intake/frequent_spellings", lookup=lookup, column=f"c{need.column}")
    given = {"least": _SUMMED_FROM, "doubtful": sorted(DOUBTFUL_WORDS)}
    return [raw for (raw,) in work.build.rows(text, given)]


def note_cells(work: PageWork) -> None:
    """Keep what the form of cells told, for each field that they fill.

    Parameters
    ----------
    work : PageWork
        The page and its plans.
    """
    if not work.page.notes:
        return
    rows, columns, raws, values, rules = zip(*work.page.notes, strict=True)
    table = pa.table(
        {
            "source_row": pa.array(rows, pa.int64()),
            "cell_column": pa.array(columns, pa.int64()),
            "raw": pa.array(raws, pa.string()),
            "value": pa.array(values, pa.string()),
            "rule": pa.array(rules, pa.string()),
        }
    )
    work.build.register("cell_notes", table)
    for plan in work.plans:
        for name, need in plan.needs.items():
            given = {
                "source_id": work.source_id,
                "table_name": plan.rule.table,
                "column_name": name,
                "column": need.column,
            }
            work.build.run("intake/add_notes", given)
    work.build.unregister("cell_notes")


def _what(rule: TableRule) -> str:
    """What a rule's amounts are amounts of, for a reader."""
    named = (rule.constants.get(name) for name in ("quantity", "material"))
    return next((name for name in named if name), rule.table)
