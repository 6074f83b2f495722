"""Turn the rows of a staged page into records of the tables that its mapping names."""

from __future__ import annotations

from typing import Any

import pyarrow as pa

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import Field, Role
from tracegraph.intake.columns import PageReader
from tracegraph.intake.compose import compose
from tracegraph.intake.furniture import drop_furniture
from tracegraph.intake.kinds import AMOUNTS, kind_of, read
from tracegraph.intake.ledger import Remark
from tracegraph.intake.mapping import TableRule
from tracegraph.intake.plain import Need
from tracegraph.intake.planning import PlannedTable
from tracegraph.intake.privacy import mask_page
from tracegraph.intake.rules import DOUBTFUL_WORDS, ReadingRules
from tracegraph.intake.staging import Page
from tracegraph.intake.units import find_unit
from tracegraph.store import Build
from tracegraph.store.queries import sql_text

_SUMMED_FROM = 1000  # rows that share one spelling


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
    mask : bool
        Whether to blot out personal marks in the notes of claims.

    Returns
    -------
    dict of str to int
        ``seen``, ``set_aside`` and ``furniture``.
    """
    above = page.blank + page.titles
    seen = int(build.scalar(sql_text("intake/page_rows"))) + above + len(page.broken)
    furniture = drop_furniture(build, page) + above
    if mask:
        _mask_notes(build, page, plans)
    if seen == furniture:
        page.remarks.append(Remark("no rows", 0, "holds no rows below its header"))
    set_aside = Filler(build, page, rules, plans, source_id).fill()
    if plans[0].rule.record_table.identity:
        for plan in plans[1:]:
            given = {"source_id": source_id, "table_name": plan.rule.table}
            build.run("intake/add_facts_told", given)
    return {"seen": seen, "set_aside": set_aside, "furniture": furniture}


def _what(rule: TableRule) -> str:
    """What a rule's amounts are amounts of, for a reader."""
    named = (rule.constants.get(name) for name in ("quantity", "material"))
    return next((name for name in named if name), rule.table)


def _mask_notes(build: Build, page: Page, plans: list[PlannedTable]) -> None:
    claims = [plan for plan in plans if plan.rule.table == "claims"]
    notes = [plan.needs["note"].column for plan in claims if "note" in plan.needs]
    blotted = mask_page(build, page, notes)
    if blotted:
        text = f"{blotted} notes held a phone number, an e-mail or street address: blotted out"
        page.remarks.append(Remark("masked notes", blotted, text, table="claims"))


class Filler:
    """Fills record tables from one staged page.

    Parameters
    ----------
    build : Build
        Holds the page and the tables.
    page : Page
        The page.
    rules : ReadingRules
        How its text is read.
    plans : list of PlannedTable
        The tables that each row fills; the first decides whether a row is set aside.
    source_id : int
        Number of the source.
    """

    def __init__(
        self,
        build: Build,
        page: Page,
        rules: ReadingRules,
        plans: list[PlannedTable],
        source_id: int,
    ) -> None:
        self.build = build
        self.page = page
        self.rules = rules
        self.plans = plans
        self.source_id = source_id
        self.reader = PageReader(
            build, page, rules, [need for plan in plans for need in plan.all_needs]
        )

    def fill(self) -> int:
        """Fill all tables of the page.

        Returns
        -------
        int
            Rows set aside.
        """
        self._set_aside(self.plans[0])
        for plan in self.plans:
            self._insert(plan)
            self._stamp(plan)
            self._note(plan)
        self._note_cells()
        return int(
            self.build.scalar(sql_text("intake/rows_set_aside"), {"source_id": self.source_id})
        )

    def _insert(self, plan: PlannedTable) -> None:
        table = plan.rule.record_table
        values, parameters = self._values(plan)
        shared = plan is not self.plans[0] and bool(table.identity)
        row = self.page.row_sql
        self.build.execute(
            compose(
                "intake/fill_table",
                table=table.name,
                fields=", ".join(f'"{name}"' for name in values),
                values=", ".join(values.values()),
                row=f"min({row})" if shared else row,
                joins=self._joins(plan),
                whole=self._whole(plan),
                grouping="GROUP BY ALL" if shared else "",
            ),
            {**self.reader.parameters, **parameters, "source_id": self.source_id},
        )

    def _values(self, plan: PlannedTable) -> tuple[dict[str, str], dict[str, Any]]:
        """Expression of each field that is filled, and the parameters they need."""
        values: dict[str, str] = {}
        parameters: dict[str, Any] = {}
        for field in plan.rule.record_table.fields:
            if field.name in plan.needs:
                values[field.name] = self.reader.value(plan.needs[field.name])
            elif field.name in plan.rule.constants:
                name = f"constant_{field.name}"
                parameters[name] = self._constant(plan.rule, field)
                values[field.name] = f"CAST(${name} AS {kind_of(field, plan.rule.table).sql_type})"
        self._convert(plan, values, parameters)
        return values, parameters

    def _convert(
        self, plan: PlannedTable, values: dict[str, str], parameters: dict[str, Any]
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
            lookup = self.reader.outcomes[plan.needs["unit"]].lookup
            if lookup is None:
                return
            factor, shift = f"coalesce({lookup}.factor, 1.0)", f"coalesce({lookup}.shift, 0.0)"
        else:
            return
        for name in AMOUNTS.get(plan.rule.table, ()):
            if name in values:
                values[name] = f"in_unit({values[name]}, {factor}, {shift})"

    def _constant(self, rule: TableRule, field: Field) -> str | None:
        text = rule.constants[field.name]
        reading = read(kind_of(field, rule.table, self.rules), text, self.rules)
        if reading.problem:
            raise IntakeError(
                f"constant {field.name} of {rule.table} must be {reading.problem}; got {text!r}"
            )
        return reading.value

    def _joins(self, plan: PlannedTable) -> str:
        needs = [*plan.all_needs, *self.plans[0].all_needs]
        joins = dict.fromkeys(self.reader.join(need) for need in needs)
        return "\n".join(join for join in joins if join)

    def _lacking(self, plan: PlannedTable) -> list[tuple[str, str, str]]:
        """What a row must have: a field, the columns to blame, the condition of lacking it."""
        names = self.page.headers.names
        lacks: list[tuple[str, str, str]] = []
        for field in plan.rule.record_table.fields:
            need = plan.needs.get(field.name)
            if field.required and need and not self.reader.outcomes[need].complete:
                lack = f"{self.reader.value(need)} IS NULL"
                lacks.append((field.name, names[need.column], lack))
        for group in plan.rule.record_table.one_of:
            if any(name in plan.rule.constants for name in group):
                continue
            needs = [plan.needs[name] for name in group if name in plan.needs]
            if any(self.reader.outcomes[need].complete for need in needs):
                continue
            field_name = next(name for name in group if name in plan.needs)
            blame = " or ".join(names[need.column] for need in needs)
            lack = " AND ".join(f"{self.reader.value(need)} IS NULL" for need in needs)
            lacks.append((field_name, blame, lack))
        return lacks

    def _whole(self, plan: PlannedTable) -> str:
        """Condition under which a row becomes a record."""
        conditions = [f"NOT ({lack})" for _, _, lack in self._lacking(plan)]
        if plan.only_when:
            filled = " OR ".join(f"p.c{i} IS NOT NULL" for i in plan.only_when)
            conditions.append(f"({filled})")
        if plan is not self.plans[0]:
            conditions += [f"NOT ({lack})" for _, _, lack in self._lacking(self.plans[0])]
        return " AND ".join(conditions) or "true"

    def _set_aside(self, plan: PlannedTable) -> None:
        if self.page.broken:
            self._set_aside_broken()
        lacks = self._lacking(plan)
        if not lacks:
            return
        parameters: dict[str, Any] = {}
        cases = []
        for number, (name, blame, lack) in enumerate(lacks):
            need = plan.needs[name]
            lookup = self.reader.outcomes[need].lookup
            problem = f"{lookup}.problem" if lookup else "NULL"
            parameters[f"header{number}"] = blame
            cases.append(
                f"WHEN {lack} THEN {{'column_name': $header{number}, "
                f"'value': p.c{need.column}, 'problem': CAST({problem} AS VARCHAR)}}"
            )
        self.build.execute(
            compose(
                "intake/set_aside",
                row=self.page.row_sql,
                reason=f"CASE {' '.join(cases)} END",
                texts=", ".join(f"p.{column}" for column in self.page.columns),
                joins=self._joins(plan),
                whole=" AND ".join(f"NOT ({lack})" for _, _, lack in lacks),
            ),
            {
                **self.reader.parameters,
                **parameters,
                "source_id": self.source_id,
                "table_name": plan.rule.table,
                "headers": [*self.page.headers.names],
            },
        )

    def _set_aside_broken(self) -> None:
        broken = self.page.broken
        table = pa.table(
            {
                "source_row": pa.array([row.row for row in broken], pa.int64()),
                "text": pa.array([row.text for row in broken], pa.string()),
                "reason": pa.array([row.reason for row in broken], pa.string()),
            }
        )
        self.build.register("broken", table)
        self.build.run("intake/broken_rows", {"source_id": self.source_id})
        self.build.unregister("broken")

    def _note(self, plan: PlannedTable) -> None:
        """Keep the text of values that are stored otherwise than written."""
        constant = plan.rule.constants.get("unit")
        unit = find_unit(constant) if constant is not None else None
        if unit is not None and unit.name != constant:
            self.build.execute(
                compose("intake/note_constant_unit", table=plan.rule.table),
                {
                    "source_id": self.source_id,
                    "table_name": plan.rule.table,
                    "raw": constant,
                    "value": unit.name,
                    "rule": f"unit of {_what(plan.rule)}",
                },
            )
        for name, need in plan.needs.items():
            outcome = self.reader.outcomes[need]
            if outcome.lookup is None or not outcome.noted:
                continue
            self.build.execute(
                compose(
                    "intake/cleaned_values",
                    row=self.page.row_sql,
                    lookup=outcome.lookup,
                    column=f"c{need.column}",
                ),
                {
                    "source_id": self.source_id,
                    "table_name": plan.rule.table,
                    "column_name": name,
                    "summed": self._summed(need, outcome.lookup),
                },
            )

    def _summed(self, need: Need, lookup: str) -> list[str]:
        """Spellings that are kept once for all their rows.

        One per value at most: a spelling that many rows share, when no row is written
        as the value itself.
        """
        if need.kind.role is Role.TEXT:
            return []
        text = compose("intake/frequent_spellings", lookup=lookup, column=f"c{need.column}")
        given = {"least": _SUMMED_FROM, "doubtful": sorted(DOUBTFUL_WORDS)}
        return [raw for (raw,) in self.build.rows(text, given)]

    def _note_cells(self) -> None:
        """Keep what the form of cells told, for each field that they fill."""
        if not self.page.notes:
            return
        rows, columns, raws, values, rules = zip(*self.page.notes, strict=True)
        table = pa.table(
            {
                "source_row": pa.array(rows, pa.int64()),
                "cell_column": pa.array(columns, pa.int64()),
                "raw": pa.array(raws, pa.string()),
                "value": pa.array(values, pa.string()),
                "rule": pa.array(rules, pa.string()),
            }
        )
        self.build.register("cell_notes", table)
        for plan in self.plans:
            for name, need in plan.needs.items():
                given = {
                    "source_id": self.source_id,
                    "table_name": plan.rule.table,
                    "column_name": name,
                    "column": need.column,
                }
                self.build.run("intake/add_notes", given)
        self.build.unregister("cell_notes")

    def _stamp(self, plan: PlannedTable) -> None:
        """Keep when each row was written, where its file says so."""
        if plan.stamp is None:
            return
        text = compose(
            "intake/add_stamps",
            row=self.page.row_sql,
            stamp=self.reader.value(plan.stamp),
            joins=self._joins(plan),
            whole=self._whole(plan),
        )
        given = {"source_id": self.source_id, "table_name": plan.rule.table}
        self.build.execute(text, {**self.reader.parameters, **given})
