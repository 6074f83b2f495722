"""Find the header line of a sheet and match its columns to the fields of a mapping."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import TABLE_BY_NAME
from tracegraph.intake.ids import visible
from tracegraph.intake.mapping import FileRule, TableRule

SEARCHED = 30
NOT_UNDERSTOOD = "not understood: its name is not a table's and intake.toml does not mention it"


@dataclass(frozen=True)
class Headers:
    """The headers of one sheet.

    Attributes
    ----------
    names : tuple of str
        One per column, each different: made up where the sheet has none or repeats one.
    made : tuple of str
        Names that were made up, or made different.
    """

    names: tuple[str, ...]
    made: tuple[str, ...] = ()

    def position(self, header: str) -> int | None:
        """Index of a header: as written, else without regard to case and spacing."""
        if header in self.names:
            return self.names.index(header)
        folded = fold(header)
        hits = [i for i, name in enumerate(self.names) if fold(name) == folded]
        if len(hits) > 1:
            both = " and ".join(repr(self.names[i]) for i in hits)
            raise IntakeError(f"column {header!r} could be {both}; write the one that is meant")
        return hits[0] if hits else None


def fold(header: str) -> str:
    """Header as it is compared: without case, and underscores as spaces.

    Examples
    --------
    >>> fold("Hull_Serial ")
    'hull serial'
    """
    return visible(header.replace("_", " ")).casefold()


def make_headers(cells: Sequence[str], width: int | None = None) -> Headers:
    """Headers from the cells of a header line.

    Parameters
    ----------
    cells : sequence of str
        As written.
    width : int, optional
        Columns below it, when there are more of them.

    Examples
    --------
    >>> make_headers(["operator", "operator", ""]).names
    ('operator', 'operator (2)', 'column 3')
    """
    names: list[str] = []
    made: list[str] = []
    cells = [*cells, *[""] * max(0, (width or 0) - len(cells))]
    for number, cell in enumerate(cells, start=1):
        name = visible(cell)
        if not name:
            name = f"column {number}"
            made.append(name)
        if name in names:
            copies = sum(1 for other in names if other.split(" (")[0] == name)
            name = f"{name} ({copies + 1})"
            while name in names:
                name += "'"
            made.append(name)
        names.append(name)
    return Headers(tuple(names), tuple(made))


def table_rule_for(stem: str, headers: Headers) -> TableRule | None:
    """Rule for a file or sheet named after a table, by its headers.

    Raises
    ------
    IntakeError
        If a required column is missing.
    """
    table = TABLE_BY_NAME.get(stem)
    if table is None:
        return None
    columns: dict[str, str] = {}
    for field in table.fields:
        position = headers.position(field.name)
        if position is not None:
            columns[field.name] = headers.names[position]
    missing = [f.name for f in table.fields if f.required and f.name not in columns]
    missing += [" or ".join(group) for group in table.one_of if not columns.keys() & set(group)]
    if missing:
        raise IntakeError(
            f"lacks the column {', '.join(missing)} of {table.name}; it has "
            f"{', '.join(headers.names[:12])}. Rename the header, or map it in intake.toml"
        )
    return TableRule(table=table.name, columns=columns, constants={})


def wanted_headers(stem: str, rule: FileRule | None) -> set[str]:
    """Headers, folded, by which the header line can be told from titles."""
    if rule is not None:
        return {fold(header) for table in rule.tables for header in table.columns.values()}
    table = TABLE_BY_NAME.get(stem)
    return {fold(name) for name in table.field_names} if table else set()


def find_header(rows: Iterable[Sequence[str]], wanted: set[str]) -> int:
    """Index of the row that holds most of the wanted headers; the first filled one when none.

    Parameters
    ----------
    rows : iterable of sequences of str
        The first rows of a sheet.
    wanted : set of str
        Folded headers.
    """
    best, most, first_filled = 0, 0, None
    for index, row in enumerate(rows):
        cells = {fold(cell) for cell in row} - {""}
        if cells and first_filled is None:
            first_filled = index
        hits = len(cells & wanted)
        if hits > most:
            best, most = index, hits
    return best if most else (first_filled or 0)
