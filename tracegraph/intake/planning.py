"""Find the columns of a mapping among the headers of a sheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import TABLE_BY_NAME, Role
from tracegraph.intake.headers import NOT_UNDERSTOOD, Headers, fold, held
from tracegraph.intake.kinds import Kind, kind_of
from tracegraph.intake.ledger import Remark
from tracegraph.intake.mapping import TableRule
from tracegraph.intake.plain import Need
from tracegraph.intake.rules import ReadingRules


@dataclass(frozen=True)
class PlannedTable:
    """A table rule whose columns are found in a sheet.

    Attributes
    ----------
    rule : TableRule
        The rule.
    needs : dict of str to Need
        Column and kind of each field that a column fills.
    only_when : tuple of int
        Columns of which one must be filled.
    stamp : Need or None
        Column that tells when a row was written.
    """

    rule: TableRule
    needs: dict[str, Need]
    only_when: tuple[int, ...] = ()
    stamp: Need | None = None

    @property
    def all_needs(self) -> list[Need]:
        """Columns that are read for this table."""
        return [*self.needs.values(), *([self.stamp] if self.stamp else [])]


def plan_sheet(
    headers: Headers, rules: ReadingRules, tables: Iterable[TableRule]
) -> tuple[list[PlannedTable], list[Remark]]:
    """Find the columns of all tables that a sheet fills.

    Parameters
    ----------
    headers : Headers
        Of the sheet.
    rules : ReadingRules
        How its text is read.
    tables : iterable of TableRule
        What the mapping says.

    Raises
    ------
    IntakeError
        If the column of a required field is not there, or could be one of two.
    """
    plans, remarks = [], _clashes(headers)
    for table in tables:
        plan, doubts = _plan_table(table, headers, rules)
        plans.append(plan)
        remarks += doubts
    return plans, remarks


def _plan_table(
    rule: TableRule, headers: Headers, rules: ReadingRules
) -> tuple[PlannedTable, list[Remark]]:
    needs: dict[str, Need] = {}
    remarks: list[Remark] = []
    table = rule.record_table
    unit = rule.constants.get("unit")
    required = {field.name for field in table.fields if field.required}
    for name, header in rule.columns.items():
        position, doubt = headers.find(header)
        if position is not None and doubt is None:
            needs[name] = Need(position, kind_of(table.field(name), rule.table, rules, unit))
            continue
        reason = doubt or f"has no column {header!r} for {rule.table}.{name}; {held(headers)}"
        if name in required:
            raise IntakeError(f"{reason}. Mend the header, or name the column in intake.toml")
        remarks.append(
            Remark("column", 0, f"{reason}: {rule.table}.{name} is left blank", table=rule.table)
        )
    for group in table.one_of:
        if not {*needs, *rule.constants}.intersection(group):
            raise IntakeError(f"has no column for {' or '.join(group)} of {rule.table}")
    only_when = tuple(_position(headers, header) for header in rule.only_when)
    stamp = None
    if rule.stamp is not None:
        stamp = Need(_position(headers, rule.stamp), Kind(Role.TIME))
    return PlannedTable(rule, needs, only_when, stamp), remarks


def _position(headers: Headers, header: str) -> int:
    position, doubt = headers.find(header)
    if position is None or doubt is not None:
        raise IntakeError(doubt or f"has no column {header!r}, which intake.toml names")
    return position


def _clashes(headers: Headers) -> list[Remark]:
    """Columns whose headers differ in case or spaces only."""
    by_fold: dict[str, list[str]] = {}
    for name in headers.names:
        by_fold.setdefault(fold(name), []).append(name)
    return [
        Remark("header", 0, f"columns {' and '.join(map(repr, names))} are kept apart")
        for names in by_fold.values()
        if len(names) > 1
    ]


def own_table_rule(stem: str, headers: Headers) -> TableRule:
    """Rule for a file or sheet that is named after a table, by its headers.

    Raises
    ------
    IntakeError
        If it is not, or if a required column is missing.
    """
    table = TABLE_BY_NAME.get(stem)
    if table is None:
        raise IntakeError(NOT_UNDERSTOOD)
    columns = {
        field.name: field.name for field in table.fields if headers.find(field.name) != (None, None)
    }
    missing = [f.name for f in table.fields if f.required and f.name not in columns]
    missing += [" or ".join(group) for group in table.one_of if not columns.keys() & set(group)]
    if missing:
        raise IntakeError(
            f"lacks the column {', '.join(missing)} of {table.name}; {held(headers)}. Rename the "
            "header, or map it in intake.toml; header_row says where a header stands"
        )
    return TableRule(table=table.name, columns=columns, constants={})
