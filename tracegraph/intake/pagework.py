"""One staged page with its reader and its plans: what filling and setting aside share."""

from __future__ import annotations

from dataclasses import dataclass

from tracegraph.intake.columns import PageReader
from tracegraph.intake.planning import PlannedTable
from tracegraph.intake.rules import ReadingRules
from tracegraph.intake.staging import Page
from tracegraph.store import Build


@dataclass(frozen=True)
class PageWork:
    """One staged page on its way into the record tables.

    Attributes
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
    reader : PageReader
        Reads the columns that the plans need.
    """

    build: Build
    page: Page
    rules: ReadingRules
    plans: list[PlannedTable]
    source_id: int
    reader: PageReader

    def joins(self, plan: PlannedTable) -> str:
        """Joins that the values of a plan, and of the first one, need."""
        needs = [*plan.all_needs, *self.plans[0].all_needs]
        joins = dict.fromkeys(self.reader.join(need) for need in needs)
        return "\n".join(join for join in joins if join)

    def lacking(self, plan: PlannedTable) -> list[tuple[str, str, str]]:
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

    def whole(self, plan: PlannedTable) -> str:
        """Condition under which a row becomes a record."""
        conditions = [f"NOT ({lack})" for _, _, lack in self.lacking(plan)]
        if plan.only_when:
            filled = " OR ".join(f"p.c{i} IS NOT NULL" for i in plan.only_when)
            conditions.append(f"({filled})")
        if plan is not self.plans[0]:
            conditions += [f"NOT ({lack})" for _, _, lack in self.lacking(self.plans[0])]
        return " AND ".join(conditions) or "true"
