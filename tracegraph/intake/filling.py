"""Turn the rows of a staged page into records of the tables that its mapping names."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import Field, Role
from tracegraph.intake.columns import PageReader
from tracegraph.intake.compose import compose
from tracegraph.intake.furniture import drop_furniture
from tracegraph.intake.kinds import AMOUNTS, kind_of, read
from tracegraph.intake.ledger import Remark
from tracegraph.intake.mapping import TableRule
from tracegraph.intake.noting import note_cells, note_values
from tracegraph.intake.pagework import PageWork
from tracegraph.intake.planning import PlannedTable
from tracegraph.intake.privacy import mask_page
from tracegraph.intake.rules import ReadingRules
from tracegraph.intake.setting_aside import set_aside_rows
from tracegraph.intake.staging import Page
from tracegraph.intake.units import find_unit
from tracegraph.store import Build
from tracegraph.store.queries import sql_text


def roles_of(plans: list[PlannedTable]) -> dict[int, set[Role]]:
    """What each column of a sheet will be read as."""
    roles: dict[int, set[Role]] = {}
    for plan in plans:
        for need in plan.all_needs:
            roles.setdefault(need.column, set()).add(need.kind.role)
    return roles


def read_page(
    build: Build,
    page: Page,
    plans: list[PlannedTable],
    rules: ReadingRules,
    source_id: int,
    step: Callable[[str, float, float], None],
    *,
    mask: bool,
) -> dict[str, int]:
    """Turn a staged page into records, and count its rows.

    Parameters
    ----------
    build : Build
        Holds the page and the tables.
    page : Page
        The page.
    plans : list of PlannedTable
        The tables that each row fills; the first decides whether a row is set aside.
    rules : ReadingRules
        How its text is read.
    source_id : int
        Number of the source.
    step : callable
        Told what is being done, and from where to where it goes.
    mask : bool
        Whether to blot out personal marks in the notes of claims.

    Returns
    -------
    dict of str to int
        ``seen``, ``set_aside`` and ``furniture``.
    """
    above = page.blank + page.titles
    seen = int(build.scalar(sql_text("intake/page_rows"))) + above + len(page.broken)
    step("looking for what is no record", 0.0, 0.1)
    furniture = drop_furniture(build, page) + above
    if mask:
        _mask_notes(build, page, plans)
    if seen == furniture:
        page.remarks.append(Remark("no rows", 0, "holds no rows below its header"))
    step("checking", 0.1, 0.4)
    reader = PageReader(build, page, rules, [need for plan in plans for need in plan.all_needs])
    work = PageWork(build, page, rules, plans, source_id, reader)
    step("storing", 0.4, 1.0)
    set_aside_rows(work)
    for plan in plans:
        _insert(work, plan)
        _stamp(work, plan)
        note_values(work, plan)
    note_cells(work)
    if plans[0].rule.record_table.identity:
        for plan in plans[1:]:
            given = {"source_id": source_id, "table_name": plan.rule.table}
            build.run("intake/add_facts_told", given)
    aside = int(build.scalar(sql_text("intake/rows_set_aside"), {"source_id": source_id}))
    return {"seen": seen, "set_aside": aside, "furniture": furniture}


def _mask_notes(build: Build, page: Page, plans: list[PlannedTable]) -> None:
    claims = [plan for plan in plans if plan.rule.table == "claims"]
    notes = [plan.needs["note"].column for plan in claims if "note" in plan.needs]
    blotted = mask_page(build, page, notes)
    if blotted:
        text = f"{blotted} notes held a phone number, an e-mail or street address: blotted out"
        page.remarks.append(Remark("masked notes", blotted, text, table="claims"))


def _insert(work: PageWork, plan: PlannedTable) -> None:
    table = plan.rule.record_table
    values, parameters = _values(work, plan)
    shared = plan is not work.plans[0] and bool(table.identity)
    row = work.page.row_sql
    work.build.execute(
        compose(
            "intake/fill_table",
            table=table.name,
            fields=", ".join(f'"{name}"' for name in values),
            values=", ".join(values.values()),
            row=f"min({row})" if shared else row,
            joins=work.joins(plan),
            whole=work.whole(plan),
            grouping="GROUP BY ALL" if shared else "",
        ),
        {**work.reader.parameters, **parameters, "source_id": work.source_id},
    )


def _values(work: PageWork, plan: PlannedTable) -> tuple[dict[str, str], dict[str, Any]]:
    """Expression of each field that is filled, and the parameters they need."""
    values: dict[str, str] = {}
    parameters: dict[str, Any] = {}
    for field in plan.rule.record_table.fields:
        if field.name in plan.needs:
            values[field.name] = work.reader.value(plan.needs[field.name])
        elif field.name in plan.rule.constants:
            name = f"constant_{field.name}"
            parameters[name] = _constant(work, plan.rule, field)
            values[field.name] = f"CAST(${name} AS {kind_of(field, plan.rule.table).sql_type})"
    _convert(work, plan, values, parameters)
    return values, parameters


def _convert(
    work: PageWork, plan: PlannedTable, values: dict[str, str], parameters: dict[str, Any]
) -> None:
    """Bring amounts to the canonical unit."""
    constant = plan.rule.constants.get("unit")
    if constant is not None:
        unit = find_unit(constant)
        if unit is None or (unit.factor == 1.0 and unit.shift == 0.0):
            return
        parameters["factor"], parameters["shift"] = unit.factor, unit.shift
        factor, shift = "$factor", "$shift"
    elif "unit" in plan.needs:
        lookup = work.reader.outcomes[plan.needs["unit"]].lookup
        if lookup is None:
            return
        factor, shift = f"coalesce({lookup}.factor, 1.0)", f"coalesce({lookup}.shift, 0.0)"
    else:
        return
    for name in AMOUNTS.get(plan.rule.table, ()):
        if name in values:
            values[name] = f"in_unit({values[name]}, {factor}, {shift})"


def _constant(work: PageWork, rule: TableRule, field: Field) -> str | None:
    text = rule.constants[field.name]
    reading = read(kind_of(field, rule.table, work.rules), text, work.rules)
    if reading.problem:
        raise IntakeError(
            f"constant {field.name} of {rule.table} must be {reading.problem}; got {text!r}"
        )
    return reading.value


def _stamp(work: PageWork, plan: PlannedTable) -> None:
    """Keep when each row was written, where its file says so."""
    if plan.stamp is None:
        return
    text = compose(
        "intake/add_stamps",
        row=work.page.row_sql,
        stamp=work.reader.value(plan.stamp),
        joins=work.joins(plan),
        whole=work.whole(plan),
    )
    given = {"source_id": work.source_id, "table_name": plan.rule.table}
    work.build.execute(text, {**work.reader.parameters, **given})
