"""Turn the rows of a staged page into records of the tables that its mapping names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pyarrow as pa

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import Field, Role
from tracegraph.intake.columns import Need, PageReader
from tracegraph.intake.compose import compose
from tracegraph.intake.headers import Headers
from tracegraph.intake.kinds import kind_of, read
from tracegraph.intake.ledger import Remark
from tracegraph.intake.mapping import TableRule
from tracegraph.intake.rules import ReadingRules
from tracegraph.intake.staging import Page
from tracegraph.intake.units import find_unit
from tracegraph.store import Build

AMOUNTS = {
    "usages": ("quantity",),
    "readings": ("value",),
    "ambient": ("value",),
    "inspections": ("value",),
    "lots": ("received_qty", "on_hand_qty", "scrapped_qty"),
}
_SUMMED_FROM = 1000  # rows that share one spelling


@dataclass(frozen=True)
class PlannedTable:
    """A table rule whose columns are found in the page.

    Attributes
    ----------
    rule : TableRule
        The rule.
    needs : dict of str to Need
        Column and kind of each field that a column fills.
    only_when : tuple of int
        Columns of which one must be filled.
    """

    rule: TableRule
    needs: dict[str, Need]
    only_when: tuple[int, ...]


def plan_table(rule: TableRule, headers: Headers) -> tuple[PlannedTable, list[Remark]]:
    """Find the columns of a rule among the headers of a page.

    Raises
    ------
    IntakeError
        If a column of a required field is not there.
    """
    needs: dict[str, Need] = {}
    remarks: list[Remark] = []
    required = {field.name for field in rule.record_table.fields if field.required}
    for name, header in rule.columns.items():
        position = headers.position(header)
        if position is not None:
            needs[name] = Need(position, kind_of(rule.record_table.field(name)))
        elif name in required:
            raise IntakeError(
                f"has no column {header!r} for {rule.table}.{name}; it has "
                f"{', '.join(headers.names[:12])}. Mend the header or intake.toml"
            )
        else:
            text = f"has no column {header!r}; {rule.table}.{name} is left blank"
            remarks.append(Remark("column", 0, text, table=rule.table))
    for group in rule.record_table.one_of:
        if not {*needs, *rule.constants}.intersection(group):
            raise IntakeError(f"has no column for {' or '.join(group)} of {rule.table}")
    only_when = [headers.position(header) for header in rule.only_when]
    return PlannedTable(rule, needs, tuple(i for i in only_when if i is not None)), remarks


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
            build, page, rules, [need for plan in plans for need in plan.needs.values()]
        )

    def fill(self) -> int:
        """Fill all tables of the page.

        Returns
        -------
        int
            Rows set aside.
        """
        set_aside = self._set_aside(self.plans[0])
        for plan in self.plans:
            self._insert(plan)
            self._note(plan)
        return set_aside

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
                values[field.name] = f"CAST(${name} AS {kind_of(field).sql_type})"
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
        reading = read(kind_of(field), text, self.rules)
        if reading.problem:
            raise IntakeError(
                f"constant {field.name} of {rule.table} must be {reading.problem}; got {text!r}"
            )
        return reading.value

    def _joins(self, plan: PlannedTable) -> str:
        needs = [*plan.needs.values(), *self.plans[0].needs.values()]
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

    def _set_aside(self, plan: PlannedTable) -> int:
        lacks = self._lacking(plan)
        if self.page.broken:
            self._set_aside_broken()
        if not lacks:
            return len(self.page.broken)
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
        before = self.build.scalar("SELECT count(*) FROM set_aside")
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
        after = self.build.scalar("SELECT count(*) FROM set_aside")
        return int(after - before) + len(self.page.broken)

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
        frequent = self.build.rows(
            f"SELECT arg_max(raw, uses), value FROM {lookup} "
            "WHERE rule IS NOT NULL OR problem IS NOT NULL "
            "GROUP BY value HAVING max(uses) >= $least",
            {"least": _SUMMED_FROM},
        )
        summed = []
        for raw, value in frequent:
            as_value = self.build.scalar(
                f"SELECT count(*) FROM page AS p WHERE p.c{need.column} = $value", {"value": value}
            )
            if not as_value:
                summed.append(raw)
        return summed
